"""Which facts make a check, and how do they become its table?

A check is judged when it is recorded, by the limits of the plant of then; the limits, where they are
from and how far they are to be trusted stay with it for ever.
"""

from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Index, Integer, Table, Text, insert, update

from lotroot.database import metadata
from lotroot.ledger.events import Body, Recorded, event, event_version

PASS, FAIL, NOTED = "pass", "fail", "noted"
"""Verdicts: within its limits, outside them, or read where the plant gives no limit."""

checked = Table(
    "checked",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),  # one row a judgement
    Column("subject", Text, nullable=False),  # the lot, item, run or carrier that was checked
    Column("lot", Text, nullable=False),  # empty where a whole run was checked
    Column("first", Integer, nullable=False),  # serials, 0 and 0 for all of it
    Column("last", Integer, nullable=False),
    Column("product", Text, nullable=False),
    Column("characteristic", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("readings", Text, nullable=False),  # decimals as typed, a space between
    Column("count", Integer, nullable=False),
    Column("found", Integer, nullable=False),
    Column("verdict", Text, nullable=False),  # pass, fail, noted
    Column("low", Text),
    Column("high", Text),
    Column("source", Text, nullable=False),
    Column("confidence", Text, nullable=False),
    Column("confirmed", Integer, nullable=False),
    Column("figure", BigInteger, nullable=False),  # what confirmed or overrode the limits, 0 for nothing
    Column("instrument", Text, nullable=False),
    Column("remark", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("station", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("voided", Integer, nullable=False),
    info={"layer": "status"},
)
Index("ix_checked_subject", checked.c.subject)
Index("ix_checked_lot", checked.c.lot)
Index("ix_checked_person", checked.c.person, checked.c.at)
Index("ix_checked_instrument", checked.c.instrument, checked.c.at)


@dataclass(frozen=True)
class Judgement:
    """What a check says of one lot, or of what a run makes of one product: limits as decimal text.

    `confirmed` is false where the limits are from memory and nobody confirmed them: then no acceptance rests
    on the verdict. `figure` is the event that confirmed or overrode them, 0 where none did.
    """

    verdict: str
    product: str = ""
    lot: str = ""
    first: int = 0
    last: int = 0
    low: str | None = None
    high: str | None = None
    source: str = ""
    confidence: str = "plant"
    confirmed: bool = True
    figure: int = 0


def _by_no_figure(body: Body) -> Body:
    """Limits could not be confirmed before: a judgement without `figure` rested on none."""
    return body


@event_version(2, {1: _by_no_figure})
@dataclass(frozen=True)
class Checked:
    """Something was read, or counted good and bad, on a lot, an item, a run or what a carrier holds.

    `readings` are decimals as typed, in `unit`; of an attribute `count` were looked at and `found` of
    them were not good. `instrument` is a thing's number, empty where none was named.
    """

    number: str
    characteristic: str
    judged: tuple[Judgement, ...]
    unit: str = ""
    readings: tuple[str, ...] = ()
    count: int = 0
    found: int = 0
    instrument: str = ""
    remark: str = ""


@event
@dataclass(frozen=True)
class CheckTakenBack:
    """A check never was; `check` is the event that recorded it."""

    number: str
    check: int


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of checks; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not a check."""


@_apply.register
def _(event: Checked, connection: Connection, recorded: Recorded) -> None:
    posting = recorded.posting
    shared = {
        "event": recorded.id,
        "subject": event.number,
        "characteristic": event.characteristic,
        "unit": event.unit,
        "readings": " ".join(event.readings),
        "count": event.count,
        "found": event.found,
        "instrument": event.instrument,
        "remark": event.remark,
        "person": posting.person,
        "station": posting.station,
        "at": posting.happened,
        "voided": 0,
    }
    rows = [{**shared, **_judged(one), "seq": seq} for seq, one in enumerate(event.judged, 1)]
    connection.execute(insert(checked), rows)


def _judged(one: Judgement) -> dict[str, Any]:
    row = {name: getattr(one, name) for name in Judgement.__dataclass_fields__}
    return {**row, "confirmed": int(one.confirmed)}


@_apply.register
def _(event: CheckTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(update(checked).where(checked.c.event == event.check).values(voided=1))
