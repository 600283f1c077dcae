"""Which facts make a set of dies another than plant.toml says, and how do they become its table?"""

from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Index, Integer, Table, Text, delete, insert

from lotroot.database import metadata
from lotroot.ledger.events import Recorded, event

die_recut = Table(
    "die_recut",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("thing", Text, nullable=False),
    Column("place", Integer, nullable=False),  # 1 is the entry
    Column("size_mm", Text, nullable=False),
    Column("was_mm", Text, nullable=False),
    Column("how", Text, nullable=False),  # recut, moved, new
    Column("words", Text, nullable=False),
    Column("listed", Text, nullable=False),  # the set's dies in plant.toml of then, a space between
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_die_recut_thing", die_recut.c.thing, die_recut.c.event)


@event
@dataclass(frozen=True)
class DieRecut:
    """A place of a die set holds a die of another size from now on; sizes in mm as read.

    `how`: the die was recut, was moved there from another place, or is new. `listed` are the dies that
    plant.toml gave the set then, a space between: once it gives others, its sizes are in force again.
    """

    thing: str
    place: int
    size_mm: str
    was_mm: str
    how: str
    listed: str
    words: str = ""


@event
@dataclass(frozen=True)
class DieRecutTakenBack:
    """A die was not recut after all; `recut` is the event that said so."""

    thing: str
    recut: int


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of recut dies; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about dies."""


@_apply.register
def _(event: DieRecut, connection: Connection, recorded: Recorded) -> None:
    row = {
        "event": recorded.id,
        "thing": event.thing,
        "place": event.place,
        "size_mm": event.size_mm,
        "was_mm": event.was_mm,
        "how": event.how,
        "words": event.words,
        "listed": event.listed,
        "person": recorded.posting.person,
        "at": recorded.posting.happened,
    }
    connection.execute(insert(die_recut), [row])


@_apply.register
def _(event: DieRecutTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(delete(die_recut).where(die_recut.c.event == event.recut))
