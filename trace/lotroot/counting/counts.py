"""Which counts are there, what was seen in them, and which differences wait for somebody?"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.counting.tables import STILL_OPEN, WAITING, count, difference, sighting
from lotroot.errors import Unknown

_by_id = select(count).where(count.c.id == bindparam("id"))
_open_at = select(count).where(STILL_OPEN, count.c.place == bindparam("place"))
_open = select(count).where(STILL_OPEN).order_by(count.c.id)
_latest = select(count).where(count.c.state != "void").order_by(count.c.id.desc()).limit(bindparam("limit"))
_seen = (
    select(sighting)
    .where(sighting.c.of_count == bindparam("count"))
    .order_by(sighting.c.event, sighting.c.seq)
)
_differences = (
    select(difference).where(difference.c.of_count == bindparam("count")).order_by(difference.c.seq)
)
_waiting = select(difference).where(WAITING).order_by(difference.c.of_count, difference.c.seq)
_one = select(difference).where(
    difference.c.of_count == bindparam("count"), difference.c.seq == bindparam("seq")
)


def find_count(connection: Connection, number: int) -> Row[Any]:
    """A count by its number, the event that opened it. Raises Unknown."""
    row = connection.execute(_by_id, {"id": number}).first()
    if row is None or row.state == "void":
        raise Unknown(
            f"No count {number} is recorded.",
            value=str(number),
            expected="The number of a count.",
            next_step="Look it up on the page of counts, or scan the place.",
        )
    return row


def open_count_at(connection: Connection, place: str) -> Row[Any] | None:
    """The count of a place that goes on now."""
    return connection.execute(_open_at, {"place": place}).first() if place else None


def open_counts(connection: Connection) -> Sequence[Row[Any]]:
    """All counts that go on now, the first begun first."""
    return connection.execute(_open).all()


def latest_counts(connection: Connection, limit: int) -> Sequence[Row[Any]]:
    """The last counts, open and finished, the latest first."""
    return connection.execute(_latest, {"limit": limit}).all()


def seen_in(connection: Connection, number: int) -> Sequence[Row[Any]]:
    """What was seen in a count, in the order it was scanned; a carrier itself has no lot."""
    return connection.execute(_seen, {"count": number}).all()


def differences_of(connection: Connection, number: int) -> Sequence[Row[Any]]:
    """What a count found otherwise than recorded, decided or not."""
    return connection.execute(_differences, {"count": number}).all()


def waiting_differences(connection: Connection) -> Sequence[Row[Any]]:
    """All differences that nobody has settled yet, the oldest count first."""
    return connection.execute(_waiting).all()


def find_difference(connection: Connection, number: int, seq: int) -> Row[Any]:
    """A difference of a count. Raises Unknown."""
    row = connection.execute(_one, {"count": number, "seq": seq}).first()
    if row is None:
        raise Unknown(
            f"Count {number} has no difference {seq}.",
            value=str(seq),
            expected="A line of its list of differences.",
            next_step="Reload the page of the count.",
        )
    return row
