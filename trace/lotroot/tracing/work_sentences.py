"""How are events about runs, holds, checks, labels, complaints and people told at some length?

Each function gives one sentence. `about` is the number that is asked about: of what moves or is listed
only that is told, all of it where `about` is empty or not in it.
"""

from typing import Any

from lotroot.holds.naming import WORDS
from lotroot.production.cut_lists import length_of
from lotroot.production.cuts import cut_words
from lotroot.production.marking import MARKS
from lotroot.tracing.listing import Tell, some, those
from lotroot.tracing.words import Words, items


def resource_used(fact: Any, words: Words, _: str) -> str:
    """A die set or the like works from now on."""
    instead = f" in place of {words.called(fact.instead)}" if fact.instead else ""
    return f"{words.called(fact.thing)} worked in run {words.called(fact.run)} from then on{instead}."


def resource_corrected(fact: Any, words: Words, _: str) -> str:
    """Another die set, or none, worked."""
    worked = f"{words.called(fact.thing)} worked" if fact.thing else "No tool of its kind worked"
    return f"{worked} in run {words.called(fact.run)}, not {words.called(fact.was)}."


def output_made(fact: Any, words: Words, _: str) -> str:
    """Something was made; weighed with its carrier, what the scale showed and what was taken off it."""
    which = items(fact.first, fact.last)
    what = f"{words.amount_of(fact.lot, fact.own)} of {words.called(fact.lot)}{', ' + which if which else ''}"
    known = f"{fact.basis}{words.typed(fact.typed_by)}"
    if fact.gross:
        known += f" as {words.amount(fact.gross, 'g')} gross less {words.amount(fact.tare, 'g')} tare"
    return f"Run {words.called(fact.run)} made {what}, {known}, {fact.shift}."


def cut_list_made(fact: Any, words: Words, _: str) -> str:
    """How the sheets of a bundle were cut."""
    total = words.amount(length_of(fact.cuts), "mm")
    said = f"{cut_words(fact.cuts, words.plant)}; {total}"
    return f"Item {fact.serial} of {words.called(fact.lot)} was cut as {said}."


def carrier_tared(fact: Any, words: Words, _: str) -> str:
    """A carrier was weighed empty."""
    before = f", before {words.amount(fact.was, 'g')}" if fact.was and fact.was != fact.grams else ""
    weight = f"{words.amount(fact.grams, 'g')}{words.typed(fact.typed_by)}{before}"
    return f"{words.called(fact.number)} was weighed empty: {weight}."


def bin_weighed(fact: Any, words: Words, _: str) -> str:
    """A bin of scrap was emptied: what was in it, and what of it was apportioned."""
    much, shared = words.amount(fact.weight, "g"), words.amount(fact.shared, "g")
    known = f"{words.reason(fact.reason)}{words.typed(fact.typed_by)}"
    held = f"{words.called(fact.bin)} held {much} at {words.time(fact.at)}, {known}"
    return f"{held}; {shared} of it is apportioned to runs since {words.time(fact.since)}."


def die_recut(fact: Any, words: Words, _: str) -> str:
    """A die of a set has another size."""
    how = {"moved": "was moved there", "new": "was put in new"}.get(fact.how, "was recut")
    said = f": {fact.words}" if fact.words else ""
    sizes = f"{fact.size_mm} mm, before {fact.was_mm} mm"
    return f"Die {fact.place} of {words.called(fact.thing)} {how}, {sizes}{said}."


def die_recut_taken_back(fact: Any, words: Words, _: str) -> str:
    """It was not."""
    return f"A die of {words.called(fact.thing)} was not recut after all."


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
        f"Labels of {words.called(fact.lot)} were spoiled: {some(fact.serials, lambda one: f'item {one}')}."
    )


def figure_overridden(fact: Any, _words: Words, _: str) -> str:
    """Other values in place of a figure."""
    values = some(fact.values, lambda one: f"{one.column} {one.text}")
    return f"{fact.table}, {fact.row}, was overridden with {values}: {fact.reason}."


def hold_placed(fact: Any, words: Words, _: str) -> str:
    """A hold, and what it matches."""
    named = [("heat", fact.heat), ("delivery", fact.delivery), ("supplier", words.party(fact.supplier))]
    matched = ", ".join(f"{word} {value}" for word, value in named if value)
    wide = f" for everything of {matched}" if matched else ""
    return f"A stop was placed{wide}, {WORDS.get(fact.kind, fact.kind)}: {words.reason(fact.reason)}."


def checked(fact: Any, words: Words, about: str) -> str:
    """A check with its readings and verdict."""
    judged = those(fact.judged, about, lambda one: (one.lot,))
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


def _goods(fact: Any, words: Words) -> str:
    said = some(fact.goods, lambda one: words.called(one.number))
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


def customer_item_set(fact: Any, words: Words, _: str) -> str:
    """What a customer calls a product."""
    who, product = words.party(fact.customer), words.product(fact.product)
    return (
        f"{who} calls {product} {fact.item}." if fact.item else f"{who} has no code for {product} any more."
    )


WORK_SENTENCES: dict[str, Tell] = {
    "ResourceUsed": resource_used,
    "ResourceCorrected": resource_corrected,
    "OutputMade": output_made,
    "CutListMade": cut_list_made,
    "CarrierTared": carrier_tared,
    "BinWeighed": bin_weighed,
    "DieRecut": die_recut,
    "DieRecutTakenBack": die_recut_taken_back,
    "InputEnded": input_ended,
    "EndCorrected": end_corrected,
    "RunMarked": run_marked,
    "ItemsSpoiled": items_spoiled,
    "HoldPlaced": hold_placed,
    "FigureOverridden": figure_overridden,
    "Checked": checked,
    "LabelPrinted": label_printed,
    "LabelProved": label_proved,
    "CaseOpened": case_opened,
    "CaseAdded": case_added,
    "PersonAdded": person_added,
    "RolesChanged": roles_changed,
    "CustomerItemSet": customer_item_set,
}
"""By kind of event."""
