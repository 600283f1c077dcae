"""How is a stock count told: what was seen, what was otherwise, and what became of that?"""

from typing import Any

from lotroot.counting.choices import DECIDED, FOUND, MISSING, WEIGHT, WRONG_PLACE
from lotroot.tracing.listing import Tell, some, those
from lotroot.tracing.words import Words, items

FINDINGS = {
    MISSING: "was not found",
    FOUND: "was found, though nothing of it was left here",
    WRONG_PLACE: "was found, though recorded elsewhere",
    WEIGHT: "was of another weight",
}


def goods_counted(fact: Any, words: Words, about: str) -> str:
    """Goods were seen where somebody counts."""
    goods = [one for one in fact.seen if one.lot]
    found = those(goods, about, lambda one: (one.lot,))
    at = f"at {words.called(fact.place)} in a count"
    if about in (fact.number, fact.number[:11]) or not found:
        found = [] if fact.number.startswith("P") else found
    which = "".join(f", {said}," for one in found[:1] if (said := items(one.first, found[-1].last)))
    what = words.called(found[0].lot if found else fact.number)
    if fact.weighed and found:
        amounts = (
            words.amount_of(found[0].lot, fact.weighed),
            words.amount_of(found[0].lot, found[0].amount),
        )
        typed = words.typed(fact.typed_by)
        return f"{what} was counted {at}: {amounts[0]} found{typed}, {amounts[1]} recorded."
    return f"{what}{which} was seen {at}."


def count_finished(fact: Any, words: Words, about: str) -> str:
    """A count ended."""
    found = those(fact.differences, about, lambda one: (one.lot, one.carrier))
    said = some(found, lambda one: f"{_called(one, words)} {FINDINGS.get(one.kind, one.kind)}")
    more = f": {said}" if said else ", no difference"
    return f"The count of {words.called(fact.place)} ended, {fact.seen} of {fact.expected} seen{more}."


def _called(one: Any, words: Words) -> str:
    which = items(one.first, one.last)
    return f"{words.called(one.carrier or one.lot)}{f', {which},' if which else ''}"


def difference_settled(fact: Any, words: Words, _: str) -> str:
    """Somebody decided what a difference means."""
    why = f" ({words.reason(fact.words)})" if fact.words else ""
    decided = DECIDED.get(fact.choice, fact.choice)
    return f"Of the count of {words.called(fact.place)}, {_called(fact, words)} was settled: {decided}{why}."


def settlement_taken_back(fact: Any, words: Words, _: str) -> str:
    """What was decided does not count."""
    return f"Of the count of {words.called(fact.place)}, {_called(fact, words)} waits to be settled again."


COUNT_SENTENCES: dict[str, Tell] = {
    "GoodsCounted": goods_counted,
    "CountFinished": count_finished,
    "DifferenceSettled": difference_settled,
    "SettlementTakenBack": settlement_taken_back,
}
