"""Which label does a printer get next, and how does each job change its state?

    queued   → sending   claimed by the printer's lane, one attempt counted
             → late      too old to print by itself: nobody may stand beside the goods any more
    sending  → sent      the printer took it, and has a number for it
             → asking    its answer did not come, or the program stopped: the printer is asked
             → queued    it was certainly not taken
    asking   → sent, queued, or unknown
    sent     → done      the printer says so (LabelPrinted)
             → unknown   cancelled, aborted or forgotten: some of it may have come out
    unknown  → done, or cancelled when a person says so, or the label is scanned
    late     → queued    on a person's word, or cancelled
    any      → failed    it cannot be made at all (LabelFailed)

A job is never deleted: its number is part of the key that its outcome is posted with. The label tray is the
printer without a code; there, drawn and read back is printed.
"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select, update

from lotroot.labelling.tables import print_job

QUEUED, SENDING, SENT, ASKING, LATE = "queued", "sending", "sent", "asking", "late"
DONE, FAILED, UNKNOWN, CANCELLED = "done", "failed", "unknown", "cancelled"

UNDER_WAY = (SENDING, SENT, ASKING)
OPEN = (QUEUED, *UNDER_WAY, UNKNOWN, LATE)

_by_id = select(print_job).where(print_job.c.id == bindparam("id"))
_in_state = select(print_job).where(print_job.c.state == bindparam("state")).order_by(print_job.c.id)
_next = _in_state.where(print_job.c.printer == bindparam("printer")).limit(1)
_under_way = (
    select(print_job)
    .where(print_job.c.state.in_(UNDER_WAY), print_job.c.printer == bindparam("printer"))
    .order_by(print_job.c.id)
    .limit(1)
)
_lanes = select(print_job.c.printer).where(print_job.c.state.in_((QUEUED, *UNDER_WAY))).distinct()
_too_old = (
    update(print_job)
    .where(print_job.c.state == QUEUED, print_job.c.printer == bindparam("at"))
    .where(print_job.c.fresh < bindparam("before"))
    .values(state=LATE)
)


def job_or_none(connection: Connection, number: int) -> Row[Any] | None:
    """A job by its number."""
    return connection.execute(_by_id, {"id": number}).first()


def jobs_in(connection: Connection, state: str) -> Sequence[Row[Any]]:
    """The jobs in a state, oldest first."""
    return connection.execute(_in_state, {"state": state}).all()


def lanes(connection: Connection) -> set[str]:
    """The printers that something waits for or is under way at, the label tray being the empty one."""
    return set(connection.scalars(_lanes))


def is_waiting(connection: Connection, printer: str = "") -> bool:
    """Whether any job is queued for a printer."""
    return connection.execute(_next, {"state": QUEUED, "printer": printer}).first() is not None


def under_way(connection: Connection, printer: str) -> Row[Any] | None:
    """The job a printer was given and that has not ended; there is one at a time, so that order is kept."""
    return connection.execute(_under_way, {"printer": printer}).first()


def claim(connection: Connection, printer: str = "", now: int = 0) -> Row[Any] | None:
    """Take a printer's oldest queued job and count the attempt; None when nothing waits.

    Needs the write transaction, so that no other worker can claim the same.
    """
    waiting = connection.execute(_next, {"state": QUEUED, "printer": printer}).first()
    if waiting is None:
        return None
    change(connection, waiting.id, SENDING, attempts=waiting.attempts + 1, claimed=now, remote=0)
    return job_or_none(connection, waiting.id)


def give_back(connection: Connection, job: Row[Any], reason: str) -> None:
    """A claimed job that was certainly not taken waits again, at its old place; the attempt was none."""
    move(connection, job, QUEUED, reason, attempts=job.attempts - 1, claimed=0)


def lay_aside(connection: Connection, printer: str, before: int) -> int:
    """Jobs asked for before a time are late: they print on a person's word only; returns how many."""
    return connection.execute(_too_old, {"at": printer, "before": before}).rowcount


def change(connection: Connection, number: int, state: str, reason: str = "", **more: Any) -> None:
    """Set a job's state and the reason shown with it."""
    values = {"state": state, "reason": reason, **more}
    connection.execute(update(print_job).where(print_job.c.id == number).values(**values))


def move(connection: Connection, job: Row[Any], state: str, reason: str = "", **more: Any) -> None:
    """Set the state of a job as its printer's lane found it; what a person said of it meanwhile stands."""
    as_found = (
        print_job.c.id == job.id,
        print_job.c.state == job.state,
        print_job.c.attempts == job.attempts,
    )
    values = {"state": state, "reason": reason, **more}
    connection.execute(update(print_job).where(*as_found).values(**values))


def mark_interrupted(connection: Connection) -> int:
    """Jobs found *sending* at start are asked of their printer (RULES 27); returns how many."""
    reason = "The program stopped while this label was being printed."
    values = {"state": ASKING, "reason": reason}
    return connection.execute(update(print_job).where(print_job.c.state == SENDING).values(**values)).rowcount
