"""What if something else was left of a load than was recorded when it came off (RULES 3, 14-15)?

The difference goes where what came off went: into the load that next took all there was, closed or not, whose
own reckoned remainder follows; else to where the lot stands. What stands there no more, and what a count has
settled since, is a difference in question.
"""

from collections import Counter
from typing import Any, NamedTuple

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.ledger.book import events_naming
from lotroot.production.facts import LoadRecounted, RemainderCorrected
from lotroot.production.relinking import in_own_unit, relink
from lotroot.production.remainders import (
    ask_remainder,
    in_stream,
    own_place,
    reckoned_left,
    refuse_impossible,
)
from lotroot.production.runs import Run, find_run, loads_of_lot
from lotroot.stock.events import ACCOUNTS, DIFFERENCE, Move, Moved
from lotroot.stock.standing import standings
from lotroot.work import Answer, LabelRequest, Work

WEIGHED, ESTIMATED, RECKONED = "weighed", "estimated", "calculated"
HOWS = (WEIGHED, ESTIMATED, RECKONED)
"""How it may be known what is left of a load."""


class Left(NamedTuple):
    """What was left of a load, in its lot's unit, how that is known, and who typed it."""

    own: int
    how: str
    typed_by: str = ""


class _Since(NamedTuple):
    """What became of what came off: the load that next took all there was, and whether a count came first."""

    load: Row[Any] | None
    counted: bool


def came_off(load: Row[Any]) -> bool:
    """Whether it is recorded that a load was taken off, and what was left of it then."""
    return load.unloaded_at is not None and bool(load.left_how)


def correct_remainder(work: Work, run: Run, load: Row[Any], left: Left) -> Answer:
    """Put right what was left of a load; what it was put on next, and the sums of both runs, follow."""
    lot = find_lot(work.connection, load.lot)
    refuse_impossible(work, lot, left.own)
    was = in_own_unit(load, load.remainder)
    now, before = work.show(left.own, lot.unit), work.show(was, lot.unit)
    _refuse(work, load, left, now)
    ask_remainder(work, load, left.own, max(reckoned_left(run, load), 0))
    _put_right(work, run, load, left)
    said = f"{shown(lot.number)} came off run {shown(run.number)} with {now}"
    more = f"no longer {before}" if left.own != was else left.how
    return Answer(f"{said}, {more}.", (lot.number, run.number))


def _refuse(work: Work, load: Row[Any], left: Left, now: str) -> None:
    lot = shown(load.lot)
    if not came_off(load):
        raise Refused(
            f"Nothing is recorded as left of load {load.load}, {lot}.",
            value=str(load.load),
            expected="A load that was taken off with something on it.",
            next_step="Take it off if it is still on; if it ran out, correct when it ended, or its amount.",
        )
    if left.how not in HOWS:
        raise Unreadable(
            "What is left is known in another way.",
            value=left.how[:40],
            expected=f"One of: {', '.join(HOWS)}.",
            next_step="Choose how it is known.",
        )
    if (left.own, left.how) == (in_own_unit(load, load.remainder), load.left_how):
        raise Refused(
            f"{lot} came off with {now}, {left.how}, already.",
            word="already",
            value=now,
            expected="Another amount, or known otherwise.",
            next_step="Nothing: it is as you say.",
        )
    then = _since(work, load).load
    if then is not None and not left.own:
        raise Refused(
            f"{lot} was put on again in run {shown(then.run)}: something was left of it.",
            value=now,
            expected="More than nothing.",
            next_step=f"If another lot was put on there, correct that load of run {shown(then.run)} first.",
        )


def _put_right(work: Work, run: Run, load: Row[Any], left: Left) -> None:
    was = in_own_unit(load, load.remainder)
    more, then = left.own - was, _since(work, load)
    amount = in_stream(work, run.row, load, left.own)
    told = (run.number, load.load, load.lot, amount, left.own, was, left.how, left.typed_by)
    work.record(RemainderCorrected(*told))
    if not more:
        return
    moves = _moves(work, run, load, more, then)
    if moves:
        work.record(Moved(tuple(moves)))
    after = None if then.counted else then.load
    if after is not None:
        _recount(work, after, more)
    relink(work, run.number, doubted=True)
    if after is not None:
        _follow(work, after, more)


def _since(work: Work, load: Row[Any]) -> _Since:
    """What became of what came off, by what of the lot stood where after each event since."""
    later = {
        one.event: one for one in loads_of_lot(work.connection, load.lot) if one.event > load.unloaded_event
    }
    stood: Counter[str] = Counter()
    counted = False
    for one in events_naming(work.connection, load.lot):
        for move in getattr(one.event, "moves", ()):
            if move.lot == load.lot:
                stood[move.source] -= move.amount
                stood[move.target] += move.amount
                counted |= one.id > load.unloaded_event and _by_count(move)
        # A load of a stated part leaves some standing: that part is what somebody said.
        if one.id in later and not any(stood[spot] > 0 for spot in stood if _off_machines(spot)):
            return _Since(later[one.id], counted)
    return _Since(None, counted)


def _off_machines(spot: str) -> bool:
    return spot not in ACCOUNTS and not spot.startswith(Family.RUN)


def _by_count(move: Move) -> bool:
    """Whether a move says that more, or less, was found standing than recorded."""
    spots = {move.source, move.target}
    return not move.run and DIFFERENCE in spots and any(_off_machines(spot) for spot in spots)


def _moves(work: Work, run: Run, load: Row[Any], more: int, then: _Since) -> list[Move]:
    """Moves that bring `more` (of either sign) off the run to where what came off went, or back."""
    if then.counted:
        work.put_in_question(load.lot, "What was left of it was corrected after it was counted.")
        return [_move(load.lot, run.number, DIFFERENCE, more)]
    if then.load is not None:
        same = then.load.run == run.number
        return [] if same else [_move(load.lot, run.number, then.load.run, more)]
    parts = _parts(work, run, load, more)
    if any(spot != DIFFERENCE for spot, _ in parts):
        work.label(LabelRequest(load.lot, layout="part_coil"))
    return [_move(load.lot, run.number, spot, amount) for spot, amount in parts]


def _parts(work: Work, run: Run, load: Row[Any], more: int) -> list[tuple[str, int]]:
    """`more` by the spots it belongs to: where most of the lot stands first."""
    rows = [row for row in standings(work.connection, load.lot) if not row.first and _off_machines(row.spot)]
    rows.sort(key=lambda row: (-row.amount, row.spot))
    if more > 0 and rows:
        return [(rows[0].spot, more)]
    if not load.remainder:  # nothing was thought to be left, so nobody moved it from where it came off
        work.put_in_question(load.lot, "Something was left of it after all: to be counted.")
        return [(own_place(work, run), more)]
    parts, rest = [], -more
    for row in rows:
        part = min(rest, max(row.amount, 0))
        parts += [(row.spot, -part)] if part > 0 else []
        rest -= part
    if rest:
        work.put_in_question(load.lot, "What was left of it was corrected after it was used.")
        parts.append((DIFFERENCE, -rest))
    return parts


def _move(lot: str, source: str, target: str, amount: int) -> Move:
    if amount < 0:
        source, target, amount = target, source, -amount
    return Move(lot, source, target, amount, reason="remainder corrected")


def _recount(work: Work, load: Row[Any], more: int) -> None:
    """The load that took what was left took that much more, or less."""
    own = load.own + more
    if own < 0:  # others had taken parts of it before
        moves = (Move(load.lot, DIFFERENCE, load.run, -own, reason="more than there was"),)
        work.record(Moved(moves))
        work.put_in_question(load.lot, "More was taken of it than was left.")
        own = 0
    run = find_run(work.connection, load.run)
    amount = in_stream(work, run.row, load, own)
    work.record(LoadRecounted(load.run, load.load, load.lot, amount, own, load.own))


def _follow(work: Work, load: Row[Any], more: int) -> None:
    """What was reckoned to be left of that load in its turn follows; what was weighed stays."""
    relink(work, load.run, doubted=True)
    run = find_run(work.connection, load.run)
    now = run.load(load.load)
    left = in_own_unit(now, now.remainder)
    if now.left_how == RECKONED:
        # What came to less than nothing was told as nothing: only then is it reckoned anew.
        _put_right(work, run, now, Left(max(left + more if left else reckoned_left(run, now), 0), RECKONED))
    elif reckoned_left(run, now) < left:
        work.put_in_question(now.lot, f"More of it was used in run {shown(run.number)} than was put on.")
