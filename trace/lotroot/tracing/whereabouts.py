"""Where do some lots stand now, and on which shipments did they leave?"""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, Table, bindparam, select

from lotroot.dispatch.facts import shipment
from lotroot.dispatch.shipments import loads_of_lots, returns_of_lots
from lotroot.genealogy.walks import AT_ONCE
from lotroot.production.tables import run
from lotroot.stock.standing import standings_of
from lotroot.stock.tables import carrier


def _by_number(table: Table) -> Any:
    return select(table).where(table.c.number.in_(bindparam("numbers", expanding=True)))


_carriers = _by_number(carrier)
_runs = _by_number(run)
_shipments = _by_number(shipment)

LEFT = "left"


class Lying(NamedTuple):
    """Goods of one lot (by number) at one place or on one shipment; serials 0 and 0 for no items.

    `place` is where it stands now, `shipment` what it left on: one of them is empty. `spot` is the
    carrier, run or place it is on directly.
    """

    lot: str
    first: int
    last: int
    amount: int
    spot: str
    place: str = ""
    shipment: str = ""
    customer: str = ""
    returned: bool = False


class Spots(NamedTuple):
    """The carriers, runs and shipments that goods stand on, by number."""

    carriers: dict[str, Row[Any]]
    runs: dict[str, Row[Any]]
    shipments: dict[str, Row[Any]]

    def place(self, spot: str) -> str:
        """The place something on a spot stands at in the end; empty where it has left.

        Of a carrier that was never put anywhere, the carrier itself is all that is known.
        """
        end = self._end(spot)
        if end in self.shipments:
            return "" if self.shipments[end].state == LEFT else end
        return str(self.runs[end].station) if end in self.runs else end

    def shipment(self, spot: str) -> str:
        """The shipment something on a spot has left with, else empty."""
        end = self._end(spot)
        return end if end in self.shipments and self.shipments[end].state == LEFT else ""

    def _end(self, spot: str) -> str:
        return str(self.carriers[spot].spot or spot) if spot in self.carriers else spot


def spots_of(connection: Connection, spots: Iterable[str]) -> Spots:
    """The carriers among some spots, and the runs and shipments they or the goods stand on."""
    wanted = set(spots)
    carriers = _fetched(connection, _carriers, _of(wanted, "P"))
    wanted |= {row.spot for row in carriers.values()}
    return Spots(
        carriers,
        _fetched(connection, _runs, _of(wanted, "U")),
        _fetched(connection, _shipments, _of(wanted, "D")),
    )


def on_hand(connection: Connection, lots: Iterable[str]) -> list[Lying]:
    """What of some lots stands in the plant, also loaded in a run or on a shipment that has not left."""
    rows = [row for row in standings_of(connection, lots) if row.amount > 0]
    spots = spots_of(connection, (row.spot for row in rows))
    lying = [
        Lying(row.lot, row.first, row.last, row.amount, row.spot, place=spots.place(row.spot)) for row in rows
    ]
    return [each for each in lying if each.place]


def shipped(connection: Connection, lots: Sequence[str]) -> list[Lying]:
    """What of some lots has left, as it was loaded, and then what came back."""
    loads = [row for row in loads_of_lots(connection, lots) if row.state == LEFT]
    customers = {row.shipment: row.customer for row in loads}
    out = [
        Lying(
            row.lot,
            row.first,
            row.last,
            row.amount,
            row.carrier or row.shipment,
            shipment=row.shipment,
            customer=row.customer,
        )
        for row in loads
    ]
    back = [
        Lying(
            row.lot,
            row.first,
            row.last,
            row.amount,
            row.shipment,
            shipment=row.shipment,
            customer=customers[row.shipment],
            returned=True,
        )
        for row in returns_of_lots(connection, lots)
        if row.shipment in customers
    ]
    return out + back


def _of(numbers: Iterable[str], letter: str) -> list[str]:
    return sorted(number for number in numbers if number.startswith(letter))


def _fetched(connection: Connection, query: Any, numbers: list[str]) -> dict[str, Row[Any]]:
    found: dict[str, Row[Any]] = {}
    for start in range(0, len(numbers), AT_ONCE):
        for row in connection.execute(query, {"numbers": numbers[start : start + AT_ONCE]}):
            found[row.number] = row
    return found
