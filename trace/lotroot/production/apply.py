"""How do the facts of runs become their tables?"""

from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, and_, bindparam, delete, insert, select, update

from lotroot.ledger.events import Recorded
from lotroot.production import bin_facts, block_facts, cut_facts, facts
from lotroot.production.tables import (
    bin_weighing,
    item_cut,
    label_block,
    label_unused,
    run,
    run_input,
    run_join,
    run_mark,
    run_output,
    run_scrap,
    run_use,
)
from lotroot.stock.events import LoadsBooked

_booked = (
    update(run_input)
    .where(run_input.c.run == bindparam("of"), run_input.c.load == bindparam("this"))
    .values(
        taken=run_input.c.taken + bindparam("more"),
        difference=run_input.c.difference + bindparam("gone"),
    )
)

NOTHING_LEFT = {"remainder": 0, "left_how": "", "typed_by": ""}
"""A load of which nothing came off again."""


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of runs; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about runs."""


@_apply.register
def _(event: facts.RunOpened, connection: Connection, recorded: Recorded) -> None:
    row = {
        "number": event.run,
        "process": event.process,
        "station": event.station,
        "product": event.product,
        "plant": recorded.posting.plant,
        "person": recorded.posting.person,
        "shift": event.shift,
        "opened": recorded.posting.happened,
        "opened_event": recorded.id,
        "voided": 0,
    }
    connection.execute(insert(run), [row])


@_apply.register
def _(event: facts.RunClosed, connection: Connection, recorded: Recorded) -> None:
    _run(connection, event.run, closed=recorded.posting.happened, closed_event=recorded.id)


@_apply.register
def _(event: facts.RunReopened, connection: Connection, _recorded: Recorded) -> None:
    _run(connection, event.run, closed=None, closed_event=None)


@_apply.register
def _(event: facts.RunVoided, connection: Connection, recorded: Recorded) -> None:
    _run(connection, event.run, voided=1, closed=recorded.posting.happened, closed_event=recorded.id)


@_apply.register
def _(event: facts.ResourceUsed, connection: Connection, recorded: Recorded) -> None:
    if event.instead:
        where = (run_use.c.run == event.run, run_use.c.thing == event.instead, run_use.c.until.is_(None))
        connection.execute(update(run_use).where(*where).values(until=recorded.posting.happened))
    row = {"event": recorded.id, "run": event.run, "thing": event.thing, "since": recorded.posting.happened}
    connection.execute(insert(run_use), [row])


@_apply.register
def _(event: facts.ResourceCorrected, connection: Connection, _recorded: Recorded) -> None:
    where = and_(run_use.c.run == event.run, run_use.c.thing == event.was)
    if event.thing:
        connection.execute(update(run_use).where(where).values(thing=event.thing))
        return
    gone = connection.execute(select(run_use).where(where).order_by(run_use.c.event.desc())).first()
    if gone is not None:
        before = and_(run_use.c.run == event.run, run_use.c.until == gone.since)
        connection.execute(update(run_use).where(before).values(until=None))
        connection.execute(delete(run_use).where(run_use.c.event == gone.event))


@_apply.register
def _(event: facts.RunPersonCorrected, connection: Connection, _recorded: Recorded) -> None:
    _run(connection, event.run, person=event.person)


@_apply.register
def _(event: facts.LoadTimed, connection: Connection, _recorded: Recorded) -> None:
    _load(connection, event, at=event.at)


@_apply.register
def _(event: facts.JoinTakenBack, connection: Connection, _recorded: Recorded) -> None:
    where = (run_join.c.child == event.child, run_join.c.parent == event.parent)
    connection.execute(delete(run_join).where(*where))


@_apply.register
def _(event: facts.MarkTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(delete(run_mark).where(run_mark.c.event == event.event))


@_apply.register
def _(event: facts.InputLoaded, connection: Connection, recorded: Recorded) -> None:
    row = {
        "run": event.run,
        "load": event.load,
        "lot": event.lot,
        "first": event.first,
        "last": event.last,
        "role": event.role,
        "stream": event.stream,
        "payoff": event.payoff,
        "amount": event.amount,
        "own": event.own,
        "end": event.end,
        "weight": event.weight,
        "at": recorded.posting.happened,
        "event": recorded.id,
    }
    blank = {"next_load": 0, **NOTHING_LEFT, "taken": 0, "difference": 0, "voided": 0}
    connection.execute(insert(run_input), [{**row, **blank}])


@_apply.register
def _(event: facts.InputEnded, connection: Connection, recorded: Recorded) -> None:
    values = {"next_load": event.next_load, "counter": event.counter}
    at = {"ended_at": recorded.posting.happened, "ended_event": recorded.id}
    _load(connection, event, **values, **at)


@_apply.register
def _(event: facts.EndCorrected, connection: Connection, recorded: Recorded) -> None:
    values = {"next_load": event.next_load, "counter": event.counter}
    at = {"ended_at": event.at or None, "ended_event": recorded.id if event.at else None}
    _load(connection, event, **values, **at)


@_apply.register
def _(event: facts.InputUnloaded, connection: Connection, recorded: Recorded) -> None:
    at = {"unloaded_at": recorded.posting.happened, "unloaded_event": recorded.id}
    left = {"remainder": event.remainder, "left_how": event.how, "typed_by": event.typed_by}
    _load(connection, event, **left, **at)


@_apply.register
def _(event: facts.RemainderCorrected, connection: Connection, _recorded: Recorded) -> None:
    _load(connection, event, remainder=event.remainder, left_how=event.how, typed_by=event.typed_by)


@_apply.register
def _(event: facts.UnloadTakenBack, connection: Connection, _recorded: Recorded) -> None:
    _load(connection, event, **NOTHING_LEFT, unloaded_at=None, unloaded_event=None)


@_apply.register
def _(event: LoadsBooked, connection: Connection, _recorded: Recorded) -> None:
    rows = [
        {"of": event.run, "this": one.load, "more": one.taken, "gone": one.difference} for one in event.loads
    ]
    connection.execute(_booked, rows)


@_apply.register
def _(event: facts.LoadCorrected, connection: Connection, _recorded: Recorded) -> None:
    values = {name: getattr(event, name) for name in ("lot", "amount", "own", "first", "last")}
    # What was put back stays with the lot that was taken off; the right one was loaded as what it gave.
    _load(connection, event, **values, end=event.end, taken=0, difference=0, **NOTHING_LEFT)


@_apply.register
def _(event: facts.LoadRecounted, connection: Connection, _recorded: Recorded) -> None:
    _load(connection, event, amount=event.amount, own=event.own)


@_apply.register
def _(event: facts.LoadTakenBack, connection: Connection, _recorded: Recorded) -> None:
    _load(connection, event, voided=1)


@_apply.register
def _(event: facts.OutputMade, connection: Connection, recorded: Recorded) -> None:
    names = ("run", "seq", "output", "lot", "stream", "amount", "own", "first", "last", "began", "of")
    more = ("counter_from", "counter_to", "lane_from", "lane_to", "basis", "shift")
    weighed = ("typed_by", "gross", "tare")
    row = {name: getattr(event, name) for name in names + more + weighed}
    who = {"ended": recorded.posting.happened, "person": recorded.posting.person}
    connection.execute(insert(run_output), [{**row, **who, "event": recorded.id, "voided": 0}])


@_apply.register
def _(event: cut_facts.CutListMade, connection: Connection, _recorded: Recorded) -> None:
    rows = [
        {
            "run": event.run,
            "seq": event.seq,
            "line": line,
            "lot": event.lot,
            "serial": event.serial,
            "count": cut.count,
            "length_mm": cut.length_mm,
        }
        for line, cut in enumerate(event.cuts, 1)
    ]
    connection.execute(insert(item_cut), rows)


@_apply.register
def _(event: facts.OutputCorrected, connection: Connection, _recorded: Recorded) -> None:
    values = {"amount": event.amount, "own": event.own, "of": event.of}
    _output(connection, event, **values, began=event.began, ended=event.ended)


@_apply.register
def _(event: facts.OutputTakenBack, connection: Connection, _recorded: Recorded) -> None:
    _output(connection, event, voided=1)


@_apply.register
def _(event: facts.ContentJoined, connection: Connection, _recorded: Recorded) -> None:
    row = {"child": event.child, "parent": event.parent, "run": event.run}
    amounts = {"taken": event.taken, "given": event.given, "stream": event.stream}
    connection.execute(insert(run_join), [{**row, **amounts}])


@_apply.register
def _(event: facts.Scrapped, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, "run": event.run, "load": event.load, "amount": event.amount}
    rest = {name: getattr(event, name) for name in ("own", "reason", "typed_by", "how", "weighing")}
    connection.execute(insert(run_scrap), [{**row, **rest, "at": recorded.posting.happened, "voided": 0}])


@_apply.register
def _(event: bin_facts.BinWeighed, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, "person": recorded.posting.person, "voided": 0}
    connection.execute(insert(bin_weighing), [{**row, **vars(event)}])


@_apply.register
def _(event: bin_facts.BinWeighingTakenBack, connection: Connection, _recorded: Recorded) -> None:
    gone = update(bin_weighing).where(bin_weighing.c.event == event.event)
    connection.execute(gone.values(voided=1))


@_apply.register
def _(event: facts.ScrapTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(update(run_scrap).where(run_scrap.c.event == event.event).values(voided=1))


@_apply.register
def _(event: facts.RunMarked, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, "run": event.run, "kind": event.kind, "payoff": event.payoff}
    who = {"person": recorded.posting.person, "at": recorded.posting.happened, "words": event.words}
    connection.execute(insert(run_mark), [{**row, **who}])


@_apply.register
def _(event: block_facts.BlockPrinted, connection: Connection, recorded: Recorded) -> None:
    row = {name: getattr(event, name) for name in ("run", "lot", "output", "first", "last")}
    connection.execute(insert(label_block), [{"event": recorded.id, **row}])


@_apply.register
def _(event: block_facts.ItemsSpoiled, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, "lot": event.lot, "why": "spoiled"}
    rows = [{**row, "first": serial, "last": serial} for serial in event.serials]
    connection.execute(insert(label_unused), rows)


@_apply.register
def _(event: block_facts.LabelsReturned, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, "lot": event.lot, "why": "returned"}
    connection.execute(insert(label_unused), [{**row, "first": event.first, "last": event.last}])


@_apply.register
def _(event: block_facts.BlockTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(delete(label_block).where(label_block.c.event == event.event))
    connection.execute(delete(label_unused).where(label_unused.c.event == event.event))


def _run(connection: Connection, number: str, **values: Any) -> None:
    connection.execute(update(run).where(run.c.number == number).values(**values))


def _load(connection: Connection, event: Any, **values: Any) -> None:
    where = (run_input.c.run == event.run, run_input.c.load == event.load)
    connection.execute(update(run_input).where(*where).values(**values))


def _output(connection: Connection, event: Any, **values: Any) -> None:
    where = (run_output.c.run == event.run, run_output.c.seq == event.seq)
    connection.execute(update(run_output).where(*where).values(**values))
