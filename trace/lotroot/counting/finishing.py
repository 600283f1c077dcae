"""What follows when everything at a place was scanned?

What is missing, found or of another weight is in question until somebody settles it (RULES 5); what only
stands elsewhere than recorded is listed. Goods an earlier count of the place missed are counted again.
"""

import dataclasses
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row

from lotroot.counting.choices import COUNTED_AGAIN, FOUND, MISSING, WEIGHT, WRONG_PLACE, away
from lotroot.counting.commands import FinishCount
from lotroot.counting.comparing import differences
from lotroot.counting.counts import waiting_differences
from lotroot.counting.facts import CountFinished, Difference, DifferenceSettled
from lotroot.counting.inside import Label, progress
from lotroot.counting.seeing import going_on, where_words
from lotroot.errors import Refused
from lotroot.genealogy.lots import find_lot
from lotroot.plant.places import place_name
from lotroot.questions import Questioned, QuestionSettled, question_raised
from lotroot.stock.standing import at_spot
from lotroot.work import Answer, Work


def finish_count(work: Work, command: FinishCount) -> Answer:
    """End a count with its differences; what was not seen is asked about once."""
    count = going_on(work, command.count)
    name = place_name(work.connection, work.plant, count.place)
    counted = progress(work.connection, count)
    _ask_unseen(work, name, counted.unseen, counted.expected - counted.seen)
    _count_again(work, count, name)
    found = [
        dataclasses.replace(one, questions=_question(work, name, one))
        for one in differences(work.connection, work.plant, count, counted.unseen)
    ]
    work.record(CountFinished(count.id, count.place, counted.expected, counted.seen, tuple(found)))
    said = f"{name}: {counted.seen} of {counted.expected} seen"
    return Answer(f"{said}, {_summed(found)}.", (str(count.id), count.place))


def unseen_question(left: int) -> str:
    """What the question is called by that many labels raise which nobody scanned."""
    return f"unseen-{left}"


def _ask_unseen(work: Work, name: str, unseen: Sequence[Label], left: int) -> None:
    if not unseen:
        return
    text = f"{left} {'label was' if left == 1 else 'labels were'} not seen at {name}. Is the count finished?"
    if work.ask(unseen_question(left), text, {"yes": "Yes, they are missing", "no": "No, go on"}) == "no":
        raise Refused("The count goes on.", word="already", next_step="Scan what was not seen yet.")


def _summed(found: Sequence[Difference]) -> str:
    if not found:
        return "no difference"
    kinds = [one.kind for one in found]
    said = [f"{kinds.count(kind)} {words}" for kind, words in _SUMMED.items() if kind in kinds]
    return ", ".join(said)


_SUMMED = {
    MISSING: "missing",
    FOUND: "found",
    WRONG_PLACE: "in the wrong place",
    WEIGHT: "of another weight",
}


def _question(work: Work, name: str, one: Difference) -> tuple[int, ...]:
    """Put in question what a difference is about: a carrier, and each lot on it, or a lot."""
    reason = _reason(work, name, one)
    if not reason:
        return ()
    lots = sorted({row.lot for row in at_spot(work.connection, one.carrier)}) if one.carrier else [one.lot]
    subjects = [one.carrier, *lots] if one.carrier else lots
    work.questions.append(reason)
    return tuple(work.record(Questioned(subject, reason)) for subject in subjects)


def _reason(work: Work, name: str, one: Difference) -> str:
    which = f"Items {one.first} to {one.last}: " if one.last > one.first else f"Item {one.first}: "
    what = which if one.first else ""
    if one.kind == MISSING:
        return f"{what}Not found when {name} was counted."
    if one.kind == WEIGHT:
        unit = find_lot(work.connection, one.lot).unit
        amounts = f"{work.show(one.weighed, unit)}, not {work.show(one.amount, unit)}"
        return f"Counted at {name} as {amounts}."
    if one.kind == WRONG_PLACE and not away(one.stood):
        return ""
    recorded = f"though it is {where_words(work, one)}" if one.spot else "though nothing of it was left"
    return f"{what}Found when {name} was counted, {recorded} by the record."


def _count_again(work: Work, count: Row[Any], name: str) -> None:
    """What an earlier count of the place missed and nobody settled: this count says whether it is here."""
    for row in waiting_differences(work.connection):
        if row.place == count.place and row.kind == MISSING:
            settle_questions(work, row, f"Counted again: {name}")
            work.record(settled(row, COUNTED_AGAIN))


def settled(row: Row[Any], choice: str, words: str = "") -> DifferenceSettled:
    """The fact that a difference was decided."""
    return DifferenceSettled(
        count=row.of_count,
        seq=row.seq,
        place=row.place,
        lot=row.lot,
        first=row.first,
        last=row.last,
        carrier=row.carrier,
        choice=choice,
        words=words,
        was=row.choice,
    )


def settle_questions(work: Work, row: Row[Any], words: str) -> None:
    """Settle what a difference put in question, where nobody has done so in words."""
    for event in map(int, row.questions.split()):
        asked = question_raised(work.connection, event)
        if asked is not None and asked.settled is None:
            work.record(QuestionSettled(event, asked.subject, words))
