"""Which numbers may stand on labels although nothing is recorded about them?

After a restore, those given since the backup was taken: what happened to them is lost, their labels are
not. A number in such a gap is never given again; goods that carry one are posted with it (RULES 22).
And those of pads of emergency labels. Such a label is used up by goods recorded with it, by goods that had a
number before but no label (it stands for them from then on), or by being destroyed.
"""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Index,
    Integer,
    Row,
    Table,
    Text,
    bindparam,
    delete,
    insert,
    select,
)

from lotroot.database import Statement, metadata
from lotroot.identity import LOT_FAMILIES, Number
from lotroot.ledger.events import Recorded, event

AT_ONCE = 500
LENGTH = 11
"""Characters of a number on a label kept ready."""

reserved = Table(
    "reserved",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("letter", Text, primary_key=True),
    Column("year", Integer, primary_key=True, autoincrement=False),  # four digits
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("kind", Text, nullable=False),
    Column("station", Text, nullable=False),  # the number of the station that keeps the labels, or empty
    Column("person", Text, nullable=False),
    Column("given_at", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_reserved_letter", reserved.c.letter, reserved.c.first)
Index("ix_reserved_kind", reserved.c.kind, reserved.c.event)
Index("ix_reserved_station", reserved.c.station, reserved.c.kind, reserved.c.event)

GAP, PAD = "gap", "pad"
"""Why numbers are reserved: a restore skipped them, or they stand on labels kept ready."""
ANSWERED, DESTROYED = "answered", "destroyed"

spent = Table(
    "spent_label",
    metadata,
    Column("number", Text, primary_key=True),
    Column("state", Text, nullable=False),
    Column("goods", Text, nullable=False),  # what it stands for: a lot, an item, a carrier; or empty
    Column("reason", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_spent_label_goods", spent.c.goods)

_goods = Statement("SELECT goods FROM spent_label WHERE number = :number")
_spent = select(spent).where(spent.c.number == bindparam("number"))
_spent_of = select(spent).where(spent.c.number.in_(bindparam("numbers", expanding=True)))
_standing_for = select(spent.c.number).where(spent.c.goods == bindparam("goods")).order_by(spent.c.number)
_ranges = select(reserved).order_by(reserved.c.event, reserved.c.letter, reserved.c.year)
_pads = (
    select(reserved).where(reserved.c.kind == PAD).order_by(reserved.c.event.desc()).limit(bindparam("most"))
)
_pads_of = _pads.where(reserved.c.station == bindparam("station"))
_by_event = select(reserved).where(reserved.c.event == bindparam("event"), reserved.c.kind == PAD)
_around = select(reserved).where(
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


@event
@dataclass(frozen=True)
class PadLabelAnswered:
    """An emergency label was stuck on goods that have a number already: `pad` means `number` from now on.

    `number` is that of a lot, an item or a carrier. It is that label's first scan on the goods as well.
    """

    number: str
    pad: str


@event
@dataclass(frozen=True)
class PadLabelDestroyed:
    """A label kept ready is no more, or is not to be used: its number is refused from now on."""

    pad: str
    reason: str


@event
@dataclass(frozen=True)
class PadLabelFreed:
    """That a label kept ready was answered or destroyed was taken back: it is free again."""

    pad: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of reserved numbers; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Reserves nothing."""


@_apply.register
def _(event: LedgerRestored, connection: Connection, recorded: Recorded) -> None:
    for gap in event.gaps:
        keep(connection, recorded, gap, GAP)


@_apply.register
def _(event: PadLabelAnswered, connection: Connection, recorded: Recorded) -> None:
    _spend(connection, recorded, {"number": event.pad, "state": ANSWERED, "goods": event.number})


@_apply.register
def _(event: PadLabelDestroyed, connection: Connection, recorded: Recorded) -> None:
    told = {"number": event.pad, "state": DESTROYED, "reason": event.reason}
    _spend(connection, recorded, told)


@_apply.register
def _(event: PadLabelFreed, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(delete(spent).where(spent.c.number == event.pad))


def keep(connection: Connection, recorded: Recorded, gap: Gap, kind: str, station: str = "") -> None:
    """Reserve the numbers of a gap, or of a pad that a station keeps (empty for none)."""
    row = {"event": recorded.id, **dataclasses.asdict(gap), "kind": kind, "station": station}
    told = {"person": recorded.posting.person, "given_at": recorded.posting.happened}
    connection.execute(insert(reserved), [{**row, **told}])


def _spend(connection: Connection, recorded: Recorded, told: dict[str, str]) -> None:
    row = {"goods": "", "reason": "", **told}
    who = {"person": recorded.posting.person, "at": recorded.posting.happened}
    connection.execute(insert(spent), [{**row, **who}])


def reserved_ranges(connection: Connection) -> Sequence[Row[Any]]:
    """All ranges ever reserved: rows of event, letter, year, first, last, kind, station, person, given_at."""
    return connection.execute(_ranges).all()


def pad_ranges(connection: Connection, station: str, most: int) -> Sequence[Row[Any]]:
    """The last ranges that stand on labels kept ready, at a station or (empty) anywhere, the latest first."""
    if station:
        return connection.execute(_pads_of, {"station": station, "most": most}).all()
    return connection.execute(_pads, {"most": most}).all()


def pad_range(connection: Connection, event: int) -> Sequence[Row[Any]]:
    """The range on labels that an event set aside; none where it did not."""
    return connection.execute(_by_event, {"event": event}).all()


def is_reserved(connection: Connection, number: Number) -> bool:
    """Whether a number may be out there unrecorded, so that goods are posted with it."""
    return range_of(connection, number) is not None


def range_of(connection: Connection, number: Number) -> Row[Any] | None:
    """The range a reserved number is in, as `reserved_ranges` has them; None for what nobody reserved."""
    query = {"letter": number.letter, "year": number.year, "running": number.running}
    return connection.execute(_around, query).first()


def spent_label(connection: Connection, number: str) -> Row[Any] | None:
    """What became of a label that no goods were recorded with: number, state, goods, reason, person, at."""
    return connection.execute(_spent, {"number": number}).first()


def spent_labels(connection: Connection, numbers: Sequence[str]) -> dict[str, Row[Any]]:
    """The same of several numbers, by number, looked up a few hundred at a time."""
    found: dict[str, Row[Any]] = {}
    for start in range(0, len(numbers), AT_ONCE):
        some = list(numbers[start : start + AT_ONCE])
        found |= {row.number: row for row in connection.execute(_spent_of, {"numbers": some})}
    return found


def labels_standing_for(connection: Connection, goods: str) -> list[str]:
    """The emergency labels that are on goods beside their own number."""
    return [str(row.number) for row in connection.execute(_standing_for, {"goods": goods})]


def stands_for(connection: Connection, text: str) -> str:
    """The number of the goods an emergency label is on; any other text as it is. One look-up by key."""
    if len(text) != LENGTH or text[0] not in LOT_FAMILIES:
        return text
    return str(_goods.value(connection, {"number": text}) or text)
