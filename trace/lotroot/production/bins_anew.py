"""Which weighing of a bin no longer holds, since scrap that was in it was told or taken back afterwards?

What was weighed by itself counts first; the rest of a bin is apportioned. So scrap that is told later counts
twice, and scrap that is taken back later not at all, until that weighing is corrected: with the same weight
too, it is shared out anew. Until then the bin is in question.
"""

from collections.abc import Iterator
from typing import Any, NamedTuple

from sqlalchemy import Row, bindparam, select

from lotroot.ledger.book import head
from lotroot.plant.adopted import number_of, thing_or_none
from lotroot.processes.bins import Bin, falls_into
from lotroot.production.apportioning import weighings_of
from lotroot.production.bin_facts import BinWeighingTakenBack
from lotroot.production.facts import APPORTIONED, Scrapped, ScrapTakenBack
from lotroot.production.tables import run, run_scrap
from lotroot.questions import QuestionSettled, open_questions
from lotroot.work import Work

_scrap = (
    select(run_scrap, run.c.station)
    .join(run, run.c.number == run_scrap.c.run)
    .where(run_scrap.c.event == bindparam("event"), run_scrap.c.how != APPORTIONED)
)


class _Late(NamedTuple):
    """A weighing that knew scrap otherwise, and whether that was told since, else taken back."""

    found: Bin
    weighing: Row[Any]
    told: bool


def doubt_weighings(work: Work) -> str:
    """Put in question what this posting makes another of weighed bins; says nothing of it."""
    _settle(work)
    late: dict[_Late, int] = {}
    for one, grams in _late(work):
        late[one] = late.get(one, 0) + grams
    for one, grams in late.items():
        much, when = work.show(grams, "g"), work.local_time(one.weighing.at)
        which = f"was {'told' if one.told else 'taken back'} after it was weighed at {when}"
        said = f"{one.found.name}: {much} of scrap in it {which}. {_correct(one.weighing.event)}"
        work.put_in_question(one.weighing.bin, said)
    return ""


def _correct(weighing: int) -> str:
    """How the reason of every question about a weighing ends."""
    return f"Correct weighing {weighing}, if only with the same weight."


def _settle(work: Work) -> None:
    """A weighing that was corrected or taken back is in question no more."""
    gone = [_correct(fact.event) for fact in work.events if isinstance(fact, BinWeighingTakenBack)]
    for row in open_questions(work.connection) if gone else ():
        if row.reason.endswith(tuple(gone)):
            work.record(QuestionSettled(row.event, row.subject, "The weighing was corrected."))


def _late(work: Work) -> Iterator[tuple[_Late, int]]:
    """Each weighing that another amount of scrap belongs to by this posting, with that amount in grams."""
    first = head(work.connection).count + 1
    for number, fact in enumerate(list(work.events), first):
        if isinstance(fact, Scrapped):
            yield from _of_scrap(work, number, told=True)
        elif isinstance(fact, ScrapTakenBack):
            yield from _of_scrap(work, fact.event, told=False)


def _of_scrap(work: Work, event: int, *, told: bool) -> Iterator[tuple[_Late, int]]:
    scrap = work.connection.execute(_scrap, {"event": event}).first()
    if scrap is not None:
        yield from ((one, int(scrap.amount)) for one in _knew_otherwise(work, scrap, told=told))


def _knew_otherwise(work: Work, scrap: Row[Any], *, told: bool) -> Iterator[_Late]:
    """The weighings of the bin that scrap was thrown into with it in there; one knows what came before it."""
    station = thing_or_none(work.connection, scrap.station)
    found = falls_into(work.plant.bins.values(), station.code, scrap.reason) if station is not None else None
    if found is not None:
        for row in weighings_of(work.connection, number_of(work.connection, "bin", found.code)):
            if row.since < scrap.at <= row.at and (told or row.event > scrap.event):
                yield _Late(found, row, told)
