"""What if another lot was on the machine than the one recorded, or another amount was left (RULES 14-15)?

The right lot is taken however it stands, used up, shipped or held; what it lacks is a difference in
question. The wrong lot gets back what it never gave, and is to be counted. Old links stay doubted.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import LinksConfirmed
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.goods import Goods, one_lot
from lotroot.identity.showing import shown
from lotroot.production.correcting_remainders import WEIGHED, Left, correct_remainder
from lotroot.production.facts import EndCorrected, LoadCorrected
from lotroot.production.putting_on import going_on, meant, put_on, serial_of
from lotroot.production.relinking import relink
from lotroot.production.remainders import own_place, reckoned_left
from lotroot.production.runs import Run, find_run, judged_by
from lotroot.stock.events import DIFFERENCE, SCRAP, TAKEN, Move, Moved
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, Work


@dataclass(frozen=True)
class CorrectInput:
    """Load `load` of a run was `lot`, not the lot recorded; or something else was left of it.

    `remainder` is what came off again, in the lot's unit, None where that is right; `how` is weighed,
    estimated or calculated, `typed_by` scale or hand.
    """

    run: str
    load: int
    lot: str = ""
    remainder: int | None = None
    how: str = "weighed"
    typed_by: str = ""


@dataclass(frozen=True)
class CorrectMark:
    """A coil ended at another time (`at`, microseconds UTC), or did not end (`at` 0)."""

    run: str
    load: int
    at: int
    next_load: int = 0
    counter: int | None = None


@dataclass(frozen=True)
class ConfirmLinks:
    """QA confirms what a lot was made of: what was doubted no longer counts."""

    lot: str


def correct_input(work: Work, command: CorrectInput) -> Answer:
    """Put another lot in the place of the recorded one, or right what was left of it."""
    run = find_run(work.connection, command.run)
    load = run.load(command.load)
    if (command.remainder is None) is not bool(command.lot):
        raise Unreadable(
            "One thing is corrected at a time: which lot it was, or what was left of it.",
            value=command.lot,
            expected="The lot alone, or the remainder alone.",
            next_step="Enter the one that was wrong; send the other after it.",
        )
    if command.remainder is not None:
        by = typed_by(command.typed_by) if command.how == WEIGHED else ""
        return correct_remainder(work, run, load, Left(command.remainder, command.how, by))
    right = one_lot(work.connection, command.lot)
    if right.number == load.lot:
        raise Refused(
            f"Load {load.load} is recorded as {shown(right.number)} already.",
            word="already",
            value=right.number,
            expected="The lot that was really on the machine.",
            next_step="Scan its label.",
        )
    _give_back(work, run, load)
    here = meant(work.connection, command.lot, right.number)
    own, amount = _take_instead(work, run, load, (right, here))
    serial = serial_of(command.lot)
    told = (right.number, amount, own, load.end, serial, serial)
    work.record(LoadCorrected(run.number, load.load, *told))
    _scrap_again(work, run, load, right)
    relink(work, run.number, doubted=True)
    return Answer(
        f"Run {shown(run.number)}: {shown(right.number)} was on, not {shown(load.lot)}.",
        (run.number, right.number, load.lot),
    )


def _give_back(work: Work, run: Run, load: Row[Any]) -> None:
    """The wrong lot never gave anything here: it stands at the station's place, to be counted."""
    place = own_place(work, run)
    scrapped = sum(one.own for one in run.scrap if one.load == load.load)
    amounts = (
        (TAKEN, load.taken),
        (DIFFERENCE, load.difference),
        (SCRAP, scrapped),
        (run.number, _left_on_machine(run, load)),
    )
    moves = [_move(load.lot, account, place, amount) for account, amount in amounts if amount]
    if moves:
        work.record(Moved(tuple(moves)))
        work.put_in_question(load.lot, "It was not on the machine after all: to be counted.")


def _left_on_machine(run: Run, load: Row[Any]) -> int:
    """What of this very load stands on the run: the same lot may have been loaded twice."""
    if run.row.closed is not None or load.unloaded_at is not None:
        return 0
    return reckoned_left(run, load) - int(load.difference)


def _move(lot: str, source: str, target: str, amount: int) -> Move:
    if amount < 0:
        source, target, amount = target, source, -amount
    return Move(lot, source, target, amount, reason="input corrected")


def _take_instead(
    work: Work,
    run: Run,
    load: Row[Any],
    instead: tuple[Row[Any], list[Goods]],
) -> tuple[int, int]:
    """Put the right lot on the machine; returns its amount in its own and in the stream's unit."""
    process = judged_by(work.connection, run.row)[1]
    role = process.input(load.role)
    scrapped = sum(one.own for one in run.scrap if one.load == load.load)
    needed = load.taken + scrapped
    still_on = load.ended_at is None and load.unloaded_at is None and run.row.closed is None
    right, everywhere = instead
    here = [one for one in everywhere if not one.spot.startswith(("D", "U"))]
    standing = sum(one.amount for one in here)
    own = max(standing, needed) if still_on else needed
    parts = going_on(work.connection, here, own)
    moves = [move for part in parts for move in part.moves(run.number)]
    left = own - sum(part.goods.amount - part.back for part in parts)
    if left > 0:
        moves.append(
            Move(right.number, DIFFERENCE, run.number, left, run=run.number, reason="input corrected")
        )
        work.put_in_question(right.number, "It gave more than was recorded as standing.")
    if moves:
        work.record(Moved(tuple(moves)))
    return own, own if role is None else put_on(work, right, process.streams[role.stream], here, own)


def _scrap_again(
    work: Work,
    run: Run,
    load: Row[Any],
    right: Row[Any],
) -> None:
    scrapped = sum(one.own for one in run.scrap if one.load == load.load)
    if scrapped:
        move = Move(right.number, run.number, SCRAP, scrapped, run=run.number, reason="input corrected")
        work.record(Moved((move,)))


def correct_mark(work: Work, command: CorrectMark) -> Answer:
    """Move, set or take away the mark that a coil ended."""
    run = find_run(work.connection, command.run)
    load = run.load(command.load)
    if command.at and command.at < load.at:
        raise Refused(
            "A coil cannot end before it was loaded.",
            value=work.local_time(command.at),
            expected=f"After {work.local_time(load.at)}.",
            next_step="Correct the time.",
        )
    work.record(EndCorrected(run.number, load.load, command.at, command.next_load, command.counter))
    relink(work, run.number, doubted=True)
    when = f"ended at {work.local_time(command.at)}" if command.at else "did not end"
    return Answer(f"{shown(load.lot)} {when}.", (run.number, load.lot))


def confirm_links(work: Work, command: ConfirmLinks) -> Answer:
    """End the doubt about a lot's parents."""
    row = find_lot(work.connection, command.lot)
    doubted = [link for link in links_of(work.connection, row.id, doubted=True) if link.state]
    if not doubted:
        raise Refused(
            f"Nothing is doubted about {shown(row.number)}.",
            word="already",
            value=row.number,
            expected="A lot with doubted links.",
            next_step="Go on; nothing was recorded again.",
        )
    work.record(LinksConfirmed(row.number))
    gone = ", ".join(sorted({shown(link.parent_number) for link in doubted}))
    return Answer(f"{shown(row.number)} does not come from {gone}: confirmed.", (row.number,))
