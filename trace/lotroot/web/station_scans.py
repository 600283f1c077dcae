"""What does a scan mean at a station, as it stands?

One scan loads, one number makes, one command ends. Where two scans belong together (payoff and coil, pan and
weight) the first is kept in the page's context until the second comes.
"""

from typing import Any

from lotroot.errors import Refused, Unknown
from lotroot.genealogy.lots import find_lot
from lotroot.goods import goods, one_lot
from lotroot.holds.reach import held_by
from lotroot.identity import Command, ItemNumber, Number, is_carrier, is_lot, is_thing, number_from
from lotroot.identity.showing import shown
from lotroot.moving.places import MoveGoods
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Product
from lotroot.processes.naming import inside
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import ChangeTool
from lotroot.production.opening import OpenRun
from lotroot.reserved import LENGTH, range_of, spent_label
from lotroot.stock.carriers import contents, find_carrier
from lotroot.web import station_bins, station_blocks, station_cuts
from lotroot.web import station_commands as commands
from lotroot.web import station_making as making
from lotroot.web.frame import local
from lotroot.web.scene import Act, Say, Scanned, Scene
from lotroot.web.station_dies import finishes, recut
from lotroot.web.station_state import (
    State,
    drained_here,
    fitting,
    kind_of_carrier,
    payoff_name,
    products_at,
    products_of,
    state_of,
)
from lotroot.web.station_weighing import WAITING

HELP = (
    "Scan a coil, stripper or pan to load it. Type the weight or count of what was made. ENDED: the coil ran "
    "out. PART: take the rest off. SCRAP, BROKE, WAIT, UNDO, PRINT AGAIN. DONE: close the run. A scrap bin, "
    "then its weight: what is in it goes to the runs that threw into it."
)


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """The meaning of one scan; None where it is nothing of a station's."""
    weighed = station_bins.meaning(scene, scanned)
    if weighed is not None:
        return weighed
    state = state_of(scene)
    if state is None:
        raise Refused(
            "This terminal stands at no machine.",
            expected="A machine's own label.",
            next_step="Scan the machine's label, or open another page.",
        )
    value = scanned.value
    if isinstance(value, Command):
        return commands.meaning(state, value)
    if isinstance(value, Number | ItemNumber):
        return _number(state, value)
    if value is None:
        return _typed(state, scanned.text.strip())
    return None


def _number(state: State, value: Number | ItemNumber) -> Act | Say | None:
    if isinstance(value, ItemNumber) or is_lot(value):
        return _lot(state, str(value))
    if is_carrier(value):
        return _carrier(state, str(value))
    return _thing(state, str(value)) if is_thing(value) else None


def _lot(state: State, number: str) -> Act | Say:
    if (label := station_blocks.meaning(state, number)) is not None:
        return label
    try:
        row = one_lot(state.scene.connection, number)
    except Unknown:
        return _label_kept_ready(state, number)
    is_on = any(load.lot == row.number for load in state.loads)
    if state.scene.context.get("do") == "part" and is_on:
        return commands.part(state, str(row.number))
    if is_on and "of" in state.main.asks and state.main.stream == _stream(state, row.number):
        _require_all(state, str(row.number))
        return _comes_out(state, row)
    _refuse_out(state, str(row.number))
    return load(state, number, row)


def _comes_out(state: State, row: Any) -> Act:
    """A pack comes out as a pack of its own: the product of the same size, where there is one."""
    loaded = state.plant.products.get(row.product)
    can = fitting(products_of(state.plant, state.process), loaded)
    product = can[0].code if len(can) == 1 else ""
    label = making.label_waiting(state).get("label", "")
    return Act(MakeOutput(of=str(row.number), product=product, number=label))


def _label_kept_ready(state: State, number: str) -> Say:
    """An emergency label is stuck on what comes out next. Raises Unknown for the number of nothing."""
    connection = state.scene.connection
    pad = range_of(connection, number_from(number)) if len(number) == LENGTH else None
    if pad is None:
        find_lot(connection, number[:LENGTH])
    gone = spent_label(connection, number)
    letter = state.plant.kind(state.chosen.kind).letter
    if gone is not None or letter != number[0]:
        raise Refused(
            f"{shown(number)} is not to be used: {gone.reason}."
            if gone is not None
            else f"{shown(number)} is no label for what is made here.",
            value=number,
            expected=f"A free label beginning with {letter}.",
            next_step="Take the next label of this station's pad.",
        )
    said = f"{shown(number)} is the label of the next {inside(state.chosen.name)}."
    how = f"Type its {state.asks}." if state.asks else "Scan the tag of what comes out."
    return Say(said, word="Then", detail=how, context={**_kept(state), "label": number})


def _refuse_out(state: State, number: str) -> None:
    """The tag of a pack that has come out, read again, and the new label on it, change nothing."""
    if state.run is None:
        return
    loads = {one.load: one.lot for one in state.run.inputs}
    takes = state.role_of(find_lot(state.scene.connection, number).kind) is not None
    for one in state.run.outputs:
        at = f"{local(state.plant, one.ended):%H:%M}"
        if one.of and loads.get(one.of) == number:
            said = f"{shown(number)} came out already, {at}: it is {shown(one.lot)} now."
            raise Refused(said, word="already", expected="Its new label on it.", next_step="Go on.")
        if one.lot == number and not takes:
            raise Refused(f"{shown(number)} was made here, {at}.", word="already", next_step="Go on.")


def _require_all(state: State, number: str) -> None:
    """A pack whose label is read twice while the cylinder is filled has not come out of it."""
    if state.lacking:
        what = " and ".join(inside(role.name) for role in state.lacking)
        raise Refused(
            f"{shown(number)} is loaded already.",
            word="already",
            expected=f"The {what}, before anything comes out.",
            next_step=f"Scan the next pack, or the {what}.",
        )


def _stream(state: State, lot: str) -> str:
    return next((str(one.stream) for one in state.loads if one.lot == lot), "")


def load(state: State, number: str, row: Any) -> Act | Say:
    """Put a lot, or what a pan or tank holds, on a payoff."""
    if state.role_of(row.kind) is None:
        return Act(LoadInput(number, payoff=state.station.payoffs[0].code))  # refused: it goes in nowhere
    if held_by(state.scene.connection, row.number):
        return Act(LoadInput(number, payoff=_payoff(state, row.kind)), context=_kept(state))  # unasked
    is_on = any(one.lot == row.number for one in state.loads)
    process, product = _process_and_product(state, state.plant.products.get(row.product))
    if not is_on and state.process.vessel == "keeps a heel" and row.unit == "ml":
        some = _how_much(state, row)
        if some is not None:
            return some
    payoff = _payoff(state, row.kind)
    return Act(LoadInput(number, payoff=payoff, process=process, product=product), context=_kept(state))


def _kept(state: State) -> dict[str, Any]:
    """What a load does not end: a number that waits for its pan, a by-product that was chosen."""
    return {
        name: state.scene.context[name]
        for name in (*WAITING, "output", "label")
        if name in state.scene.context
    }


def _how_much(state: State, row: Any) -> Say | None:
    """Containers are poured in whole or in part; None for whole."""
    total = sum(part.amount for part in goods(state.scene.connection, row.number))
    choices = {"all": f"All of it: {state.scene.amount(total, row.unit)}", "some": "Part of it"}
    if (
        state.scene.ask(f"how-much-{row.number}", f"How much of {shown(row.number)} goes in?", choices)
        == "all"
    ):
        return None
    context = {"do": "load", "lot": row.number}
    return Say(f"Type how much of {shown(row.number)} goes in.", word="Then", context=context)


def _process_and_product(state: State, loaded: Product | None = None) -> tuple[str, str]:
    """What the load is for. Where no run is open: what its size leaves, else what was made before, else the
    product is asked for, once. Packs and strips are told by the tag and the width of each that comes out.
    """
    if state.run is not None or state.told_by_itself:
        return state.process.code, ""
    processes = products_at(state.plant, state.station)
    can = fitting([state.plant.product(code) for code in processes], loaded)
    codes = [one.code for one in can]
    before = state.product.code if state.product else ""
    if len(codes) == 1 or before in codes:
        product = before if before in codes else codes[0]
    elif not codes:
        return state.process.code, ""
    else:
        choices = {one.code: one.name for one in can}
        product = state.scene.ask("product", "What is made of it?", choices)
    return processes[product].code, product


def _payoff(state: State, kind: str) -> str:
    """Where the lot goes: the payoff scanned before, else the only one free for its kind."""
    scanned = str(state.scene.context.get("payoff", ""))
    if scanned or len(state.station.payoffs) == 1:
        return scanned
    taken = {load.payoff for load in state.loads}
    role = state.role_of(kind)
    fitting = [
        one.code for one in state.station.payoffs if not role or not role.payoffs or one.code in role.payoffs
    ]
    free = [code for code in fitting if code not in taken]
    if len(free) == 1:
        return free[0]
    if len(fitting) == 1:
        return fitting[0]
    names = ", ".join(payoff_name(state, code) for code in (free or fitting)[:6])
    raise Refused(
        "Which payoff is it on?",
        expected=f"One of: {names}{' …' if len(free or fitting) > 6 else ''}.",
        next_step="Scan the label of the payoff, then the coil.",
    )


def _carrier(state: State, number: str) -> Act | Say:
    """A pan is loaded when it holds what goes in here; else what comes out goes into it."""
    carrier = find_carrier(state.scene.connection, number)
    holds = goods(state.scene.connection, carrier.number)
    takes = state.chosen.carrier and kind_of_carrier(state.scene, carrier.code) == state.chosen.carrier
    waits = "amount" in state.scene.context
    loadable = bool(holds) and state.role_of(holds[0].lot.kind) is not None
    if takes and (waits or not loadable):
        return making.into(state, str(carrier.number))
    name = state.plant.carriers[carrier.code].name if carrier.code in state.plant.carriers else shown(number)
    if "of" in state.main.asks and loadable and len(holds) > 1:
        return _whole_tram(state, name, [one.lot for one in holds])
    if holds:
        return load(state, number, one_lot(state.scene.connection, number))
    on = {one.lot for one in contents(state.scene.connection, str(carrier.number))}
    loaded = sum(load.lot in on for load in state.loads)
    if loaded:
        raise Refused(
            f"{name} is empty: what was on it is loaded already, {loaded} in all.",
            word="already",
            expected="Something to load.",
            next_step="Go on.",
        )
    raise Refused(
        f"{name} is empty.",
        expected="Something to load.",
        next_step="Scan what goes in.",
    )


def _whole_tram(state: State, name: str, lots: list[Any]) -> Act:
    """All packs on a tram go in by one scan; a held one stops it before anything is recorded."""
    held = [shown(row.number) for row in lots if held_by(state.scene.connection, row.number)]
    if held:
        raise Refused(
            f"{', '.join(held)} on {name} is on hold.",
            word="held",
            expected="A tram whose packs are all free.",
            next_step="Take it off, or scan the others one by one; QA releases it.",
        )
    loads = [
        LoadInput(str(row.number), payoff=_payoff(state, row.kind), process=state.process.code)
        for row in lots
    ]
    said = Say(f"{name}: {len(lots)} packs are on {state.station.name}.")
    return Act(loads[-1], context=_kept(state), before=tuple(loads[:-1]), told=lambda _answer: said)


def _thing(state: State, number: str) -> Act | Say | None:
    row = thing_or_none(state.scene.connection, number)
    if row is None:
        return None
    if row.kind == "payoff" and row.owner == state.station.code:
        return _at_payoff(state, row.code)
    if row.kind == "resource":
        return _tool(state, number)
    drained = drained_here(state)
    if row.kind == "vessel" and drained and row.code != state.station.vessel:
        return Act(MoveGoods(drained, number), context=_kept(state))
    if row.kind == "vessel" and goods(state.scene.connection, number):
        return load(state, number, one_lot(state.scene.connection, number))
    return None


def _at_payoff(state: State, code: str) -> Act | Say:
    on = next((load for load in state.loads if load.payoff == code), None)
    name = payoff_name(state, code)
    context = {**_kept(state), "payoff": code}
    if on is not None and state.scene.context.get("do") == "part":
        return commands.part(state, str(on.lot))
    if on is None:
        return Say(f"{name} is empty. Scan what goes on it.", word="Then", context=context)
    row = find_lot(state.scene.connection, on.lot)
    left = state.scene.amount(max(state.left(on), 0), row.unit)
    said = f"{name}: {shown(on.lot)}, {left} left."
    return Say(said, word="Then", detail="Scan the next coil, ENDED or PART.", context=context)


def _tool(state: State, number: str) -> Act:
    """A die set, mould or knives: into the open run, or a new run begins with it."""
    if state.run is not None:
        return Act(ChangeTool(number), context=_kept(state))
    process, product = _process_and_product(state, finishes(state, number))
    return Act(OpenRun(process, product, (number,)))


def _typed(state: State, text: str) -> Act | Say | None:
    if (die := recut(state, text)) is not None:
        return die
    if making.LOOKS_TYPED.match(text) or station_cuts.looks_cut(state, text):
        return making.number(state, text)
    word = text.lower().replace(" ", "_")
    output = state.process.output(word) or next(
        (one for one in state.process.outputs if one.name.lower() == text.lower()), None
    )
    if output is not None:
        return commands.choose(state, output)
    found = products_at(state.plant, state.station)
    return _make_next(state, word, found[word].code) if word in found else None


def _make_next(state: State, product: str, process: str) -> Act:
    """A product's code: what the next run makes."""
    name = state.plant.product(product).name
    if state.run is not None and state.run.row.product == product:
        raise Refused(f"{name} is made already.", word="already", next_step="Go on.")
    if state.run is not None:
        raise Refused(
            f"This run makes {state.product.name if state.product else 'something else'}.",
            value=product,
            expected="A closed run before another product is made.",
            next_step="Scan DONE, then choose the product.",
        )
    return Act(OpenRun(process, product))
