"""Which job is printed next, and how does each change its state?

    queued   → sending   claimed by the worker, one attempt counted
    sending  → done      printed (LabelPrinted), or failed (LabelFailed)
    sending  → unknown   found so at start: nobody knows whether it came out
    unknown  → queued    the printer, or the tray, says it did not come out

A job is never deleted: its number is part of the key that its outcome is posted with.
"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select, update

from lotroot.labelling.tables import print_job

QUEUED, SENDING, DONE, FAILED, UNKNOWN = "queued", "sending", "done", "failed", "unknown"
OPEN = (QUEUED, SENDING, UNKNOWN)

_by_id = select(print_job).where(print_job.c.id == bindparam("id"))
_in_state = select(print_job).where(print_job.c.state == bindparam("state")).order_by(print_job.c.id)


def job_or_none(connection: Connection, number: int) -> Row[Any] | None:
    """A job by its number."""
    return connection.execute(_by_id, {"id": number}).first()


def jobs_in(connection: Connection, state: str) -> Sequence[Row[Any]]:
    """The jobs in a state, oldest first."""
    return connection.execute(_in_state, {"state": state}).all()


def is_waiting(connection: Connection) -> bool:
    """Whether any job is queued."""
    return connection.execute(_in_state.limit(1), {"state": QUEUED}).first() is not None


def claim(connection: Connection) -> Row[Any] | None:
    """Take the oldest queued job and count the attempt; None when nothing waits.

    Needs the write transaction, so that no other worker can claim the same.
    """
    waiting = connection.execute(_in_state.limit(1), {"state": QUEUED}).first()
    if waiting is None:
        return None
    change(connection, waiting.id, SENDING, attempts=waiting.attempts + 1)
    return job_or_none(connection, waiting.id)


def change(connection: Connection, number: int, state: str, reason: str = "", **more: Any) -> None:
    """Set a job's state and the reason shown with it."""
    values = {"state": state, "reason": reason, **more}
    connection.execute(update(print_job).where(print_job.c.id == number).values(**values))


def mark_unknown(connection: Connection) -> int:
    """Jobs found *sending* at start are unknown (RULES 27); returns how many."""
    reason = "The program stopped while this label was being printed."
    values = {"state": UNKNOWN, "reason": reason}
    return connection.execute(update(print_job).where(print_job.c.state == SENDING).values(**values)).rowcount
