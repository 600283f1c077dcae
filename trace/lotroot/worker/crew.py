"""Who is at work: a thread for the label tray, and one for each printer that has something to print.

Printers do not wait for each other. A thread wakes when something was posted, or when its lane wants to look
again; one that a fault has ended is started anew at the next posting.
"""

import functools
import threading
import time
from collections.abc import Callable

from sqlalchemy.exc import SQLAlchemyError

from lotroot.errors import LotrootError
from lotroot.labelling import outbox
from lotroot.labelling.printers import printers
from lotroot.posting.door import Door
from lotroot.worker.lane import PAUSE, Lane
from lotroot.worker.tray import TRAY, drain, recover

LEAVE = 10.0
"""Seconds that a stop waits for what is at hand (our own choice). A job still being sent then is asked about
at the next start, as after a kill."""

REST = 2.0
"""Seconds after which the queue is looked at again, should a wake-up have been missed."""


class Worker:
    """The print worker of one database.

    `trouble` says what kept it from printing at its last try, empty when all is well; `faults` the same of
    single printers, by their code: what is wrong in this program, not at the printer.
    """

    def __init__(self, door: Door, leave: float = LEAVE) -> None:
        self.trouble = ""
        self._leave = leave
        self._door = door
        self._stopping = threading.Event()
        self._lanes: dict[str, Lane] = {}
        self._threads: dict[str, _Thread] = {}
        self._starting = threading.Lock()
        self._unsettled = True
        self.faults: dict[str, str] = {}

    @property
    def alive(self) -> bool:
        """Whether the thread of the tray, which starts the others, is at work; for the health page."""
        return TRAY in self._threads and self._threads[TRAY].is_alive()

    def start(self) -> None:
        """Settle what a stop left open, then print in threads of its own from now on."""
        self._door.on_commit.append(self._wake)
        self._wake()

    def stop(self) -> None:
        """Finish the jobs at hand and end the threads; one that a printer keeps waiting is left behind."""
        self._stopping.set()
        if self._wake in self._door.on_commit:
            self._door.on_commit.remove(self._wake)
        with self._starting:
            threads = list(self._threads.values())
        for thread in threads:
            thread.due.set()
        end = time.monotonic() + self._leave
        for thread in threads:
            thread.join(max(0.0, end - time.monotonic()))

    def _wake(self) -> None:
        """Something was posted."""
        self._run(TRAY, self._work_off)
        for thread in list(self._threads.values()):
            thread.due.set()

    def _run(self, code: str, step: Callable[[], float]) -> None:
        """See that the thread of a lane is at work."""
        with self._starting:
            thread = self._threads.get(code)
            if (thread is None or not thread.is_alive()) and not self._stopping.is_set():
                self._unsettled = self._unsettled or code == TRAY  # it may have died over a job
                self._threads[code] = _Thread(f"print worker {code}".strip(), step, self._stopping)
                self._threads[code].start()

    def _work_off(self) -> float:
        """Settle, print the tray's jobs, and start a lane for each printer that has some."""
        try:
            if self._unsettled:
                recover(self._door)
                self._unsettled = False
            drain(self._door, self._stopping.is_set)
            with self._door.database.reading() as connection:
                able = {one.code for one in printers(connection).values() if one.address}
                codes = able | (outbox.lanes(connection) - {TRAY})
        except (SQLAlchemyError, LotrootError, OSError) as error:
            self.trouble = str(error)
            self._unsettled = True
            return REST
        self.trouble = ""
        for code in codes:
            lane = self._lanes.setdefault(code, Lane(self._door, code))
            self._run(code, functools.partial(self._step, lane))
        return REST

    def _step(self, lane: Lane) -> float:
        """One step of a lane; a fault of the database or the disk is said, and tried again.

        One of ours is said, too, and ends the thread; that of the tray starts it anew.
        """
        fault = "The program met a fault of its own; what it was stands in its output."
        try:
            rest = lane.step()
            fault = ""
        except (SQLAlchemyError, LotrootError, OSError) as error:
            fault = lane.trouble = str(error)
            return PAUSE
        finally:
            self.faults = {**self.faults, lane.code: fault}
        return rest


class _Thread(threading.Thread):
    """Steps until it is told to stop."""

    def __init__(self, name: str, step: Callable[[], float], stopping: threading.Event) -> None:
        super().__init__(name=name, daemon=True)
        self.due = threading.Event()
        self._step = step
        self._stopping = stopping

    def run(self) -> None:
        while True:
            self.due.clear()
            if self._stopping.is_set():  # looked at after clearing, or a stop in between were slept through
                return
            self.due.wait(self._step())
