"""What becomes of a load whose lot turns out to be of another amount while it is on a machine?

Receiving and weighing know lots, not runs. So whatever a posting put onto a run or took off it as the
lot's own amount is followed here, in the same posting: the load is of that much more or less, its links
are worked out anew, and at its end nothing is left standing on the run (RULES 3).
"""

from typing import Any

from sqlalchemy import Row

from lotroot.identity import Family
from lotroot.production.facts import LoadRecounted
from lotroot.production.relinking import relink
from lotroot.production.remainders import in_stream
from lotroot.production.runs import Run, find_run
from lotroot.stock.events import BORN, DIFFERENCE, Move, Moved
from lotroot.work import Work


def recount(work: Work) -> str:
    """Follow what this posting changed of the own amounts of loaded lots; says nothing of it."""
    for (lot, number), more in sorted(_changes(work).items()):
        run = find_run(work.connection, number)
        load = _load_of(run, lot)
        if load is not None and more:
            _recount(work, run, load, more)
    return ""


def _changes(work: Work) -> dict[tuple[str, str], int]:
    """What each lot on each run gained or lost as its own amount."""
    changes: dict[tuple[str, str], int] = {}
    moves = [move for fact in work.events if isinstance(fact, Moved) for move in fact.moves]
    for move in moves:
        for spot, other, sign in ((move.target, move.source, 1), (move.source, move.target, -1)):
            if other == BORN and spot.startswith(Family.RUN):
                key = (move.lot, spot)
                changes[key] = changes.get(key, 0) + sign * move.amount
    return changes


def _load_of(run: Run, lot: str) -> Row[Any] | None:
    """The load that is on; else the last one of that lot, whose border is not settled yet."""
    mine = [one for one in run.inputs if one.lot == lot]
    return next((one for one in reversed(mine) if one in run.loaded), mine[-1] if mine else None)


def _recount(work: Work, run: Run, load: Row[Any], more: int) -> None:
    own = load.own + more
    if own < 0:  # other machines had it before: it lacks what was never on this one
        work.record(Moved((Move(load.lot, DIFFERENCE, run.number, -own, reason="more than there was"),)))
        own = 0
    amount = in_stream(work, run.row, load, own)
    work.record(LoadRecounted(run.number, load.load, load.lot, amount, own, load.own))
    relink(work, run.number)
