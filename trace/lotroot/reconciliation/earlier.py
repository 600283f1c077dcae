"""How are runs added up that were closed before there were balances?

Once, when the program starts on such a record, in pieces: what was added up stays so if it is stopped between
two. They are known from that time on, and put nothing in question: whoever closed them is long at other work.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, exists, func, or_, select

from lotroot.production.runs import find_run
from lotroot.production.tables import run, run_input
from lotroot.reconciliation.closing import balanced
from lotroot.reconciliation.tables import run_balance
from lotroot.work import Answer, Work

AT_ONCE = 100
"""Runs of one posting: a second's work or less, so that nothing waits long for it (ours)."""

# Since there are balances a run is added up in the posting that closes it, so that an event before the first
# balance closed every run that has none.
_first = select(func.min(run_balance.c.event)).scalar_subquery()
_closed = (run.c.closed.is_not(None), run.c.voided == 0)
_loaded = exists().where(run_input.c.run == run.c.number, run_input.c.voided == 0)
_added = exists().where(run_balance.c.run == run.c.number)
_left_out = (
    select(run.c.number)
    .where(*_closed, or_(_first.is_(None), run.c.closed_event < _first), _loaded, ~_added)
    .order_by(run.c.closed_event)
    .limit(bindparam("most"))
)


@dataclass(frozen=True)
class AddUpRuns:
    """Add up closed runs that never were; the house posts it itself."""

    runs: tuple[str, ...]


def add_up(work: Work, command: AddUpRuns) -> Answer:
    """Record how each of some runs adds up."""
    for number in command.runs:
        work.record(balanced(work, find_run(work.connection, number)))
    return Answer(f"{len(command.runs)} runs closed before there were balances were added up.")


def never_added_up(connection: Connection, most: int = AT_ONCE) -> Sequence[str]:
    """Closed runs that something was loaded in and that were never added up, the first closed first."""
    return connection.scalars(_left_out, {"most": most}).all()
