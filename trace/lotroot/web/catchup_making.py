"""What does a row of an emergency form record: a run that went on then, what went in, what came out of it?

What stands on paper, a hand wrote and a hand typed, whatever the page sees of the key pad's pace.
"""

import dataclasses
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.goods import goods, one_lot
from lotroot.identity import number_from
from lotroot.identity.showing import shown
from lotroot.pads.listing import received_kinds
from lotroot.processes.definition import Output, Process, Product
from lotroot.production.loading import LoadInput
from lotroot.production.marking import ChangeTool, ScrapInput
from lotroot.production.opening import OpenRun
from lotroot.production.runs import find_run, run_at_the_time
from lotroot.receiving.commands import ReceiveLot
from lotroot.stock.carriers import find_carrier
from lotroot.stock.typed import HAND
from lotroot.web import station_cuts
from lotroot.web.catchup_row import Begun
from lotroot.web.frame import when
from lotroot.web.scene import Act, Say, Scene
from lotroot.web.station_making import bundle_command, output_command, widths
from lotroot.web.station_state import State, lanes, payoff_name, products_of
from lotroot.web.station_weighing import Typed, net_or_gross, one_weighed
from lotroot.web.wording import spot_name


def state_at(scene: Scene, row: Begun) -> State:
    """How the station stood at the time of a row: the run that went on then, and what its label is for."""
    if scene.at is None or not scene.at.processes:
        raise Refused(
            "Nothing is made at this station.",
            expected="How much came in.",
            next_step="Type the weight or count of what came in.",
        )
    found = run_at_the_time(scene.connection, scene.station, row.at)
    run = find_run(scene.connection, found.number) if found is not None else None
    code = str(run.row.process) if run else _process(scene, row).code
    process = scene.plant.process(code)
    return State(scene, scene.at, process, run, _output(scene, process, row))


def _process(scene: Scene, row: Begun) -> Process:
    """The first process of the station that makes something with the letter of the label."""
    processes = [scene.plant.process(code) for code in (scene.at.processes if scene.at else ())]
    return next((one for one in processes if _lettered(scene, one, row)), processes[0])


def _lettered(scene: Scene, process: Process, row: Begun) -> list[Output]:
    letter = number_from(row.number).letter
    return [one for one in process.outputs if scene.plant.kind(one.kind).letter == letter]


def _output(scene: Scene, process: Process, row: Begun) -> Output:
    """Which output a label is for: the main one of its letter, else the first of it."""
    fitting = sorted(_lettered(scene, process, row), key=lambda one: one.by_product)
    if not fitting:
        raise Refused(
            f"{process.name}, which went on then, makes nothing with the letter {row.number[0]}.",
            value=row.number,
            expected="A label of what was made.",
            next_step="Check the time of the row, and its label.",
        )
    return fitting[0]


def at_time(scene: Scene, row: Begun, words: str) -> Act | Say:
    """The time of a row is told; where no run went on then, one is opened at that time."""
    said = Say(f"{words}.", word="Then", detail=_next(scene, row), context=row.context)
    if scene.at is None or not scene.at.processes:
        return said
    state = state_at(scene, row)
    if state.run is not None:
        return said
    product = _product(scene, state)
    told = Say(f"{words}: no run went on then, so one is recorded.", detail="Scan what went in.")
    return Act(OpenRun(state.process.code, product), row.context, told=lambda _answer: told, happened=row.at)


def _next(scene: Scene, row: Begun) -> str:
    if scene.at is None or not scene.at.processes:
        return "Type how much came in."
    state = state_at(scene, row)
    on = ", ".join(shown(load.lot) for load in state.loads[:3])
    return f"On then: {on}. Type how much came out." if on else "Scan what went in."


def _product(scene: Scene, state: State) -> str:
    """What was made, where the station makes several things of it: asked once, for the run."""
    if state.told_by_itself:
        return ""
    can = products_of(scene.plant, state.process)
    if len(can) == 1:
        return can[0].code
    return scene.ask("product", "What was made then?", {one.code: one.name for one in can})


def goes_in(scene: Scene, row: Begun, number: str) -> Act | Say:
    """A lot that went in; one that was on already is only named again."""
    state = state_at(scene, row)
    lot = one_lot(scene.connection, number)
    on = next((load for load in state.loads if load.lot == lot.number), None)
    if on is not None and "of" in state.chosen.asks and lot.kind != state.chosen.kind:
        return _output_of(state, row, str(lot.number))
    if on is not None:
        return _is_on(scene, row, on)
    return Act(
        LoadInput(number, run=_run(state), payoff=_payoff(state, row, str(lot.kind))),
        row._replace(payoff="").context,
        happened=row.at,
    )


def _is_on(scene: Scene, row: Begun, load: Row[Any]) -> Say:
    since = when(scene.plant, load.at)
    if load.at <= row.at:
        return Say(
            f"{shown(load.lot)} was on then, since {since}.", "already", detail="Type how much came out."
        )
    raise Refused(
        f"{shown(load.lot)} is recorded as put on later, {since}.",
        value=load.lot,
        expected=f"Put on by {when(scene.plant, row.at)}.",
        next_step="A supervisor puts right when it was put on, on the page of the run; then scan it again.",
    )


def _run(state: State) -> str:
    return state.run.number if state.run else ""


def _payoff(state: State, row: Begun, kind: str) -> str:
    """The payoff scanned before; else the only one there is for the kind, or the only free one of these."""
    if row.payoff or len(state.station.payoffs) <= 1:
        return row.payoff
    role = state.role_of(kind)
    fitting = [
        one.code for one in state.station.payoffs if not role or not role.payoffs or one.code in role.payoffs
    ]
    taken = {load.payoff for load in state.loads}
    for some in (fitting, [code for code in fitting if code not in taken]):
        if len(some) == 1:
            return some[0]
    raise Refused(
        "Which payoff was it on?",
        expected=f"One of: {', '.join(payoff_name(state, code) for code in fitting[:6])}.",
        next_step="Scan the label of the payoff, then the coil.",
    )


def _output_of(state: State, row: Begun, lot: str) -> Act:
    """A pack that came out under the label: all of what its old tag names."""
    found = find_lot(state.scene.connection, lot)
    loaded = state.plant.products.get(found.product)
    can = products_of(state.plant, state.process)
    same = [one.code for one in can if loaded and one.size == loaded.size]
    command = output_command(state, Typed(0), "")
    product = same[0] if len(same) == 1 else ""
    command = dataclasses.replace(command, of=lot, product=product, number=row.number, run=_run(state))
    return Act(command, row.after(), happened=row.at)


def carrier(scene: Scene, row: Begun, number: str) -> Act | Say:
    """A pan that holds something went in; an empty one is what this row went into."""
    found = find_carrier(scene.connection, number)
    state = state_at(scene, row)
    held = goods(scene.connection, str(found.number))
    if held and state.role_of(held[0].lot.kind) is not None and not state.chosen.carrier:
        return goes_in(scene, row, number)
    name = spot_name(scene.connection, scene.plant, str(found.number))
    said = f"{name}. Type how much came out."
    return Say(said, word="Then", context=row._replace(carrier=str(found.number)).context)


def thing(scene: Scene, row: Begun, found: Row[Any]) -> Act | Say:
    """A payoff of this station, a tool that was in from then on, or a vessel whose content went in."""
    state = state_at(scene, row)
    if found.kind == "resource":
        return Act(ChangeTool(found.number, _run(state)), row.context, happened=row.at)
    if found.kind == "vessel":
        return goes_in(scene, row, str(found.number))
    if found.owner != state.station.code:
        raise Refused(
            f"That payoff is not one of {state.station.name}.",
            value=found.number,
            expected="A payoff of this station.",
            next_step="Scan the payoff, then the coil that was on it.",
        )
    name = payoff_name(state, found.code)
    context = row._replace(payoff=str(found.code)).context
    return Say(f"{name}. Scan what was on it.", word="Then", context=context)


def amount(scene: Scene, row: Begun, text: str) -> Act:
    """How much came out, which ends the row; or the weight of scrap, which does not."""
    if scene.at is not None and not scene.at.processes:
        return _received(scene, row, text)
    state = state_at(scene, row)
    if row.scrap:
        weight = scene.typed(text, "g")
        context = row._replace(scrap="").context
        scrap = ScrapInput(weight, row.scrap, _run(state), typed_by=HAND)
        return Act(scrap, context, happened=row.at)
    if "lane" in state.chosen.asks and not lanes(state):
        return dataclasses.replace(widths(state, text), context=row.context, happened=row.at)
    if not state.asks:
        raise Unreadable(
            f"{state.chosen.name} takes no number.",
            value=text,
            expected="The old tag of what came out.",
            next_step="Scan the tag.",
        )
    if state.asks == "cut":
        bundle = bundle_command(state, station_cuts.read(state, text))
        by = HAND if bundle.weight else ""
        bundle = dataclasses.replace(bundle, number=row.number, run=_run(state), typed_by=by)
        return Act(bundle, row.after(), happened=row.at)
    typed = one_weighed(state, text, HAND)
    if typed is not None:
        return _made(state, row, typed)
    figure, gross = net_or_gross(state, text)
    much = scene.typed(figure, state.unit)
    if state.chosen.carrier and not row.carrier:
        choices = {"none": "It stood without one"}
        scene.ask(f"carrier-{much}", f"Which {state.chosen.carrier}? Leave this and scan it first.", choices)
    return _made(state, row, Typed(much, HAND, gross and bool(row.carrier)))


def _made(state: State, row: Begun, typed: Typed) -> Act:
    """So much came out under the label of the row, which ends it."""
    command = output_command(state, typed, row.carrier)
    command = dataclasses.replace(command, number=row.number, run=_run(state))
    return Act(command, row.after(), happened=row.at)


def _received(scene: Scene, row: Begun, text: str) -> Act:
    """What came in: its details are told later, as of any emergency receipt."""
    product = _received_product(scene, row)
    kind = scene.plant.kind(product.kind)
    much = scene.typed(text, "pcs" if kind.axis == "serial" else kind.unit)
    by_serial = kind.axis == "serial"
    command = ReceiveLot(
        product=product.code,
        number=row.number,
        emergency=True,
        how="counted" if kind.unit == "pcs" else "weighed",
        items=much if by_serial else 0,
        amount=0 if by_serial else much,
        typed_by=HAND,
    )
    return Act(command, row.after(), happened=row.at)


def _received_product(scene: Scene, row: Begun) -> Product:
    kinds = [code for code in received_kinds(scene.plant) if scene.plant.kind(code).letter == row.number[0]]
    can = [one for one in scene.plant.products.values() if one.kind in kinds]
    if len(can) == 1:
        return can[0]
    code = scene.ask("product", "What came in?", {one.code: one.name for one in can})
    return scene.plant.product(code)
