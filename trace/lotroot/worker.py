"""Who prints what was queued, without holding up anybody who posts?

One thread claims a job in a short write, draws its labels and reads them back with no transaction and no
lock held, and posts what came of it, keyed by job and attempt (RULES 27). It wakes when something was
posted, or after two seconds. No printer driver is built in yet, so a station's printer is left aside:
every label goes to the label tray, where it counts as printed once it is drawn and read back.
"""

import threading
from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, Row
from sqlalchemy.exc import SQLAlchemyError

from lotroot.accounts.badges import badge_of
from lotroot.accounts.people import roles_of
from lotroot.errors import LotrootError, Refused
from lotroot.identity import Family
from lotroot.labelling import outbox
from lotroot.labelling.handling import RecordFailed, RecordPrinted
from lotroot.labelling.rendering import Holder, layout_hash, texts_read_back
from lotroot.ledger.names import name_of
from lotroot.posting.door import Door
from lotroot.work import Envelope

REST = 2.0
"""Seconds after which the queue is looked at again, should a wake-up have been missed."""

MOST_ATTEMPTS = 3
"""A job that stopped the program this often is not tried again by itself (our own choice)."""

TRAY = ""
"""The printer of labels that lie in the label tray."""


class Worker:
    """The print worker of one database.

    `trouble` says what kept it from printing at its last try, empty when all is well.
    """

    def __init__(self, door: Door) -> None:
        self.trouble = ""
        self._door = door
        self._due = threading.Event()
        self._stopping = threading.Event()
        self._threads = threading.Lock()
        self._thread: threading.Thread | None = None

    @property
    def alive(self) -> bool:
        """Whether the worker's thread is at work, for the health page."""
        return self._thread is not None and self._thread.is_alive()

    def start(self) -> None:
        """Settle what a stop left open, then print in a thread of its own from now on."""
        self._door.on_commit.append(self._wake)
        self._wake()

    def stop(self) -> None:
        """Finish the job at hand and end the thread."""
        self._stopping.set()
        self._due.set()
        if self._wake in self._door.on_commit:
            self._door.on_commit.remove(self._wake)
        if self._thread is not None:
            self._thread.join()

    def _wake(self) -> None:
        """Something was posted. A thread that a fault in the program has ended is started anew."""
        self._due.set()
        with self._threads:
            if not self.alive and not self._stopping.is_set():
                self._thread = threading.Thread(target=self._run, name="print worker", daemon=True)
                self._thread.start()

    def _run(self) -> None:
        unsettled = True
        while not self._stopping.is_set():
            self._due.clear()
            unsettled = not self._work_off(unsettled)
            self._due.wait(REST)

    def _work_off(self, unsettled: bool) -> bool:
        """Print what is queued; False when the database or the disk kept it from going on."""
        try:
            if unsettled:
                recover(self._door)
            drain(self._door, self._stopping.is_set)
        except (SQLAlchemyError, LotrootError, OSError) as error:
            self.trouble = str(error)
            return False
        self.trouble = ""
        return True


def drain(door: Door, stopping: Callable[[], bool] = lambda: False) -> int:
    """Print until nothing is queued, in the caller's thread; returns how many jobs were settled."""
    count = 0
    while not stopping() and print_next(door):
        count += 1
    return count


def print_next(door: Door) -> bool:
    """Print the oldest queued job; False when nothing is queued."""
    with door.database.reading() as connection:
        if not outbox.is_waiting(connection):
            return False  # most wake-ups: nobody who writes is kept waiting for this look
    with door.database.writing() as connection:
        job = outbox.claim(connection)
        holder = _holder(connection, job) if job is not None else None
    if job is None:
        return False
    _settle(door, job, _outcome(job, holder))
    return True


def recover(door: Door) -> int:
    """At start: what was being printed is unknown, and the tray is asked; returns how many were so.

    The tray holds what the record says is printed, and of these it says nothing: they are queued
    again, unless they stopped the program too often.
    """
    with door.database.writing() as connection:
        outbox.mark_unknown(connection)
    with door.database.reading() as connection:
        jobs = outbox.jobs_in(connection, outbox.UNKNOWN)
    for job in jobs:
        if job.attempts < MOST_ATTEMPTS:
            with door.database.writing() as connection:
                outbox.change(connection, job.id, outbox.QUEUED, job.reason)
        else:
            _settle(door, job, RecordFailed(job.id, job.attempts, job.reason))
    return len(jobs)


def _outcome(job: Row[Any], holder: Holder | None) -> RecordPrinted | RecordFailed:
    """Draw and read back; what a badge says is never kept."""
    try:
        symbols = texts_read_back(job, holder)
    except LotrootError as error:
        reason = f"{error} ({error.value})" if error.value else str(error)
        return RecordFailed(job.id, job.attempts, reason, TRAY)
    kept = () if holder is not None else symbols
    return RecordPrinted(job.id, job.attempts, layout_hash(job.layout), kept, TRAY)


def _settle(door: Door, job: Row[Any], outcome: RecordPrinted | RecordFailed) -> None:
    key = f"job-{job.id:08d}-attempt-{job.attempts}"
    try:
        door.post(outcome, Envelope(key=key, person="", station=job.station))
    except Refused:
        return  # another attempt has settled the job, and its outcome stands


def _holder(connection: Connection, job: Row[Any]) -> Holder | None:
    """Whose badge it is, for a badge."""
    code = badge_of(connection, job.number) if job.number[0] == Family.PERSON else None
    if code is None:
        return None
    roles = roles_of(connection, job.number) or frozenset()
    return Holder(code, name_of(connection, job.number), tuple(sorted(roles)))
