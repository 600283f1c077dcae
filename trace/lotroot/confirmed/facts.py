"""Which facts confirm, override or withdraw a figure, and how do they become its table?

Person and date are those of the posting. The figure as it stood then stays in the event for ever.
"""

from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Integer, Table, Text, insert, update

from lotroot.database import metadata
from lotroot.ledger.canonical import canonical
from lotroot.ledger.events import Recorded, event

decided = Table(
    "figure",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("table_name", Text, nullable=False),
    Column("row_name", Text, nullable=False),  # its leading texts, as Figure.row writes them
    Column("digest", Text, nullable=False, index=True),
    Column("stood", Text, nullable=False),  # what the figure said, in words
    Column("overridden", Integer, nullable=False),
    Column("replaced", Text, nullable=False),  # by an override: canonical JSON by column
    Column("reason", Text, nullable=False),  # what it was confirmed against, or why overridden
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("withdrawn", BigInteger),
    info={"layer": "status"},
)


@dataclass(frozen=True)
class Value:
    """The text of one column."""

    column: str
    text: str


@event
@dataclass(frozen=True)
class FigureConfirmed:
    """A person stands behind a figure as it is: `stood` is what it says, `against` what they read."""

    table: str
    row: str
    digest: str
    stood: str
    against: str


@event
@dataclass(frozen=True)
class FigureOverridden:
    """In place of a figure the plant goes by other values, for a reason; columns not named stay."""

    table: str
    row: str
    digest: str
    stood: str
    values: tuple[Value, ...]
    reason: str


@event
@dataclass(frozen=True)
class FigureWithdrawn:
    """A confirmation or override counts no more; `figure` is the event that recorded it."""

    table: str
    row: str
    figure: int
    reason: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of figures; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not about a figure."""


@_apply.register
def _(event: FigureConfirmed, connection: Connection, recorded: Recorded) -> None:
    row = _row(event, recorded) | {"overridden": 0, "replaced": "{}", "reason": event.against}
    connection.execute(insert(decided), [row])


@_apply.register
def _(event: FigureOverridden, connection: Connection, recorded: Recorded) -> None:
    values = canonical({one.column: one.text for one in event.values})
    row = _row(event, recorded) | {"overridden": 1, "replaced": values, "reason": event.reason}
    connection.execute(insert(decided), [row])


@_apply.register
def _(event: FigureWithdrawn, connection: Connection, recorded: Recorded) -> None:
    change = update(decided).where(decided.c.event == event.figure).values(withdrawn=recorded.id)
    connection.execute(change)


def _row(event: FigureConfirmed | FigureOverridden, recorded: Recorded) -> dict[str, Any]:
    return {
        "event": recorded.id,
        "table_name": event.table,
        "row_name": event.row,
        "digest": event.digest,
        "stood": event.stood,
        "person": recorded.posting.person,
        "at": recorded.posting.happened,
    }
