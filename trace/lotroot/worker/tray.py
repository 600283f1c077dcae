"""How do labels get into the label tray, which keeps those that no printer takes?

There a label counts as printed once it is drawn and read back.
"""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Row

from lotroot.errors import LotrootError
from lotroot.labelling import outbox
from lotroot.labelling.handling import RecordFailed, RecordPrinted
from lotroot.labelling.rendering import Holder, layout_hash, texts_read_back
from lotroot.posting.door import Door
from lotroot.worker.outcome import MOST_ATTEMPTS, failed, holder_of, settle

TRAY = ""
"""The printer of labels that lie in the label tray."""


def drain(door: Door, stopping: Callable[[], bool] = lambda: False) -> int:
    """Print until nothing is queued for the tray, in the caller's thread; returns how many were settled."""
    count = 0
    while not stopping() and print_next(door):
        count += 1
    return count


def print_next(door: Door) -> bool:
    """Print the oldest job queued for the tray; False when nothing is queued."""
    with door.database.reading() as connection:
        if not outbox.is_waiting(connection, TRAY):
            return False  # most wake-ups: nobody who writes is kept waiting for this look
    with door.database.writing() as connection:
        job = outbox.claim(connection, TRAY, door.clock())
        holder = holder_of(connection, job) if job is not None else None
    if job is None:
        return False
    settle(door, job, _outcome(job, holder))
    return True


def recover(door: Door) -> int:
    """At start: what was being printed is asked about; returns how many were so.

    The tray holds what the record says is printed, and of these it says nothing: they are queued again,
    unless they stopped the program too often. Printers are asked by their lanes.
    """
    with door.database.writing() as connection:
        outbox.mark_interrupted(connection)
    with door.database.reading() as connection:
        states = (outbox.ASKING, outbox.UNKNOWN)
        doubted = [job for state in states for job in outbox.jobs_in(connection, state)]
    jobs = [job for job in doubted if job.printer == TRAY]
    for job in jobs:
        if job.attempts < MOST_ATTEMPTS:
            with door.database.writing() as connection:
                outbox.change(connection, job.id, outbox.QUEUED, job.reason)
        else:
            settle(door, job, RecordFailed(job.id, job.attempts, job.reason))
    return len(jobs)


def _outcome(job: Row[Any], holder: Holder | None) -> RecordPrinted | RecordFailed:
    """Draw and read back; what a badge says is never kept."""
    try:
        symbols = texts_read_back(job, holder)
    except LotrootError as error:
        return failed(job, error, TRAY)
    kept = () if holder is not None else symbols
    return RecordPrinted(job.id, job.attempts, layout_hash(job.layout), kept, TRAY)
