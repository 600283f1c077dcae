"""What else happens inside a run: a broken wire, a changed die, scrap, the end?"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.goods import one_lot
from lotroot.identity.showing import shown
from lotroot.plant.adopted import code_of, number_of
from lotroot.production.amounts import MOST, too_much
from lotroot.production.blocks import return_unused
from lotroot.production.dies_in_use import ask_dies
from lotroot.production.draining import ask_nothing_drained
from lotroot.production.facts import (
    InputEnded,
    InputUnloaded,
    ResourceUsed,
    RunClosed,
    RunMarked,
    Scrapped,
)
from lotroot.production.opening import run_meant, station_of, thing_shown
from lotroot.production.relinking import feed_of, relink, relink_later
from lotroot.production.remainders import of_load, reckoned_left
from lotroot.production.runs import Run
from lotroot.quantities import share_out
from lotroot.stock.events import SCRAP, Move, Moved
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, LabelRequest, Work

MARKS = {
    "broke": "Wire broke",
    "stopped": "Stopped",
    "started": "Running again",
    "operator": "Operator changed",
    "empty": "Vessel is empty",
    "note": "Noted",
}


@dataclass(frozen=True)
class MarkRun:
    """Something happened in the run: broke, stopped, started, operator, empty or note."""

    kind: str
    run: str = ""
    payoff: str = ""
    words: str = ""


@dataclass(frozen=True)
class ChangeTool:
    """A die set, mould or knife set works from now on, in place of the one of its kind."""

    thing: str
    run: str = ""


@dataclass(frozen=True)
class ScrapInput:
    """Part of what is loaded became scrap: `weight` in grams, for a reason of plant.toml.

    `lot` is the loaded lot it came from; where several are loaded and none is named it is shared out.
    `typed_by` is scale or hand, empty where it is not known.
    """

    weight: int
    reason: str
    run: str = ""
    lot: str = ""
    typed_by: str = ""


@dataclass(frozen=True)
class CloseRun:
    """The run is over: what is still on is taken off or has run out, and the difference is shown."""

    run: str = ""


def mark_run(work: Work, command: MarkRun) -> Answer:
    """Record a mark; *empty* also ends everything in a vessel."""
    if command.kind not in MARKS:
        raise Unreadable(
            "This mark is not known.",
            value=command.kind,
            expected=f"One of: {', '.join(MARKS)}.",
            next_step="Choose a mark.",
        )
    run = run_meant(work, command.run)
    work.record(RunMarked(run.number, command.kind, command.payoff, command.words))
    if command.kind == "empty":
        for load in run.loaded:
            work.record(InputEnded(run.number, load.load))
        relink(work, run.number)
    words = f": {command.words}" if command.words else ""
    return Answer(f"{MARKS[command.kind]}{words}.", (run.number,))


def change_tool(work: Work, command: ChangeTool) -> Answer:
    """Record which tool works from now on."""
    run = run_meant(work, command.run)
    code = code_of(work.connection, command.thing, "resource")
    kind = work.plant.resource(code).kind
    process = work.plant.process(run.row.process)
    if kind not in process.uses:
        raise Refused(
            f"{code} is not used in {process.name}.",
            value=command.thing,
            expected=f"One of: {', '.join(process.uses) or 'none'}.",
            next_step="Scan the tool that is in the machine.",
        )
    current = [one for one in run.uses if one.until is None]
    same_kind = [one for one in current if _kind_of(work, one.thing) == kind]
    if any(one.thing == command.thing for one in same_kind):
        raise Refused(
            f"{code} is in already, since {work.local_time(same_kind[-1].since)}.",
            word="already",
            value=command.thing,
            expected="Another tool.",
            next_step="Go on; nothing was recorded again.",
        )
    instead = same_kind[-1].thing if same_kind else ""
    work.record(ResourceUsed(run.number, command.thing, instead))
    out = f" in place of {thing_shown(work, instead)}" if instead else ""
    said = f"{work.plant.resource(code).name} works from now on{out}.{ask_dies(work, run.number)}"
    return Answer(said, (run.number,))


def _kind_of(work: Work, thing: str) -> str:
    code = code_of(work.connection, thing, "resource")
    found = work.plant.resources.get(code)
    return found.kind if found else ""


def scrap_input(work: Work, command: ScrapInput) -> Answer:
    """Record scrap of what is loaded, named by its reason."""
    run = run_meant(work, command.run, closed_too=work.posting.basis != "at once")
    reason = work.plant.reason(command.reason)
    if command.weight <= 0:
        raise Unreadable(
            "The scrap has no weight.",
            value=str(command.weight),
            expected="More than zero.",
            next_step="Weigh it and enter the number.",
        )
    if command.weight > MOST["g"]:
        raise too_much(work, "Scrap", command.weight, "g")
    by, loads = typed_by(command.typed_by), _scrapped_loads(work, run, command.lot)
    for load, amount in zip(loads, _shares(command.weight, loads), strict=True):
        if amount:
            own = amount if load.own == load.amount else amount * load.own // max(load.amount, 1)
            work.record(Scrapped(run.number, load.load, amount, own, reason.code, by))
            move = Move(load.lot, run.number, SCRAP, own, run=run.number, reason=reason.code)
            work.record(Moved((move,)))
    relink(work, run.number)
    for lot in sorted({load.lot for load in loads}):
        relink_later(work, run.number, lot, min(load.event for load in loads if load.lot == lot))
    say = f"Scrap: {reason.words}, {work.show(command.weight, 'g')}."
    return Answer(say, (run.number, *sorted({load.lot for load in loads})))


def _scrapped_loads(work: Work, run: Run, lot: str) -> list[Row[Any]]:
    in_grams = [one for one in run.inputs if work.plant.process(run.row.process).streams[one.stream] == "g"]
    if lot:
        number = one_lot(work.connection, lot).number
        in_grams = [one for one in in_grams if one.lot == number]
    on_now = [one for one in in_grams if one.ended_at is None and one.unloaded_at is None]
    found = on_now or in_grams[-1:]
    if not found:
        raise Refused(
            "Nothing was loaded that this scrap could be of.",
            value=lot,
            expected="A loaded lot.",
            next_step="Load the lot first, or name another.",
        )
    return found


def _shares(weight: int, loads: list[Row[Any]]) -> list[int]:
    weights = [one.weight for one in loads]
    return share_out(weight, weights if all(weights) else [max(one.amount, 1) for one in loads])


def close_run(work: Work, command: CloseRun) -> Answer:
    """Close a run: what is still loaded is settled by one answer each, then the difference shows."""
    run = run_meant(work, command.run)
    process = work.plant.process(run.row.process)
    for load in run.loaded:
        _settle(work, run, load, mixed=feed_of(process, load.stream) == "mixed")
    ask_nothing_drained(work, run, process)
    left_over = return_unused(work, run.number)
    work.record(RunClosed(run.number))
    relink(work, run.number)
    return Answer(f"Run {shown(run.number)} is closed.{left_over}", (run.number,))


def _settle(work: Work, run: Run, load: Row[Any], *, mixed: bool) -> None:
    left = max(reckoned_left(run, load), 0)
    if mixed or left == 0:
        work.record(InputEnded(run.number, load.load))
        return
    row = one_lot(work.connection, load.lot)
    answer = work.ask(
        f"left-{load.load}",
        f"{shown(load.lot)} is still on. What is left of it?",
        {"off": f"Take it off with {work.show(left, row.unit)}", "ended": "Nothing, it has run out"},
    )
    if answer == "ended":
        work.record(InputEnded(run.number, load.load))
        return
    place = number_of(work.connection, "place", station_of(work).place)
    work.record(Moved((Move(load.lot, run.number, place, left, run=run.number, reason="unloaded"),)))
    role = work.plant.process(run.row.process).input(load.role)
    process = work.plant.process(run.row.process)
    amount = left if role is None else of_load(work, process.streams[role.stream], load, left)
    work.record(InputUnloaded(run.number, load.load, amount, left, "calculated"))
    work.label(LabelRequest(load.lot, layout="part_coil"))
