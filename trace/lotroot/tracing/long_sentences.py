"""How is an event told whose sentence needs more than its own fields?

Each function gives one sentence. `about` is the number that is asked about: of what moves or is listed
only that is told, all of it where `about` is empty or not in it.
"""

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from lotroot.holds.handling import WORDS
from lotroot.production.marking import MARKS
from lotroot.stock.events import ACCOUNTS, BORN, VOID
from lotroot.tracing.words import Words, items

_T = TypeVar("_T")
_MOST = 4

BECAME = {
    "taken": "was used",
    "scrap": "became scrap",
    "loss": "was lost",
    "sample": "was taken as a sample",
    "difference": "is a difference",
    "void": "was taken back",
}
"""What became of an amount that went to an account (ours, but for scrap and sample)."""


def _some(things: Iterable[_T], say: Callable[[_T], str]) -> str:
    every = list(things)
    said = [say(one) for one in every[:_MOST]]
    more = [f"and {len(every) - _MOST} more"] if len(every) > _MOST else []
    return ", ".join([*said, *more])


def _those(things: Iterable[_T], about: str, numbers: Callable[[_T], tuple[str, ...]]) -> list[_T]:
    every = list(things)
    return [one for one in every if about[:11] in numbers(one)] or every


def lot_born(fact: Any, words: Words, _: str) -> str:
    """A lot began."""
    what = f"{words.called(fact.number)}: {words.product(fact.product) or words.kind(fact.kind)}"
    how = {"received": "came in", "before": "was here before the system"}.get(fact.source, "was made")
    run = f" in run {words.called(fact.run)}" if fact.run else ""
    return f"{what}, {words.amount(fact.amount, fact.unit)}, {fact.how}, {how}{run}."


def links_written(fact: Any, words: Words, about: str) -> str:
    """What a lot was made of, as known then."""
    links = _those(fact.links, about if about != fact.child else "", lambda one: (one.parent,))
    if not links:
        return f"{words.called(fact.child)} was made of nothing that is recorded."
    taken: dict[str, int] = {}
    for link in links:
        taken[link.parent] = taken.get(link.parent, 0) + link.taken

    def said_of(parent: str) -> str:
        amount = f"{words.amount_of(parent, taken[parent])}" if taken[parent] else "perhaps some"
        return f"{amount} of {words.called(parent)}"

    said = _some(taken, said_of)
    doubted = " (corrected; what was named before stays doubted)" if fact.doubted else ""
    return f"{words.called(fact.child)} was made of {said}{doubted}."


def ranks_raised(fact: Any, words: Words, about: str) -> str:
    """Lots were put above a new parent in the order of making."""
    ranks = _those(fact.ranks, about, lambda one: (one.number,))
    said = _some(ranks, lambda one: words.called(one.number))
    return f"In the order of making, a late parent was put below {said}."


def _details(details: Any, words: Words) -> str:
    told = [
        words.party(details.supplier),
        f"their number {details.supplier_number}" if details.supplier_number else "",
        f"heat {', '.join(details.heats)}" if details.heats else "",
        f"delivery {details.delivery}" if details.delivery else "",
        "details to follow" if details.due else "",
    ]
    return ", ".join(one for one in told if one) or "nothing is known of its origin"


def lot_received(fact: Any, words: Words, _: str) -> str:
    """A lot came from outside."""
    return f"{words.called(fact.number)} came in: {_details(fact.details, words)}."


def receipt_detailed(fact: Any, words: Words, _: str) -> str:
    """What is known of a receipt."""
    return f"{words.called(fact.number)} came from: {_details(fact.details, words)}."


def delivery_received(fact: Any, words: Words, _: str) -> str:
    """A whole delivery came."""
    return f"{len(fact.lots)} lots came with delivery {fact.delivery} of {words.party(fact.supplier)}."


def moved(fact: Any, words: Words, about: str) -> str:
    """What went where."""
    moves = _those(fact.moves, about, lambda one: (one.lot, one.source, one.target))
    return f"{'; '.join(_move(one, words) for one in moves[:_MOST])}{_more(moves)}."


def _more(things: list[Any]) -> str:
    return f"; and {len(things) - _MOST} more" if len(things) > _MOST else ""


def _move(move: Any, words: Words) -> str:
    which = items(move.first, move.last)
    what = f"{words.amount_of(move.lot, move.amount)} of {words.called(move.lot)}"
    what += f", {which}," if which else ""
    reason = f" ({words.reason(move.reason)})" if move.reason else ""
    if move.target in ACCOUNTS:
        return f"{what} {'was taken back' if move.target == BORN else BECAME[move.target]}{reason}"
    if move.source in (BORN, VOID):
        return f"{what} was put at {words.called(move.target)}{reason}"
    if move.source in ACCOUNTS:
        return f"{what} stands at {words.called(move.target)} after all{reason}"
    return f"{what} went from {words.called(move.source)} to {words.called(move.target)}{reason}"


def items_weighed(fact: Any, words: Words, _: str) -> str:
    """Items were weighed one by one."""
    said = _some(fact.weights, lambda one: f"item {one.serial} {words.amount_of(fact.lot, one.amount)}")
    return f"Items of {words.called(fact.lot)} were weighed: {said}."


def carrier_changed(fact: Any, words: Words, _: str) -> str:
    """A carrier's state."""
    said = {
        "open": "is open again",
        "closed": "was closed" if fact.was == "open" else "is back",
        "emptied": "was emptied",
        "shipped": "has left",
        "void": "was taken back: it never was",
    }
    became = f"became {words.called(fact.became)}" if fact.became else "was re-stacked"
    return f"{words.called(fact.number)} {said.get(fact.state, became)}."


def resource_used(fact: Any, words: Words, _: str) -> str:
    """A die set or the like works from now on."""
    instead = f" in place of {words.called(fact.instead)}" if fact.instead else ""
    return f"{words.called(fact.thing)} worked in run {words.called(fact.run)} from then on{instead}."


def resource_corrected(fact: Any, words: Words, _: str) -> str:
    """Another die set, or none, worked."""
    worked = f"{words.called(fact.thing)} worked" if fact.thing else "No tool of its kind worked"
    return f"{worked} in run {words.called(fact.run)}, not {words.called(fact.was)}."


def input_ended(fact: Any, words: Words, _: str) -> str:
    """A load ran out."""
    after = f" and load {fact.next_load} was welded on" if fact.next_load else ""
    return f"Load {fact.load} of run {words.called(fact.run)} ran out{after}."


def end_corrected(fact: Any, words: Words, _: str) -> str:
    """A load ended at another time, or not."""
    at = f"ran out at {words.time(fact.at)}" if fact.at else "had not run out"
    return f"Load {fact.load} of run {words.called(fact.run)} {at}, not as recorded before."


def run_marked(fact: Any, words: Words, _: str) -> str:
    """Something happened inside a run."""
    payoff = f" on payoff {fact.payoff}" if fact.payoff else ""
    said = f": {fact.words}" if fact.words else ""
    return f"{MARKS.get(fact.kind, fact.kind)} in run {words.called(fact.run)}{payoff}{said}."


def items_spoiled(fact: Any, words: Words, _: str) -> str:
    """Labels went to waste."""
    return (
        f"Labels of {words.called(fact.lot)} were spoiled: {_some(fact.serials, lambda one: f'item {one}')}."
    )


def hold_placed(fact: Any, words: Words, _: str) -> str:
    """A hold, and what it matches."""
    named = [("heat", fact.heat), ("delivery", fact.delivery), ("supplier", words.party(fact.supplier))]
    matched = ", ".join(f"{word} {value}" for word, value in named if value)
    wide = f" for everything of {matched}" if matched else ""
    return f"A stop was placed{wide}, {WORDS.get(fact.kind, fact.kind)}: {words.reason(fact.reason)}."


def checked(fact: Any, words: Words, about: str) -> str:
    """A check with its readings and verdict."""
    judged = _those(fact.judged, about, lambda one: (one.lot,))
    verdicts = ", ".join(dict.fromkeys(one.verdict for one in judged)) or "noted"
    if fact.readings:
        read = f"{', '.join(fact.readings)} {fact.unit}".strip()
    else:
        read = f"{fact.found} of {fact.count} not good"
    remark = f" ({fact.remark})" if fact.remark else ""
    name = words.characteristic(fact.characteristic)
    return f"{name} of {words.called(fact.number)} was checked: {read}, {verdicts}{remark}."


def label_printed(fact: Any, words: Words, _: str) -> str:
    """A label, or a block of them."""
    which = items(fact.first, fact.last)
    of_items = f", {which}," if which else ""
    copy = f" as copy {fact.copy}" if fact.copy > 1 else ""
    return f"The label of {words.called(fact.number)}{of_items} was printed and read back{copy}."


def label_proved(fact: Any, words: Words, _: str) -> str:
    """A label was scanned on the goods for the first time."""
    item = f", item {fact.serial}," if fact.serial else ""
    return f"The label of {words.called(fact.number)}{item} was scanned on the goods for the first time."


def _lines(fact: Any, words: Words, about: str) -> str:
    lines = _those(fact.lines, about, lambda one: (one.lot, one.carrier))

    def said(one: Any) -> str:
        which = items(one.first, one.last)
        on = f" on {words.called(one.carrier)}" if one.carrier else ""
        what = f"{words.amount_of(one.lot, one.amount)} of {words.called(one.lot)}"
        return f"{what}{', ' + which if which else ''}{on}"

    return _some(lines, said)


def shipment_loaded(fact: Any, words: Words, about: str) -> str:
    """Goods went onto a shipment."""
    return f"Loaded on shipment {words.called(fact.shipment)}: {_lines(fact, words, about)}."


def shipment_unloaded(fact: Any, words: Words, _: str) -> str:
    """Goods came off a shipment before it left."""
    which = items(fact.first, fact.last)
    what = words.called(fact.carrier or fact.lot)
    return f"{what}{', ' + which + ',' if which else ''} came off shipment {words.called(fact.shipment)}."


def goods_returned(fact: Any, words: Words, about: str) -> str:
    """Shipped goods came back."""
    said = _lines(fact, words, about)
    return f"Back from shipment {words.called(fact.shipment)}: {said}, {words.reason(fact.reason)}."


def _goods(fact: Any, words: Words) -> str:
    said = _some(fact.goods, lambda one: words.called(one.number))
    return f" about {said}" if said else ""


def case_opened(fact: Any, words: Words, _: str) -> str:
    """A complaint."""
    who = f" by {words.party(fact.customer)}" if fact.customer else ""
    return f"Complaint {words.called(fact.case)} was opened{who}{_goods(fact, words)}: {fact.words}"


def case_added(fact: Any, words: Words, _: str) -> str:
    """More came to a complaint."""
    more = fact.words or ("a file" if fact.file else "further goods")
    return f"To complaint {words.called(fact.case)} was added{_goods(fact, words)}: {more}"


def person_added(fact: Any, words: Words, _: str) -> str:
    """Somebody works here from now on."""
    return f"{words.called(fact.number)} works here as {', '.join(fact.roles)}."


def roles_changed(fact: Any, words: Words, _: str) -> str:
    """Other roles than before."""
    return f"{words.called(fact.number)} is {', '.join(fact.roles)} now, before {', '.join(fact.was)}."


LONG_SENTENCES: dict[str, Callable[[Any, Words, str], str]] = {
    "LotBorn": lot_born,
    "LinksWritten": links_written,
    "RanksRaised": ranks_raised,
    "LotReceived": lot_received,
    "ReceiptDetailed": receipt_detailed,
    "DeliveryReceived": delivery_received,
    "Moved": moved,
    "ItemsWeighed": items_weighed,
    "CarrierChanged": carrier_changed,
    "ResourceUsed": resource_used,
    "ResourceCorrected": resource_corrected,
    "InputEnded": input_ended,
    "EndCorrected": end_corrected,
    "RunMarked": run_marked,
    "ItemsSpoiled": items_spoiled,
    "HoldPlaced": hold_placed,
    "Checked": checked,
    "LabelPrinted": label_printed,
    "LabelProved": label_proved,
    "ShipmentLoaded": shipment_loaded,
    "ShipmentUnloaded": shipment_unloaded,
    "GoodsReturned": goods_returned,
    "CaseOpened": case_opened,
    "CaseAdded": case_added,
    "PersonAdded": person_added,
    "RolesChanged": roles_changed,
    "MovedByLinks": moved,
}
"""By kind of event."""
