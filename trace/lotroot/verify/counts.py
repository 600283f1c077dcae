"""Do counts agree with themselves: one of a place at a time, and differences of finished ones only?"""

from collections import Counter

from sqlalchemy import Connection, select

from lotroot.counting.tables import STILL_OPEN, count, difference
from lotroot.genealogy.tables import lot_table
from lotroot.ledger.proof import Finding
from lotroot.stock.tables import carrier

_open = select(count.c.place).where(STILL_OPEN).order_by(count.c.place)
_early = (
    select(difference.c.of_count, difference.c.seq, count.c.state)
    .join(count, count.c.id == difference.c.of_count, isouter=True)
    .where((count.c.state != "finished") | count.c.state.is_(None))
    .order_by(difference.c.of_count, difference.c.seq)
)
_strange = (
    select(difference.c.of_count, difference.c.lot, difference.c.carrier)
    .join(lot_table, lot_table.c.number == difference.c.lot, isouter=True)
    .join(carrier, carrier.c.number == difference.c.carrier, isouter=True)
    .where(lot_table.c.number.is_(None), carrier.c.number.is_(None))
    .order_by(difference.c.of_count, difference.c.seq)
)


def count_finding(connection: Connection) -> Finding | None:
    """The first place or count that contradicts itself."""
    places = Counter(row.place for row in connection.execute(_open))
    for place, open_ones in sorted(places.items()):
        if open_ones > 1:
            return Finding(place, f"{open_ones} open counts", "one at a time")
    early = connection.execute(_early).first()
    if early is not None:
        state = early.state or "not there"
        return Finding(
            f"count {early.of_count}", f"difference {early.seq} of a count that is {state}", "none"
        )
    strange = connection.execute(_strange).first()
    if strange is not None:
        number = strange.lot or strange.carrier or "nothing"
        return Finding(f"count {strange.of_count}", f"a difference about {number}", "goods there are")
    return None
