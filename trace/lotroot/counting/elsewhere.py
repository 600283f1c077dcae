"""Was what one count missed seen in a count of another place?"""

from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.counting.choices import WRONG_PLACE
from lotroot.counting.serials import Span, common
from lotroot.counting.tables import STILL_OPEN, WAITING, count, difference, sighting
from lotroot.stock.standing import at_spot

_seen = (
    select(count.c.place, sighting.c.first, sighting.c.last, sighting.c.spot)
    .join(count, count.c.id == sighting.c.of_count)
    .where(STILL_OPEN, sighting.c.lot == bindparam("lot"), count.c.place != bindparam("place"))
    .order_by(sighting.c.event, sighting.c.seq)
)
_waits = (
    select(difference.c.place, difference.c.first, difference.c.last, difference.c.spot)
    .where(WAITING, difference.c.kind == WRONG_PLACE, difference.c.place != bindparam("place"))
    .where(difference.c.lot == bindparam("lot"))
    .order_by(difference.c.of_count, difference.c.seq)
)
_carrier_waits = (
    select(difference.c.place)
    .where(WAITING, difference.c.kind == WRONG_PLACE, difference.c.place != bindparam("place"))
    .where(difference.c.carrier == bindparam("carrier"))
    .order_by(difference.c.of_count, difference.c.seq)
)
_by_itself = (
    select(sighting.c.first, sighting.c.last)
    .join(count, count.c.id == sighting.c.of_count)
    .where(sighting.c.lot == bindparam("lot"), sighting.c.spot == bindparam("carrier"))
    .where(sighting.c.number != bindparam("carrier"), sighting.c.first > 0)
    .where(count.c.place == bindparam("place"), count.c.state != "void", sighting.c.at >= bindparam("since"))
)


class Part(NamedTuple):
    """Serials first to last of a lot (0 without) at a spot."""

    lot: str
    first: int
    last: int
    spot: str


def seen_elsewhere(connection: Connection, row: Row[Any]) -> str:
    """The place where a count that goes on, or one whose differences wait, saw what a difference says is
    missing, or a part of it; empty for none."""
    query = {"carrier": row.carrier or row.spot, "place": row.place}
    waits = connection.execute(_carrier_waits, query).first()
    if waits is not None:
        return str(waits.place)
    parts = [Part(row.lot, row.first, row.last, row.spot)]
    if row.carrier:
        parts = [Part(one.lot, one.first, one.last, one.spot) for one in at_spot(connection, row.carrier)]
    return next((place for part in parts if (place := _seen_at(connection, row.place, part))), "")


def _seen_at(connection: Connection, place: str, part: Part) -> str:
    query = {"lot": part.lot, "place": place}
    for one in (*connection.execute(_seen, query), *connection.execute(_waits, query)):
        if one.spot == part.spot and one.first <= part.last and one.last >= part.first:
            return str(one.place)
    return ""


def left_behind(connection: Connection, carrier: str, place: str, since: int) -> list[Part]:
    """The items on a carrier that were seen by themselves at a place, in a count since a time (microseconds
    UTC): when the carrier turns out to stand elsewhere, they are not on it."""
    found = []
    for one in at_spot(connection, carrier):
        query = {"lot": one.lot, "place": place, "carrier": carrier, "since": since}
        seen = [Span(row.first, row.last) for row in connection.execute(_by_itself, query)]
        row = Span(one.first, one.last)
        found += [Part(one.lot, first, last, carrier) for first, last in common(row, seen) if first]
    return found
