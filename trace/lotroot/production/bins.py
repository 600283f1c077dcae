"""What is known when a bin of scrap is weighed, and what if it was weighed wrongly (RULES 3)?

A bin is weighed as it is emptied. What is in it and was not weighed by itself before is apportioned to the
runs that threw into it, closed ones too: their difference gets less, their scrap more, and no link changes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Row, select

from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.ledger.tables import event
from lotroot.plant.adopted import code_of, thing_or_none
from lotroot.processes.bins import Bin
from lotroot.production.apportioning import (
    Time,
    Use,
    named_before,
    parts_of,
    shares_of,
    uses_of,
    weighing_or_none,
    weighings_of,
)
from lotroot.production.bin_facts import BinWeighed, BinWeighingTakenBack
from lotroot.production.facts import APPORTIONED, Scrapped, ScrapTakenBack
from lotroot.production.relinking import rebook
from lotroot.production.runs import find_run
from lotroot.questions import QuestionSettled, open_questions
from lotroot.stock.events import SCRAP, Move, Moved
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, Work

PLENTY = 4
"""More scrap than a fourth of what was used since is asked about once: no process wastes so much (ours)."""


@dataclass(frozen=True)
class WeighBin:
    """A bin of scrap is weighed as it is emptied; `bin` is the number on its label.

    `weight` is what the scale shows in grams: gross where plant.toml tells what the bin weighs empty, else
    what was in it. `reason` is needed where the bin is for scrap of any. `typed_by` is scale or hand.
    """

    bin: str
    weight: int
    reason: str = ""
    typed_by: str = ""


@dataclass(frozen=True)
class CorrectBin:
    """A bin was weighed wrongly, or for another reason; `weighing` is the event that said so.

    What was apportioned is taken back and shared out anew, by what is known now of the same time; `weight`
    is what the scale really showed, in grams, with the bin's tare of then.
    """

    weighing: int
    weight: int
    reason: str = ""


class _Filled(NamedTuple):
    """A bin as it was emptied: its number, why, and what was weighed."""

    number: str
    bin: Bin
    reason: str
    weight: int
    tare: int
    time: Time
    typed_by: str


def weigh_bin(work: Work, command: WeighBin) -> Answer:
    """Share out what is in a bin; never refused for being odd, which is asked about and in question."""
    found = work.plant.bin(code_of(work.connection, command.bin, "bin"))
    by, tare = typed_by(command.typed_by), found.tare_g or 0
    net = _net(work, found, command.weight, tare)
    reason = _reason(work, found, command.reason)
    before = [row.at for row in weighings_of(work.connection, command.bin)]
    row = thing_or_none(work.connection, command.bin)
    numbered = row.since if row is not None else 0
    since = max([min(numbered, work.happened), *(at for at in before if at <= work.happened)])
    filled = _Filled(command.bin, found, reason, net, tare, Time(since, work.happened), by)
    if any(at > work.happened for at in before):
        said = "was weighed later too, and that scrap was shared out without this: correct that weighing."
        work.put_in_question(filled.number, f"{found.name} {said}")
    return _share(work, filled)


def correct_bin(work: Work, command: CorrectBin) -> Answer:
    """Take back what one weighing apportioned, and share it out anew."""
    row = weighing_or_none(work.connection, command.weighing)
    if row is None or row.voided:
        raise Unknown(
            "No such weighing of a bin stands.",
            value=str(command.weighing),
            expected="A weighing on the page of bins.",
            next_step="Look it up there; it may have been corrected already.",
        )
    found = work.plant.bin(code_of(work.connection, row.bin, "bin"))
    net = _net(work, found, command.weight, row.tare)
    reason = _reason(work, found, command.reason or row.reason)
    others = [one.at for one in weighings_of(work.connection, row.bin) if one.event != row.event]
    since = max([row.since, *(at for at in others if at <= row.at)])
    runs = _take_back(work, row)
    filled = _Filled(row.bin, found, reason, net, row.tare, Time(since, row.at), row.typed_by)
    return _share(work, filled, runs)


def _net(work: Work, found: Bin, weight: int, tare: int) -> int:
    if weight < tare or weight <= 0:
        least = f"At least {work.show(tare, 'g')}, its own weight." if tare else "More than zero."
        raise Unreadable(
            f"{found.name} cannot weigh that." if tare else "The scrap has no weight.",
            value=work.show(weight, "g"),
            expected=least,
            next_step="Put it on the scale again, with the bin, and enter the number."
            if tare
            else "Weigh it and enter the number.",
        )
    return weight - tare


def _reason(work: Work, found: Bin, given: str) -> str:
    if found.reason is not None:
        if given not in ("", found.reason):
            raise Refused(
                f"{found.name} is for {work.plant.reason(found.reason).words.lower()} alone.",
                value=given,
                expected=f"No reason, or {found.reason}.",
                next_step="Weigh it without a reason, or scan the other bin.",
            )
        return found.reason
    choices = {reason.code: reason.words for reason in work.plant.reasons_of("scrap")}
    return given if given in choices else work.ask("scrap", f"{found.name}: why is it scrap?", choices)


def _share(work: Work, filled: _Filled, runs: Iterable[str] = ()) -> Answer:
    """Record a weighing with what it apportions; `runs` are also to be added up anew."""
    uses = uses_of(work.connection, filled.bin, filled.time)
    named = named_before(work.connection, work.plant, filled.bin, filled.time)
    rest = max(filled.weight - named, 0)
    _doubt(work, filled, named, sum(use.grams for use in uses))
    parts = shares_of(rest, uses) if uses else []
    shared = sum(share for _, share in parts)
    weighing = work.record(
        BinWeighed(
            filled.number,
            filled.reason,
            filled.weight,
            filled.time.since,
            filled.time.at,
            named=min(named, filled.weight),
            shared=shared,
            tare=filled.tare,
            typed_by=filled.typed_by,
        )
    )
    _scrap(work, filled, weighing, parts)
    touched = list(dict.fromkeys([*runs, *(use.run.number for use, _ in parts)]))
    for number in touched:
        rebook(work, number)
    return Answer(_said(work, filled, named, parts), (filled.number, *touched))


def _scrap(work: Work, filled: _Filled, weighing: int, parts: list[tuple[Use, int]]) -> None:
    moves = []
    for use, share in parts:
        run, load = use.run.number, use.load
        own = share if load.own == load.amount else share * load.own // max(load.amount, 1)
        work.record(
            Scrapped(run, load.load, share, own, filled.reason, filled.typed_by, APPORTIONED, weighing)
        )
        if own:
            moves.append(Move(load.lot, run, SCRAP, own, run=run, reason=filled.reason))
    if moves:
        work.record(Moved(tuple(moves)))


def _take_back(work: Work, row: Row[Any]) -> list[str]:
    """What a weighing apportioned goes back to the loads as they are now; the runs they are in."""
    parts, moves = parts_of(work.connection, row.event), []
    for part in parts:
        load = find_run(work.connection, part.run).load(part.load)
        work.record(ScrapTakenBack(part.run, part.event))
        if part.own:
            moves.append(Move(load.lot, SCRAP, part.run, part.own, run=part.run, reason="bin corrected"))
    if moves:
        work.record(Moved(tuple(moves)))
    work.record(BinWeighingTakenBack(row.bin, row.event))
    _settle(work, row)
    return [str(part.run) for part in parts]


def _settle(work: Work, row: Row[Any]) -> None:
    """What was in question about the bin by the weighing that is corrected is so no longer."""
    mine = [one for one in open_questions(work.connection) if one.subject == row.bin]
    asked = select(event.c.posting, event.c.id).where(
        event.c.id.in_([row.event, *(one.event for one in mine)])
    )
    postings = {one.id: one.posting for one in work.connection.execute(asked)}
    for one in mine:
        if postings.get(one.event) == postings.get(row.event):
            work.record(QuestionSettled(one.event, one.subject, "The weighing was corrected."))


def _doubt(work: Work, filled: _Filled, named: int, used: int) -> None:
    """Ask once about what cannot well be, and put in question what does not come out."""
    name, since = filled.bin.name, work.local_time(filled.time.since)
    much = work.show(filled.weight, "g")
    if filled.weight < named:
        told, lacks = (work.show(one, "g") for one in (named, named - filled.weight))
        said = f"{name} held {much}, but {told} were weighed into it since {since}: {lacks} are not there."
        work.put_in_question(filled.number, said)
        return
    rest = filled.weight - named
    if rest * PLENTY <= used:
        return
    compared = f"{work.show(used, 'g')} were used" if used else "nothing was made"
    said = f"{name}: {work.show(rest, 'g')} of scrap, but {compared} since {since}."
    work.ask(f"bin-{filled.weight}", f"{said} Is the weight right?", {"yes": "Yes, it is right"})
    work.put_in_question(filled.number, said)


def _said(work: Work, filled: _Filled, named: int, parts: list[tuple[Use, int]]) -> str:
    runs = len({use.run.number for use, _ in parts})
    words = work.plant.reason(filled.reason).words
    said = f"{filled.bin.name}: {work.show(filled.weight, 'g')}, {words}"
    if named > filled.weight:
        return f"{said}. {work.show(named - filled.weight, 'g')} less than was weighed into it."
    if named:
        said += f"; {work.show(named, 'g')} of it weighed before"
    shared = work.show(sum(share for _, share in parts), "g")
    over = "one run" if runs == 1 else f"{runs} runs"
    if runs:
        return f"{said}; {shared} apportioned to {over}."
    why = "nothing left to apportion" if named == filled.weight else "no run it could be of"
    return f"{said}; {why}."
