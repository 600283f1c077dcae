"""Which numbers may stand on labels although nothing is recorded about them?

After a restore, those given since the backup was taken: what happened to them is lost, their labels are
not. A number in such a gap is never given again; goods that carry one are posted with it (RULES 22).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Integer, Row, Table, Text, bindparam, insert, select

from lotroot.database import metadata
from lotroot.identity import Number
from lotroot.ledger.events import Recorded, event

reserved = Table(
    "reserved",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("letter", Text, primary_key=True),
    Column("year", Integer, primary_key=True, autoincrement=False),  # four digits
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    info={"layer": "status"},
)

_ranges = select(reserved).order_by(reserved.c.event, reserved.c.letter, reserved.c.year)
_around = select(reserved.c.event).where(
    reserved.c.letter == bindparam("letter"),
    reserved.c.year % 100 == bindparam("year"),
    reserved.c.first <= bindparam("running"),
    reserved.c.last >= bindparam("running"),
)


@dataclass(frozen=True)
class Gap:
    """The running numbers first to last of a letter and year (four digits)."""

    letter: str
    year: int
    first: int
    last: int


@event
@dataclass(frozen=True)
class LedgerRestored:
    """The ledger was restored from a backup that ended at event `count` with the hash `head`.

    `taken` is when the backup was made, in microseconds UTC. Every number in `gaps` is reserved.
    """

    count: int
    head: str
    taken: int
    gaps: tuple[Gap, ...]


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of reserved numbers; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Reserves nothing."""


@_apply.register
def _(event: LedgerRestored, connection: Connection, recorded: Recorded) -> None:
    rows = [
        {"event": recorded.id, "letter": gap.letter, "year": gap.year, "first": gap.first, "last": gap.last}
        for gap in event.gaps
    ]
    if rows:
        connection.execute(insert(reserved), rows)


def reserved_ranges(connection: Connection) -> Sequence[Row[Any]]:
    """All ranges ever reserved: rows of event, letter, year, first, last."""
    return connection.execute(_ranges).all()


def is_reserved(connection: Connection, number: Number) -> bool:
    """Whether a number may be out there unrecorded, so that goods are posted with it."""
    query = {"letter": number.letter, "year": number.year, "running": number.running}
    return connection.execute(_around, query).first() is not None
