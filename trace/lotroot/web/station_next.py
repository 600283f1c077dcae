"""What is expected now at a station, in one short line?"""

from lotroot.identity.showing import shown
from lotroot.processes.definition import Output
from lotroot.processes.naming import inside
from lotroot.web import station_bins, station_blocks, station_cuts
from lotroot.web.station_state import State, drained_here, lanes, next_lane, payoff_name
from lotroot.web.station_weighing import reads_gross, tare_words, weighs_items, weighs_words

_WORDS = {"weight": "Weigh", "count": "Count", "length": "Measure", "volume": "Measure"}


def next_step(state: State) -> str:
    """The next step; what a first scan left open comes before all else."""
    begun = station_bins.next_step(state.scene) or station_blocks.next_step(state) or _begun(state)
    if begun:
        return begun
    if state.stopped:
        return "Stopped. WAIT again to go on"
    if not state.loads:
        return _load(state)
    empty = [one for one in state.station.payoffs if one.code not in {load.payoff for load in state.loads}]
    if state.process.feed == "together" and empty:
        return f"{_of_payoffs(state, len(empty))} Scan a payoff, then its coil"
    return _make(state)


def _begun(state: State) -> str:
    """The second half of what a scan began."""
    context = state.scene.context
    lot = shown(str(context.get("lot", "")))
    doing = {
        "scrap": f"Type the weight of the scrap, {_unit(state, 'g')}",
        "weigh": f"Type what is left of {lot}",
        "load": f"Type how much of {lot} goes in",
        "part": "Scan what comes off",
    }.get(str(context.get("do", "")), "")
    if doing:
        return doing
    if "amount" in context:
        carrier = state.chosen.carrier or "carrier"
        return f"Scan the {carrier}{' it is in' if context.get('gross') else ', or DONE if there is none'}"
    if "carrier" in context and reads_gross(state):
        return f"{tare_words(state, str(context['carrier']))}: type the gross weight, {_unit(state, 'g')}"
    if "carrier" in context:
        return f"Type what went into it, {_unit(state, state.unit)}"
    if "payoff" in context:
        payoff = str(context["payoff"])
        loaded = any(load.payoff == payoff for load in state.loads)
        return f"{payoff_name(state, payoff)}: scan its coil{', ENDED or PART' if loaded else ''}"
    return ""


def _load(state: State) -> str:
    names = [inside(role.name) for role in state.process.inputs]
    what = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
    if len(state.station.payoffs) > 1:
        return f"Scan a payoff, then the {what}"
    return f"Scan the {what}"


def _of_payoffs(state: State, empty: int) -> str:
    total = len(state.station.payoffs)
    return f"{empty} of {total} payoffs are empty."


def _make(state: State) -> str:
    output = state.chosen
    if "of" in output.asks:
        return _each(state, output)
    if state.process.feed == "as_is":
        return "Scan what else goes in; DONE when all are out"
    if "lane" in output.asks:
        return _strip(state)
    return _number(state)


def _number(state: State) -> str:
    """The number, or the list of them, that is typed."""
    output, name = state.chosen, inside(state.chosen.name)
    if state.asks == "cut":
        return station_cuts.next_step(state)
    if output.as_ == "item" and state.asks == "count":
        also = f", or the {weighs_words(state)}" if weighs_items(state) else ""
        return f"Type how many {_packages(state)}{also}"
    unit = _unit(state, state.unit)
    if state.asks == "volume":
        return f"{output.name}: type the volume in {unit}"
    number = "how many" if unit == "pcs" else f"{unit} gross" if reads_gross(state) else unit
    what = f"{_WORDS.get(state.asks, 'Type')} the {name}: type {number}"
    if state.station.counter and state.asks == "weight":
        what += "; with the counter, 480 at 12450"
    return f"{what}, then scan the {output.carrier}" if output.carrier else what


def _packages(state: State) -> str:
    """The packages that are counted, never the pieces in them: bundles of 50 pcs, boxes of 25 kg."""
    name = inside(state.chosen.name)
    names = f"{name}es" if name.endswith(("x", "s", "ch", "sh")) else f"{name}s"
    each = state.product.item_amount if state.product else None
    return (
        f"{names} of {state.scene.amount(each, state.plant.kinds[state.chosen.kind].unit)}" if each else names
    )


def _each(state: State, output: Output) -> str:
    """Packs go in with the solution, and come out one by one by their tags."""
    what = inside(state.process.inputs[0].name)
    lacking = [inside(role.name) for role in state.lacking]
    if lacking:
        return f"Scan the next {what}, or the {' and the '.join(lacking)}"
    if drained_here(state):
        return f"Scan the tank it drained into, or each {what} that comes out"
    if all(load.stream != output.stream for load in state.loads):
        return f"Every {what} is out: scan DONE"
    others = [one for one in state.process.outputs if one.by_product and not state.made_of(one)]
    also = f"; NEXT for what {inside(others[0].name)}" if others else ""
    return f"Scan the tag of each {what} that comes out{also}"


def _strip(state: State) -> str:
    widths = lanes(state)
    following = next_lane(state)
    if following is None:
        return "Type the widths of the strips, mm: 305 305 305, or 3x305"
    place, start, end = following
    count = len(widths) - 1
    since = max((load.event for load in state.loads), default=0)
    done = len([one for one in state.made_of(state.chosen) if one.event > since])
    if done and done % count == 0:
        return f"All {count} strips are weighed. DONE, or scan the next coil"
    return f"Weigh strip {place} of {count}, {end - start} mm: type {_unit(state, 'g')}"


def _unit(state: State, unit: str) -> str:
    return state.plant.units.get(unit, unit)
