"""How is a hold placed, how does it catch later lots, and how is it released?"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, bindparam, select

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import as_alias, find_lot, lots_of_run
from lotroot.holds.facts import HoldEnded, HoldPlaced, HoldReleased, HoldRootAdded, hold, hold_root
from lotroot.holds.naming import WORDS, Named, check_named, check_part, lots_named, part_words, what_named
from lotroot.holds.reach import Held, held_by
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.ledger.book import events_naming
from lotroot.ledger.names import name_of
from lotroot.questions import QuestionSettled, open_questions, question_raised
from lotroot.work import Answer, Handler, Work

AWAITING = ("checks", "drip")
"""Kinds of hold that goods are born with."""

GRAVEST = ("recall", "hold", "drip", "checks")
"""Which of several holds is told first: one that was found wrong before one that only waits."""

LONGEST_WORDS = 200
"""Characters of what was found where a question is settled: they stand in tables and on the lot's page."""

_catching = select(hold).where(hold.c.catches == 1).order_by(hold.c.id)
_with_id = select(hold).where(hold.c.id == bindparam("hold"))


@dataclass(frozen=True)
class PlaceHold:
    """Stop a lot, items first to last or a stretch of it, or every lot of a heat, delivery or supplier.

    A hold reaches everything made of what it names, also what is made later.
    """

    reason: str
    lot: str = ""
    first: int = 0
    last: int = 0
    heat: str = ""
    delivery: str = ""
    supplier: str = ""
    kind: str = "hold"


@dataclass(frozen=True)
class ReleaseHold:
    """Let a lot, or serials or a stretch of it, through one hold; `hold` is the hold's number.

    With a run's number as `lot` and no hold: every lot of that run, from what it awaits since it was made.
    """

    hold: int
    lot: str
    reason: str
    first: int = 0
    last: int = 0


@dataclass(frozen=True)
class EndHold:
    """A hold by heat, delivery or supplier catches no more lots; those that it holds stay held."""

    hold: int
    reason: str


@dataclass(frozen=True)
class SettleQuestion:
    """A supervisor settles what is in question, in words, with all that was put in question along with it."""

    question: int
    words: str


def place(work: Work, command: PlaceHold) -> int:
    """Record a hold with its roots of now; returns its number."""
    roots = lots_named(work.connection, named_by(command))
    named = (as_alias(value) for value in (command.heat, command.delivery, command.supplier))
    placed = work.record(HoldPlaced(command.kind, command.reason, *named))
    for number in roots:
        span = (command.first, command.last) if number == command.lot else (0, 0)
        work.record(HoldRootAdded(placed, number, *span))
    return placed


def catch(work: Work, number: str, *, heats: Iterable[str], delivery: str, supplier: str) -> list[int]:
    """Add a lot to every hold it matches by heat, delivery or supplier (RULES 19); returns those holds."""
    caught = []
    heats = list(heats)
    for row in work.connection.execute(_catching).all():
        if matches(row, heats=heats, delivery=delivery, supplier=supplier) and not _is_root(
            work, row.id, number
        ):
            work.record(HoldRootAdded(row.id, number))
            caught.append(row.id)
    return caught


def matches(row: Row[Any], *, heats: Iterable[str], delivery: str, supplier: str) -> bool:
    """Whether a hold by heat, delivery or supplier means a lot of these; one of named lots means none."""
    wanted = [
        (row.heat, row.heat in {as_alias(heat) for heat in heats}),
        (row.delivery, row.delivery == as_alias(delivery)),
        (row.supplier, row.supplier == as_alias(supplier)),
    ]
    named = [fits for value, fits in wanted if value]
    return bool(named) and all(named)


def refuse_held(work: Work, act: str, number: str, first: int = 0, last: int = 0) -> None:
    """Refuse an act that decides on held goods, in words the person can act on."""
    reached = held_by(work.connection, number, first, last)
    if reached:
        work.refuse(held_refusal(act, number, reached), number)


def held_refusal(act: str, number: str, reached: list[Held]) -> Refused:
    """The refusal of an act on goods that a hold reaches."""
    first, *others = sorted(reached, key=lambda one: GRAVEST.index(one.kind))
    through = "" if first.root == number else f", through {shown(first.root)}"
    also = dict.fromkeys(WORDS[one.kind] for one in others if one.kind != first.kind)
    more = f" It is {' and '.join(also)} as well." if also else ""
    return Refused(
        f"{shown(number)} is {WORDS[first.kind]}{through}: {first.reason}.{more}",
        word="held",
        value=number,
        expected=f"{act} takes goods that are free.",
        next_step="Put it aside and scan another, or call QA.",
    )


def _is_root(work: Work, hold_id: int, number: str) -> bool:
    query = select(hold_root.c.event).where(hold_root.c.hold == hold_id, hold_root.c.lot == number)
    return work.connection.execute(query).first() is not None


def named_by(command: PlaceHold) -> Named:
    """What a command names."""
    span = (command.first, command.last)
    sources = (command.heat, command.delivery, command.supplier)
    return Named(command.kind, command.reason, command.lot, span, *sources)


def _place(work: Work, command: PlaceHold) -> Answer:
    named = named_by(command)
    check_named(work, named)
    placed = place(work, command)
    found = len(lots_named(work.connection, named))
    later = "" if command.lot else " Lots that come later are held as well."
    return Answer(
        f"{what_named(work, named, found)} {WORDS[command.kind]}: {command.reason}.{later}",
        (command.lot,) if command.lot else (str(placed),),
    )


def _release(work: Work, command: ReleaseHold) -> Answer:
    if not command.reason.strip():
        raise Unreadable(
            "A release needs a reason.", expected="What was found.", next_step="Enter the reason."
        )
    if not command.hold and command.lot.startswith(Family.RUN):
        return _release_run(work, command)
    row = find_lot(work.connection, command.lot)
    check_part(row, command.first, command.last)
    reached = list(held_by(work.connection, row.number, command.first, command.last))
    if command.hold not in [one.hold for one in reached]:
        raise Refused(
            f"{shown(row.number)} is not held by hold {command.hold}, or was released from it already.",
            word="already",
            value=str(command.hold),
            expected=f"Holds on it: {', '.join(str(one.hold) for one in reached) or 'none'}.",
            next_step="Look at the lot's page.",
        )
    work.record(HoldReleased(command.hold, row.number, command.reason, command.first, command.last))
    rest = held_by(work.connection, row.number, command.first, command.last)
    more = f" Still {WORDS[rest[0].kind]}: {rest[0].reason}." if rest else ""
    part = part_words(row, command.first, command.last)
    return Answer(f"{shown(row.number)}{part} is released: {command.reason}.{more}", (row.number,))


def _end(work: Work, command: EndHold) -> Answer:
    if not command.reason.strip():
        raise Unreadable(
            "To end a hold needs a reason.", expected="What was found.", next_step="Enter the reason."
        )
    row = work.connection.execute(_with_id, {"hold": command.hold}).first()
    if row is None or not row.catches:
        raise Refused(
            f"Hold {command.hold} catches nothing that comes later.",
            word="already",
            value=str(command.hold),
            expected="A hold by heat, delivery or supplier that was not ended.",
            next_step="Look at the page of holds.",
        )
    work.record(HoldEnded(row.id, command.reason))
    return Answer(
        f"Hold {row.id} catches nothing more: {command.reason}. What it holds stays held.", (str(row.id),)
    )


def _release_run(work: Work, command: ReleaseHold) -> Answer:
    """The proof of a charge is one: all its packs go by one act, those that another hold stops stay held."""
    lots = [row.number for row in lots_of_run(work.connection, command.lot)]
    freed, kept = [], []
    for number in lots:
        reached = held_by(work.connection, number)
        waits = [one for one in reached if one.kind in AWAITING]
        for one in waits:
            work.record(HoldReleased(one.hold, number, command.reason))
        freed += [number] if waits else []
        kept += [number] if waits and len(waits) < len(reached) else []
    if not freed:
        raise Refused(
            f"Nothing of run {shown(command.lot)} awaits checks.",
            word="already",
            value=command.lot,
            expected="A run whose goods are held until their checks are in.",
            next_step="Look at the run's page.",
        )
    still = f" Still on hold: {', '.join(shown(one) for one in kept)}." if kept else ""
    count = "1 lot" if len(freed) == 1 else f"{len(freed)} lots"
    return Answer(
        f"{count} of run {shown(command.lot)} released: {command.reason}.{still}", (command.lot, *freed)
    )


def _settle(work: Work, command: SettleQuestion) -> Answer:
    standing = open_questions(work.connection)
    found = [row for row in standing if row.event == command.question]
    if not found:
        raise _not_open(work, command.question)
    words = " ".join(command.words.split())
    if not words:
        raise Unreadable(
            "Nobody has said what was found.",
            expected="A reason, or a few words of your own.",
            next_step="Say it, then settle it again.",
        )
    if len(words) > LONGEST_WORDS:
        raise Unreadable(
            f"What was found is too long: {len(words)} characters.",
            value=f"{words[:40]}…",
            expected=f"A reason, or your own words in at most {LONGEST_WORDS} characters.",
            next_step="Say it in fewer words; then settle it again.",
        )
    together = [row for row in standing if (row.reason, row.at) == (found[0].reason, found[0].at)]
    for row in together:
        work.record(QuestionSettled(row.event, row.subject, words))
    return Answer(f"Settled: {words}", tuple(row.subject for row in together))


def _not_open(work: Work, number: int) -> Refused:
    """Somebody was first, or nobody ever asked that."""
    said, row = "That is no question of this morning's list.", question_raised(work.connection, number)
    if row is not None:
        later = events_naming(work.connection, row.subject, row.event)
        by = next(one.posting for one in later if one.id == row.settled)
        who = f" by {name_of(work.connection, by.person)}" if by.person else ""
        at = work.local_time(by.happened)
        said = f"{shown(row.subject)} was settled already at {at}{who}: {row.settlement}"
    return Refused(
        said,
        word="already",
        value=str(number),
        expected="A question that is still open.",
        next_step="Go on; nothing was recorded again.",
    )


HANDLERS: dict[type, Handler] = {
    PlaceHold: Handler(_place),
    ReleaseHold: Handler(_release, pin=True),
    EndHold: Handler(_end, pin=True),
    SettleQuestion: Handler(_settle),
}
