"""Which facts make a hold, and how do they become its tables (RULES 18-19)?

A hold has roots: the lots it names, or that matched it then or later. A release cuts: the hold no
longer comes through that lot, but still by any other path.
"""

from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Index,
    Integer,
    Table,
    Text,
    bindparam,
    insert,
    select,
    update,
)

from lotroot.database import metadata
from lotroot.ledger.events import Recorded, event

KINDS = ("hold", "checks", "drip", "recall")

hold = Table(
    "hold",
    metadata,
    Column("id", BigInteger, primary_key=True, autoincrement=False),  # the event that placed it
    Column("kind", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("heat", Text, nullable=False),
    Column("delivery", Text, nullable=False),
    Column("supplier", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("catches", Integer, nullable=False),  # 1: lots that come later, by heat, delivery or supplier
    info={"layer": "status"},
)
Index("ix_hold_catches", hold.c.catches)

_SPAN = ("hold", "lot", "first", "last")


def _span_columns() -> list[Column[Any]]:
    return [
        Column("event", BigInteger, primary_key=True, autoincrement=False),
        Column("hold", BigInteger, nullable=False),
        Column("lot", Text, nullable=False),
        Column("first", BigInteger, nullable=False),  # 0, 0: all of it
        Column("last", BigInteger, nullable=False),
    ]


hold_root = Table(
    "hold_root",
    metadata,
    *_span_columns(),
    Column("live", Integer, nullable=False),  # 0: released whole, so that nothing comes through it any more
    info={"layer": "status"},
)
hold_release = Table(
    "hold_release",
    metadata,
    *_span_columns(),
    Column("reason", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_hold_root_lot", hold_root.c.lot)
# A plant releases thousands of treated packs a year; a check looks at the roots that still hold something.
Index("ix_hold_root_live", hold_root.c.live, hold_root.c.lot)
Index("ix_hold_root_hold", hold_root.c.hold)
Index("ix_hold_release_lot", hold_release.c.lot)
Index("ix_hold_release_hold", hold_release.c.hold)
_released_whole = select(hold_release.c.event).where(
    hold_release.c.hold == bindparam("hold"), hold_release.c.lot == bindparam("lot"), hold_release.c.last == 0
)


@event
@dataclass(frozen=True)
class HoldPlaced:
    """A stop, of a kind, for a reason; `heat`, `delivery` and `supplier` let later lots match."""

    kind: str
    reason: str
    heat: str = ""
    delivery: str = ""
    supplier: str = ""


@event
@dataclass(frozen=True)
class HoldRootAdded:
    """A hold reaches this lot, or these serials or this stretch of it, and all made of them."""

    hold: int
    lot: str
    first: int = 0
    last: int = 0


@event
@dataclass(frozen=True)
class HoldEnded:
    """A hold by heat, delivery or supplier catches no more lots; what it holds stays held."""

    hold: int
    reason: str


@event
@dataclass(frozen=True)
class HoldReleased:
    """QA lets a lot, or serials or a stretch of it, through one hold."""

    hold: int
    lot: str
    reason: str
    first: int = 0
    last: int = 0


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of holds; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about holds."""


@_apply.register
def _(event: HoldPlaced, connection: Connection, recorded: Recorded) -> None:
    row = {
        "id": recorded.id,
        "kind": event.kind,
        "reason": event.reason,
        "heat": event.heat,
        "delivery": event.delivery,
        "supplier": event.supplier,
        "person": recorded.posting.person,
        "at": recorded.posting.happened,
        "catches": int(bool(event.heat or event.delivery or event.supplier)),
    }
    connection.execute(insert(hold), [row])


@_apply.register
def _(event: HoldEnded, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(update(hold).where(hold.c.id == event.hold).values(catches=0))


@_apply.register
def _(event: HoldRootAdded, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, **{name: getattr(event, name) for name in _SPAN}}
    released = connection.execute(_released_whole, {"hold": event.hold, "lot": event.lot}).first()
    connection.execute(insert(hold_root), [{**row, "live": int(released is None)}])


@_apply.register
def _(event: HoldReleased, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, **{name: getattr(event, name) for name in _SPAN}, "reason": event.reason}
    who = {"person": recorded.posting.person, "at": recorded.posting.happened}
    connection.execute(insert(hold_release), [{**row, **who}])
    if not event.last:
        of_it = (hold_root.c.lot == event.lot, hold_root.c.hold == event.hold)
        connection.execute(update(hold_root).where(*of_it).values(live=0))
