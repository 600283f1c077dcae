"""On which production days were runs closed, and which runs are behind a part of a picture of mass?"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, and_, bindparam, select

from lotroot.reconciliation.tables import STANDS, run_balance
from lotroot.tracing.mass_flow import BACK, EXCESS, LOSS, MISSING, SCRAP, STEP

MOST_RUNS = 200
"""Runs listed behind one node."""


class Days(NamedTuple):
    """Production days, first and last."""

    first: str
    last: str


class Behind(NamedTuple):
    """Which runs are meant: of some processes, in a unit, that have something in a part of the picture."""

    unit: str
    processes: tuple[str, ...]
    part: str = STEP


THESE = and_(STANDS, run_balance.c.day >= bindparam("first"), run_balance.c.day <= bindparam("last"))
"""Of the balances that stand, those of some days."""
_off = run_balance.c.difference
_day = select(run_balance.c.day).where(STANDS).limit(1)
_latest = _day.order_by(run_balance.c.day.desc())
_before = _latest.where(run_balance.c.day < bindparam("day"))
_after = _day.order_by(run_balance.c.day).where(run_balance.c.day > bindparam("day"))
_behind = (
    select(run_balance)
    .where(
        THESE,
        run_balance.c.unit == bindparam("unit"),
        run_balance.c.process.in_(bindparam("processes", expanding=True)),
    )
    .order_by(run_balance.c.closed.desc(), run_balance.c.run, run_balance.c.stream)
    .limit(MOST_RUNS + 1)
)
_behind_part = {
    BACK: _behind.where(run_balance.c.returned > 0),
    SCRAP: _behind.where(run_balance.c.scrap > 0),
    LOSS: _behind.where(run_balance.c.loss > 0),
    MISSING: _behind.where(_off > 0),
    EXCESS: _behind.where(_off < 0),
}
"""What of all runs of a process has to do with a node of that part."""


def latest_day(connection: Connection) -> str:
    """The last production day in which a run was closed; empty before the first."""
    return connection.scalar(_latest) or ""


def days_beside(connection: Connection, days: Days) -> Days:
    """The nearest days with closed runs before the first and after the last; empty where there is none."""
    before = connection.scalar(_before, {"day": days.first})
    return Days(before or "", connection.scalar(_after, {"day": days.last}) or "")


def runs_behind(connection: Connection, days: Days, asked: Behind) -> Sequence[Row[Any]]:
    """The balances of the runs that are meant, last closed first, at most one more than `MOST_RUNS`."""
    query = {**days._asdict(), "unit": asked.unit, "processes": list(asked.processes)}
    return connection.execute(_behind_part.get(asked.part, _behind), query).all()
