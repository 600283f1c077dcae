"""How do the facts of a count become its tables?"""

from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, delete, insert, update

from lotroot.counting.choices import OPEN
from lotroot.counting.facts import (
    CountFinished,
    CountOpened,
    CountReopened,
    CountTakenBack,
    DifferenceSettled,
    GoodsCounted,
    SettlementTakenBack,
    SightingTakenBack,
)
from lotroot.counting.tables import count, difference, sighting
from lotroot.ledger.events import Recorded


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of counts; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not a fact of a count."""


@_apply.register
def _(event: CountOpened, connection: Connection, recorded: Recorded) -> None:
    row = {"id": recorded.id, "place": event.place, "state": "open", "expected": 0, "seen": 0}
    who = {"person": recorded.posting.person, "opened": recorded.posting.happened, "finished_by": ""}
    connection.execute(insert(count), [{**row, **who}])


@_apply.register
def _(event: GoodsCounted, connection: Connection, recorded: Recorded) -> None:
    rows = [
        {
            "event": recorded.id,
            "seq": seq,
            "of_count": event.count,
            "number": event.number,
            "lot": one.lot,
            "first": one.first,
            "last": one.last,
            "spot": one.spot,
            "stood": one.stood,
            "amount": one.amount,
            "weighed": event.weighed if one.lot else 0,
            "typed_by": event.typed_by if one.lot else "",
            "person": recorded.posting.person,
            "at": recorded.posting.happened,
        }
        for seq, one in enumerate(event.seen)
    ]
    connection.execute(insert(sighting), rows)


@_apply.register
def _(event: SightingTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(delete(sighting).where(sighting.c.event == event.sighting))


@_apply.register
def _(event: CountTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(update(count).where(count.c.id == event.count).values(state="void"))


@_apply.register
def _(event: CountFinished, connection: Connection, recorded: Recorded) -> None:
    values = {"state": "finished", "expected": event.expected, "seen": event.seen}
    who = {"finished_by": recorded.posting.person, "finished": recorded.posting.happened}
    connection.execute(update(count).where(count.c.id == event.count).values(**values, **who))
    rows = [
        {
            "of_count": event.count,
            "seq": one.seq,
            "place": event.place,
            "kind": one.kind,
            "lot": one.lot,
            "first": one.first,
            "last": one.last,
            "carrier": one.carrier,
            "spot": one.spot,
            "stood": one.stood,
            "amount": one.amount,
            "weighed": one.weighed,
            "questions": " ".join(map(str, one.questions)),
            "choice": "",
            "waiting": 1,
            "words": "",
            "person": "",
        }
        for one in event.differences
    ]
    if rows:
        connection.execute(insert(difference), rows)


@_apply.register
def _(event: CountReopened, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(delete(difference).where(difference.c.of_count == event.count))
    values = {"state": "open", "expected": 0, "seen": 0, "finished_by": "", "finished": None}
    connection.execute(update(count).where(count.c.id == event.count).values(**values))


@_apply.register
def _(event: DifferenceSettled, connection: Connection, recorded: Recorded) -> None:
    who = {"person": recorded.posting.person, "at": recorded.posting.happened}
    _decide(connection, event, {"words": event.words, **who})


@_apply.register
def _(event: SettlementTakenBack, connection: Connection, _recorded: Recorded) -> None:
    _decide(connection, event, {"words": "", "person": "", "at": None})


def _decide(
    connection: Connection, event: DifferenceSettled | SettlementTakenBack, values: dict[str, Any]
) -> None:
    which = (difference.c.of_count == event.count, difference.c.seq == event.seq)
    decided = {"choice": event.choice, "waiting": int(event.choice in OPEN)}
    connection.execute(update(difference).where(*which).values(**decided, **values))
