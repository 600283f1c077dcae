"""What does a command of the laminated sheet mean at a station?"""

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Command
from lotroot.identity.showing import shown
from lotroot.moving.pallets import EmptyCarrier
from lotroot.processes.definition import Output
from lotroot.processes.naming import inside
from lotroot.production.loading import EndInput, UnloadInput
from lotroot.production.marking import CloseRun, MarkRun
from lotroot.web import station_blocks, verdicts
from lotroot.web import station_making as making
from lotroot.web.check_choices import due_on
from lotroot.web.desk import desk
from lotroot.web.scene import Act, Say
from lotroot.web.station_state import State, payoff_name
from lotroot.web.station_weighing import waits
from lotroot.work import Answer

WAITING = ("amount", "carrier", "payoff", "do", "label", "item")
"""What a first scan leaves in the page's context until a second one comes."""


def meaning(state: State, command: Command) -> Act | Say | None:
    """The meaning of a command; None where it means the same on every page."""
    if command is Command.UNDO:
        return _forgotten(state)
    means = _MEANINGS.get(command)
    if means is None:
        return None
    if command is Command.DONE:
        return means(state)
    if state.run is None:
        raise Refused(
            f"No run is open at {state.station.name}.",
            value=command.word,
            expected="Something that is loaded.",
            next_step="Scan what goes in first.",
        )
    return means(state)


def _forgotten(state: State) -> Say | None:
    """UNDO while a second scan is waited for takes back the first, which is not recorded yet."""
    context = state.scene.context
    if not any(name in context for name in WAITING):
        return None
    amount = context.get("amount")
    what = f"{state.scene.amount(amount, state.unit)} is" if isinstance(amount, int) else "The last scan is"
    kept = {name: value for name, value in context.items() if name == "output"}
    return Say(f"{what} forgotten; nothing had been recorded of it.", context=kept)


def _done(state: State) -> Act:
    """Close the run; a number that waits for its pan is recorded without one."""
    waiting = waits(state)
    if waiting is not None:
        return making.make(state, waiting)
    if station_blocks.in_hand(state):
        return station_blocks.alone(state)
    if state.run is None:
        raise Refused(
            f"No run is open at {state.station.name}.", word="already", next_step="Scan what goes in next."
        )
    run = state.run.number
    return Act(CloseRun(run), answers=_settled(state), told=lambda answer: _closed(state, run, answer))


def _closed(state: State, run: str, answer: Answer) -> Say:
    """What is still to be checked is said while whoever does it stands there."""
    with desk().house.reading() as connection:
        due = [inside(state.plant.characteristic(code).name) for code in due_on(connection, run)]
    outcome = verdicts.of_answer(answer, bool(state.scene.answers))
    checks = f"To be checked: {', '.join(due)}." if due else ""
    return Say(outcome.say, outcome.verdict, detail=f"{outcome.detail} {checks}".strip())


def _settled(state: State) -> dict[str, str]:
    """One answer for all that is still on, however many payoffs there are."""
    still = [load for load in state.loads if state.feed_of(load.stream) != "mixed" and state.left(load) > 0]
    if not still:
        return {}
    if state.process.feed == "as_is":
        return {f"left-{load.load}": "off" for load in still}
    by_tag = "of" in state.main.asks
    if len(still) == 1 and not by_tag:
        return {}  # the handler asks about one by name
    rows = [(load, find_lot(state.scene.connection, load.lot)) for load in still]
    units = {row.unit for _, row in rows}
    total = sum(state.left(load) for load in still)
    much = f" with {state.scene.amount(total, units.pop())}" if len(units) == 1 else ""
    choices = {"off": f"Take all off{much}", "ended": "Nothing, all have run out"}
    question = f"{len(still)} are still on. What is left of them?"
    if by_tag:
        question = f"{_packs(still)} not come out by tag. Leave this and scan the tag of each that did."
        choices = {"off": f"Not treated: take off{much}", "ended": "Nothing is left"}
    answer = state.scene.ask("left-all", question, choices)
    return {f"left-{load.load}": answer for load in still}


def _packs(still: Sequence[Row[Any]]) -> str:
    named = ", ".join(shown(load.lot) for load in still[:3])
    more = f" and {len(still) - 3} more" if len(still) > 3 else ""
    return f"{named}{more} {'has' if len(still) == 1 else 'have'}"


def _ended(state: State) -> Act:
    return Act(EndInput(payoff=_one_payoff(state)))


def _one_payoff(state: State) -> str:
    """The payoff scanned before, else the only one that is loaded."""
    scanned = str(state.scene.context.get("payoff", ""))
    if scanned or len(state.loads) == 1:
        return scanned
    if not state.loads:
        raise Refused("Nothing is loaded.", word="already", next_step="Scan what goes in.")
    names = ", ".join(payoff_name(state, load.payoff) for load in state.loads[:6])
    raise Refused(
        f"{len(state.loads)} are loaded.",
        expected=f"One of: {names}.",
        next_step="Scan the label of the payoff, then the command.",
    )


def _next(state: State) -> Act | Say:
    """NEXT: the next kind of output where there are several, else the coil has ended."""
    outputs = list(state.process.outputs)
    if len(outputs) == 1:
        return _ended(state)
    place = (outputs.index(state.chosen) + 1) % len(outputs)
    return choose(state, outputs[place])


def choose(state: State, output: Output) -> Say:
    """The next number is of another output from now on."""
    asks = output.asks[-1] if output.asks else "scan"
    how = {"of": "Scan its tag.", "scan": "Scan it."}.get(asks, f"Type the {asks}.")
    context = {"output": output.code} if output is not state.main else {}
    return Say(f"{output.name}. {how}", word="Then", context=context)


def _broke(state: State) -> Act:
    payoff = str(state.scene.context.get("payoff", ""))
    only = state.loads[0].payoff if len(state.loads) == 1 else ""
    return Act(MarkRun("broke", payoff=payoff or only))


def _wait(state: State) -> Act:
    return Act(MarkRun("started" if state.stopped else "stopped"), context=state.scene.context)


def _part(state: State) -> Act | Say:
    payoff = str(state.scene.context.get("payoff", ""))
    there = [load for load in state.loads if payoff in ("", load.payoff)]
    if not there:
        raise Refused("Nothing is on.", word="already", next_step="Scan what goes in.")
    if len(there) == 1:
        return part(state, str(there[0].lot))
    return Say("Scan what comes off.", word="Then", context={"do": "part"})


def part(state: State, lot: str) -> Act | Say:
    """Take a part coil off: as reckoned in one key, or weighed."""
    load = next(one for one in state.loads if one.lot == lot)
    row = find_lot(state.scene.connection, lot)
    left = max(state.left(load), 0)
    choices = {
        "yes": f"Take it off with {state.scene.amount(left, row.unit)}",
        "weigh": "I have weighed it",
        "ended": "Nothing is left of it",
    }
    answer = state.scene.ask(f"part-{load.load}-{left}", f"{shown(lot)}: how much is left?", choices)
    if answer == "yes":
        return Act(UnloadInput(lot))
    if answer == "ended":
        return Act(EndInput(payoff=load.payoff))
    said = f"Type what is left of {shown(lot)}."
    return Say(said, word="Then", context={"do": "weigh", "lot": lot})


def _scrap(state: State) -> Say:
    reasons = {reason.code: reason.words for reason in state.plant.reasons_of("scrap")}
    reason = state.scene.ask("scrap", "Why is it scrap?", reasons)
    context = {"do": "scrap", "reason": reason}
    return Say(f"{reasons[reason]}. Type the weight of the scrap.", word="Then", context=context)


def _empty(state: State) -> Act:
    carrier = str(state.scene.context.get("carrier", ""))
    if carrier:
        return Act(EmptyCarrier(carrier))
    if state.process.vessel is None:
        raise Refused(
            f"{state.station.name} has nothing that is emptied.",
            expected="A pan, or a machine with a drum or tank.",
            next_step="Scan the pan first, then EMPTY.",
        )
    return Act(MarkRun("empty"))


_MEANINGS: dict[Command, Callable[[State], Act | Say]] = {
    Command.DONE: _done,
    Command.ENDED: _ended,
    Command.NEXT: _next,
    Command.BROKE: _broke,
    Command.WAIT: _wait,
    Command.PART: _part,
    Command.SCRAP: _scrap,
    Command.EMPTY: _empty,
    Command.SAME_AGAIN: making.same_again,
}
