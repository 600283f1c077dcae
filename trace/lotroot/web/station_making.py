"""What does a typed number mean at a station: an output, a remainder, scrap, part of a container, widths?"""

import re

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.processes.naming import inside
from lotroot.production.amounts import MOST
from lotroot.production.cut_lists import length_of, pieces_of
from lotroot.production.facts import WEIGHED
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import MarkRun, ScrapInput
from lotroot.production.opening import OpenRun
from lotroot.web import station_blocks, station_cuts
from lotroot.web.scene import Act, Say
from lotroot.web.station_cuts import CutList
from lotroot.web.station_state import State, lane_words, lanes, next_lane, of_width, products_of
from lotroot.web.station_weighing import (
    Typed,
    beside_counter,
    net,
    net_or_gross,
    one_weighed,
    reads_gross,
    waits,
    weighs_items,
    weighs_words,
)
from lotroot.web.wording import spot_name

LOOKS_TYPED = re.compile("[+\u2212-]?[0-9.,]|(?:nan|inf|infinity)$", re.IGNORECASE)
"""What begins so is a number somebody typed, well or badly; a word begins with a letter."""

_ROW = re.compile(
    r"(?:\d{1,2}\s*[x*]\s*)?\d{2,4}(?:\s*[ +/;]\s*(?:\d{1,2}\s*[x*]\s*)?\d{1,4})*", re.IGNORECASE
)
_PART = re.compile(r"(?:(\d{1,2})\s*[x*]\s*)?(\d{1,4})", re.IGNORECASE)
HALF = 2


def number(state: State, text: str) -> Act | Say:
    """The meaning of a typed number where the station stands."""
    doing = str(state.scene.context.get("do", ""))
    if doing == "scrap":
        return _scrap(state, text)
    if doing == "weigh":
        return _remainder(state, text)
    if doing == "load":
        return _part_of_container(state, text)
    if "lane" in state.chosen.asks and not lanes(state):
        return widths(state, text)
    return _output(state, text)


def _scrap(state: State, text: str) -> Act:
    weight = _read(state, "Scrap", text, "g")
    context, by = state.scene.context, state.scene.typed_by
    reason, lot = str(context.get("reason", "")), str(context.get("lot", ""))
    return Act(ScrapInput(weight, reason, lot=lot, typed_by=by))


def _remainder(state: State, text: str) -> Act:
    lot = str(state.scene.context.get("lot", ""))
    load = next((one for one in state.loads if one.lot == lot), None)
    if load is None:
        raise Refused(f"{shown(lot)} is not on any more.", word="already", next_step="Go on.")
    unit = _unit_of(state, lot)
    left = _read(state, f"Left of {shown(lot)}", text, unit, max(state.left(load), 1))
    how = "weighed" if unit == "g" else "estimated"
    return Act(UnloadInput(lot, remainder=left, how=how, typed_by=state.scene.typed_by))


def _part_of_container(state: State, text: str) -> Act:
    lot = str(state.scene.context.get("lot", ""))
    amount = _read(state, f"Part of {shown(lot)}", text, _unit_of(state, lot))
    return Act(LoadInput(lot, amount=amount, process=state.process.code, product=_product(state)))


def _read(state: State, name: str, text: str, unit: str, about: int | None = None) -> int:
    """What was typed, in base units; a number that cannot be is told by its name, before anything waits."""
    try:
        amount = state.scene.typed(text, unit, about)
    except Unreadable as error:
        raise _unfit(name, text, error.what, error.expected) from None
    if amount > MOST[unit]:
        most = state.scene.amount(MOST[unit], unit)
        raise _unfit(name, text, "That is more than can be.", f"At most {most}.")
    return amount


def _unfit(name: str, text: str, why: str, expected: str) -> Unreadable:
    typed = text.strip()[:40]
    return Unreadable(
        f"{name}, “{typed}”: {why}", value=typed, expected=expected, next_step="Read it again and type it."
    )


def _unit_of(state: State, lot: str) -> str:
    return str(find_lot(state.scene.connection, lot).unit)


def _output(state: State, text: str) -> Act | Say:
    """The one number of the operator's day: what came out."""
    if not state.asks:
        by_tag = "of" in state.chosen.asks
        raise Unreadable(
            f"{state.chosen.name} takes no number.",
            value=text,
            expected="The tag of what comes out." if by_tag else "A scan.",
            next_step="Scan the tag of the pack that comes out."
            if by_tag
            else "Scan what goes in; DONE when it is finished.",
        )
    if station_blocks.in_hand(state):
        return station_blocks.weighed(state, text)
    if state.asks == "cut":
        return bundle(state, station_cuts.read(state, text))
    given = typed_here(state, text)
    if given.amount == 0:
        raise _unfit(state.chosen.name, text, "Nothing was made.", "More than zero.")
    carrier = str(state.scene.context.get("carrier", ""))
    if state.chosen.carrier and not carrier:
        return _scan_carrier(state, given)
    return make(state, given, carrier)


def typed_here(state: State, text: str) -> Typed:
    """The number with all that is said of it; where items are counted, what one of them weighs."""
    one = one_weighed(state, text, state.scene.typed_by)
    if one is not None:
        return one
    figure, counter = beside_counter(state, text)
    figure, gross = net_or_gross(state, figure)
    return Typed(_amount(state, figure), state.scene.typed_by, gross, counter)


def _amount(state: State, text: str) -> int:
    """In base units; where items are counted and weighed, what is no count hears how a weight is typed."""
    try:
        return _read(state, state.chosen.name, text, state.unit, expected(state))
    except Unreadable as error:
        if weighs_items(state):
            error.expected = f"How many, or the {weighs_words(state)}."
            error.next_step = "Type a whole number, or a weight with its unit."
        raise


def bundle(state: State, cut: CutList) -> Act:
    """Record one bundle by its cut list, as `make` does an output of one number."""
    return _opened(state, bundle_command(state, cut), f"{pieces_of(cut.cuts)}-{length_of(cut.cuts)}")


def bundle_command(state: State, cut: CutList) -> MakeOutput:
    """What records one bundle of the chosen output."""
    return MakeOutput(
        output=state.chosen.code if state.chosen is not state.main else "",
        cuts=cut.cuts,
        weight=cut.weight,
        number=label_waiting(state).get("label", ""),
        typed_by=state.scene.typed_by if cut.weight else "",
    )


def _opened(state: State, command: MakeOutput, name: str) -> Act:
    """Record it; with no run open, one is opened by the same scan, after a question."""
    before: tuple[OpenRun, ...] = ()
    if state.run is None:
        state.scene.ask(
            f"unloaded-{name}", "Nothing is loaded here. Is this made here?", {"yes": "Yes, record it"}
        )
        before = (OpenRun(state.process.code, _product(state)),)
    return Act(command, context=_kept(state), before=before)


def _scan_carrier(state: State, given: Typed) -> Say:
    """The number waits for what it was weighed in."""
    before = waits(state)
    instead = f" instead of {state.scene.amount(before.amount, state.unit)}" if before else ""
    much = f"{state.scene.amount(given.amount, state.unit)}{' gross' if given.gross else ''}"
    said = f"{much}{instead}. Scan the {state.chosen.carrier} it is in."
    detail = "" if given.gross else "Or scan DONE if it stands without one."
    context = {**given.waiting(), **_kept(state), **label_waiting(state)}
    return Say(said, word="Then", detail=detail, context=context)


def make(state: State, given: Typed, carrier: str = "") -> Act:
    """Record an output of so much. With no run open, one is opened by the same scan, after a question."""
    amount = given.amount
    before: tuple[OpenRun, ...] = ()
    if state.run is None:
        yes = {"yes": "Yes, record it"}
        state.scene.ask(f"unloaded-{amount}", "Nothing is loaded here. Is this made here?", yes)
        before = (OpenRun(state.process.code, _product(state)),)
    command = output_command(state, given, carrier)
    agreed = {f"amount-{net(state, given, carrier)}": "yes"} if before else {}
    return Act(command, context=_kept(state), before=before, answers=agreed)


def output_command(state: State, typed: Typed, carrier: str) -> MakeOutput:
    """What records so much of the chosen output."""
    one_by_one = state.chosen.as_ == "item" and (typed.of_one or state.asks == "weight")
    asked = "gross" if typed.gross else state.asks
    given = {} if one_by_one and not typed.gross else {asked: typed.amount}
    lane = next_lane(state) if "lane" in state.chosen.asks else None
    _, start, end = lane or (0, 0, 0)
    strips = products_of(state.plant, state.process) if lane else ()
    return MakeOutput(
        output=state.chosen.code if state.chosen is not state.main else "",
        weight=given.get("weight", 0),
        count=given.get("count", 0),
        length=given.get("length", 0),
        volume=given.get("volume", 0),
        weights=(typed.amount,) if one_by_one and not typed.gross else (),
        product=of_width(strips, end - start),
        carrier=carrier,
        lane_from=start,
        lane_to=end,
        number=label_waiting(state).get("label", ""),
        gross=given.get("gross", 0),
        typed_by=typed.typed_by,
        counter=typed.counter,
    )


def label_waiting(state: State) -> dict[str, str]:
    """The emergency label that was scanned for what comes out next, if any."""
    label = str(state.scene.context.get("label", ""))
    return {"label": label} if label else {}


def _kept(state: State) -> dict[str, str]:
    """Another output, once chosen, stays chosen until NEXT; not where tags tell what comes out beside it."""
    stays = state.chosen is not state.main and "of" not in state.main.asks
    return {"output": state.chosen.code} if stays else {}


def _product(state: State) -> str:
    return state.product.code if state.product else ""


def expected(state: State) -> int | None:
    """What the next number will be about: like the last one, else one item, else what is left."""
    made = state.made_of(state.chosen)
    if made:
        items = made[-1].last - made[-1].first + 1 if made[-1].first else 0
        return items if items and state.asks == "count" else int(made[-1].own)
    left = sum(max(state.left(load), 0) for load in state.loads)
    return left or None


def same_again(state: State) -> Act:
    """SAME AGAIN: another one like the last; a weight is read off the scale each time."""
    if state.asks == "cut":
        return bundle(state, station_cuts.last(state))
    made = state.made_of(state.chosen)
    if not made:
        raise Refused(
            f"No {inside(state.chosen.name)} was made in this run yet.",
            expected="One to repeat.",
            next_step="Type the number.",
        )
    weighed = weighs_items(state) and made[-1].basis == WEIGHED
    if weighed or state.asks not in ("count", "length"):
        raise Refused(
            "A weight is read off the scale each time.",
            expected="The number on the scale.",
            next_step="Weigh the next one, or type how many." if weighed else "Type it.",
        )
    return make(state, Typed(expected(state) or 0))


def widths(state: State, text: str) -> Act:
    """The widths of the strips, once a set of knives; what is left of the coil is trim, half on each edge."""
    if state.run is None or not state.loads:
        raise Refused("No coil is on.", expected="A coil.", next_step="Scan the coil first.")
    row = _row_of_widths(text)
    coil = _coil_width(state)
    total = sum(row)
    if coil and not coil // HALF < total <= coil:
        raise Unreadable(
            f"These strips are {total} mm of a coil that is {coil} mm wide.",
            value=text,
            expected=f"More than {coil // HALF} and at most {coil} mm together, from the operator side: "
            "305 305 305 305, or 4x305.",
            next_step="Type them again. Weights come after that.",
        )
    trim = (coil - total) // HALF if coil else 0
    words = lane_words([trim, *row])
    return Act(MarkRun("note", words=words))


def _row_of_widths(text: str) -> list[int]:
    core = text.strip().lower().removesuffix("mm").strip()
    if not _ROW.fullmatch(core):
        raise Unreadable(
            "These are no widths.",
            value=text,
            expected="Whole millimetres from the operator side, such as 305 305 305 305 or 4x305.",
            next_step="Type the widths of all strips of this coil.",
        )
    found: list[int] = []
    for times, width in _PART.findall(core):
        found += [int(width)] * int(times or 1)
    return found


def _coil_width(state: State) -> int:
    """The width of the coil that is on, in whole mm; 0 where its product does not tell."""
    row = find_lot(state.scene.connection, state.loads[-1].lot)
    product = state.plant.products.get(row.product)
    return int(product.width_mm.partition(".")[0]) if product and product.width_mm else 0


def into(state: State, carrier: str) -> Act | Say:
    """A pan for what comes out: the weight was typed before, or follows."""
    given = waits(state)
    if given is not None:
        return make(state, given, carrier)
    name = spot_name(state.scene.connection, state.plant, carrier)
    what = "weight" if state.asks == "weight" else state.asks
    context = {"carrier": carrier, **_kept(state), **label_waiting(state)}
    gross = "gross " if reads_gross(state) else ""  # what comes next says what the pan weighs
    return Say(f"{name}. Now type the {gross}{what}.", word="Then", context=context)
