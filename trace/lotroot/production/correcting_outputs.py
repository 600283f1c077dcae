"""What if an output's amount or time, a tool or a person was recorded wrongly (RULES 14)?"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import AmountCorrected
from lotroot.genealogy.item_masses import Some, grams_of
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.plant.adopted import code_of
from lotroot.production.facts import (
    LoadTimed,
    OutputCorrected,
    ResourceCorrected,
    ResourceUsed,
    RunPersonCorrected,
)
from lotroot.production.relinking import relink
from lotroot.production.runs import Run, find_run, judged_by
from lotroot.stock.events import BORN, DIFFERENCE, Move, Moved
from lotroot.stock.standing import standings
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, Work


@dataclass(frozen=True)
class CorrectOutput:
    """Output `output` of a run was `own` in its lot's unit (and `mass` grams where the kind has one).

    `typed_by` is scale or hand, empty where it is not known.
    """

    run: str
    output: int
    own: int
    mass: int = 0
    typed_by: str = ""


@dataclass(frozen=True)
class CorrectTime:
    """An output was finished, or an input loaded, at another time (`at`, microseconds UTC)."""

    run: str
    at: int
    output: int = 0
    load: int = 0


@dataclass(frozen=True)
class CorrectUse:
    """Another die set or mould (`thing`, empty for none), or another person (`worker`), worked the run."""

    run: str
    was: str = ""
    thing: str = ""
    worker: str = ""


def correct_output(work: Work, command: CorrectOutput) -> Answer:
    """Put an output's amount right; links and what its inputs gave follow."""
    run = find_run(work.connection, command.run)
    output = output_of(run, command.output)
    if command.own <= 0:
        raise Unreadable(
            "An output cannot be nothing.",
            value=str(command.own),
            expected="More than zero.",
            next_step="To take it back altogether, void its posting.",
        )
    row = find_lot(work.connection, output.lot)
    more = command.own - output.own
    amount = _in_proportion(output.amount, command.own, output.own)
    if command.mass and row.unit != "g":
        amount = command.mass if work.plant.process(run.row.process).streams[output.stream] == "g" else amount
    times = (output.began, output.ended, output.of)
    work.record(OutputCorrected(run.number, output.seq, amount, command.own, *times))
    mass = _mass(work, row, output, command)
    told = (row.number, row.amount + more, row.amount, row.how, mass)
    by = typed_by(command.typed_by) if row.how == "weighed" else ""
    work.record(AmountCorrected(*told, typed_by=by, first=output.first, last=output.last))
    work.record(Moved(tuple(_follow(work, row, output, more))))
    relink(work, run.number)
    return Answer(
        f"{shown(row.number)} is now {work.show(row.amount + more, row.unit)}.", (row.number, run.number)
    )


def _mass(work: Work, row: Row[Any], output: Row[Any], command: CorrectOutput) -> int | None:
    """The lot's mass with this output as it is now: the other outputs weigh what they weighed."""
    if row.mass is None:
        return None
    was = grams_of(work.connection, row, Some(output.own, output.first, output.last)) or 0
    now = command.mass or _in_proportion(was, command.own, output.own)
    return max(int(row.mass) + now - was, 0)


def _in_proportion(value: int, new: int, old: int) -> int:
    return value * new // old if old else new


def _follow(work: Work, row: Row[Any], output: Row[Any], more: int) -> list[Move]:
    """The change goes to where the goods stand; where they are gone it is a difference."""
    spots = [one for one in standings(work.connection, row.number) if not one.first]
    target = spots[0].spot if len(spots) == 1 and row.axis == "amount" else DIFFERENCE
    if target == DIFFERENCE:
        work.put_in_question(row.number, "Its amount was corrected after it was used.")
    if more > 0:
        return [Move(row.number, BORN, target, more, run=output.run, reason="output corrected")]
    return [Move(row.number, target, BORN, -more, run=output.run, reason="output corrected")]


def output_of(run: Run, seq: int) -> Row[Any]:
    """One output of a run. Raises Refused."""
    for one in run.outputs:
        if one.seq == seq:
            return one
    raise Refused(
        f"Run {shown(run.number)} has no output {seq}.",
        value=str(seq),
        expected=f"Outputs: {', '.join(str(one.seq) for one in run.outputs) or 'none'}.",
        next_step="Look at the run's page.",
    )


def correct_time(work: Work, command: CorrectTime) -> Answer:
    """Put the time of an output or a load right; links follow."""
    run = find_run(work.connection, command.run)
    if command.at > work.posting.entered:
        raise Refused(
            "The time given lies in the future.",
            value=work.local_time(command.at),
            expected="Now or earlier.",
            next_step="Correct the time.",
        )
    if command.output:
        one = output_of(run, command.output)
        began = min(one.began, command.at)
        work.record(OutputCorrected(run.number, one.seq, one.amount, one.own, began, command.at, one.of))
        number = one.lot
    else:
        load = run.load(command.load)
        work.record(LoadTimed(run.number, load.load, command.at, load.at))
        number = load.lot
    relink(work, run.number, doubted=True)
    return Answer(f"{shown(number)}: the time is {work.local_time(command.at)}.", (run.number, number))


def correct_use(work: Work, command: CorrectUse) -> Answer:
    """Put right which tool or person worked a run."""
    run = find_run(work.connection, command.run)
    if command.worker:
        work.record(RunPersonCorrected(run.number, command.worker, run.row.person))
        who = shown(command.worker)
        return Answer(f"Run {shown(run.number)} was worked by {who}.", (run.number, command.worker))
    if command.thing:
        code_of(work.connection, command.thing, "resource")
    if command.was:
        if command.was not in [use.thing for use in run.uses]:
            raise Refused(
                f"{code_of(work.connection, command.was, 'resource')} is not recorded in this run.",
                value=command.was,
                expected="A tool of the run.",
                next_step="Look at the run's page.",
            )
        work.record(ResourceCorrected(run.number, command.was, command.thing))
    else:
        work.record(ResourceUsed(run.number, command.thing))
    plant = judged_by(work.connection, run.row)[0]
    code = code_of(work.connection, command.thing, "resource") if command.thing else ""
    tool = plant.resources[code].name if code in plant.resources else code or "no such tool"
    return Answer(f"Run {shown(run.number)} was worked with {tool}.", (run.number,))
