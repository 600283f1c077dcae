"""How does one printer get its labels, in order, each once?

One job at a time: asked how it is, the printer is given the oldest job, and the next one only when that has
ended. What it certainly did not take waits at its place; of what it may have taken it is asked, and where it
cannot say, a person is. A label older than the plant's patience is laid aside: nobody may stand at the goods.
"""

from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Row

from lotroot.errors import LotrootError
from lotroot.labelling import outbox
from lotroot.labelling.device import (
    ENDED,
    FORGOTTEN,
    PRINTED,
    Device,
    Later,
    Lost,
    Made,
    Silent,
    State,
    job_name,
)
from lotroot.labelling.handling import RecordPrinted
from lotroot.labelling.printed import is_taken_back
from lotroot.labelling.printers import keep_seen, print_alone, printer_or_none, seen
from lotroot.labelling.rendering import Holder, layout_hash
from lotroot.plant.adopted import plant_or_none
from lotroot.posting.door import Door
from lotroot.work import MICROSECONDS
from lotroot.worker.outcome import MOST_ATTEMPTS, failed, holder_of, settle
from lotroot.worker.tray import TRAY

AT_ONCE, SOON, PAUSE, REST = 0.0, 0.25, 2.0, 15.0
"""Seconds until the printer is looked at again: at once, while it prints, in trouble, with nothing to do."""

FORGETS = 30 * MICROSECONDS
"""For so long every printer remembers a job that ended (our own choice; some keep it a minute). What is asked
about later, and not known there, may have been printed and forgotten."""

ASKED_TWICE = 2 * MICROSECONDS
"""A job may still be on its way into the printer when its answer was lost."""

CLOCK_OF_DAY = 1_000_000_000
"""A printer-up-time beyond this (thirty years) is the time of day, as print servers give it: no start."""


@dataclass
class Lane:
    """The way to one printer; `trouble` are the words that follow its name, empty where all is well."""

    door: Door
    code: str
    trouble: str = ""
    _sent: dict[int, Made] = field(default_factory=dict)  # the job that the printer has
    _looked: int = 0

    def step(self) -> float:
        """Do one thing; returns the seconds after which to do the next."""
        now = self.door.clock()
        with self.door.database.reading() as connection:
            printer = printer_or_none(connection, self.code)
            patience = print_alone(plant_or_none(connection)) * 60 * MICROSECONDS
            waits = outbox.is_waiting(connection, self.code)
            job = outbox.under_way(connection, self.code)
        if printer is None or not printer.address:
            return self._hand_to_tray()
        if waits:
            self._change(lambda connection: outbox.lay_aside(connection, self.code, now - patience))
        elif job is None and not self.trouble and 0 <= now - self._looked < REST * MICROSECONDS:
            return REST  # woken by a posting that is not for it
        self._looked = now
        try:
            device = Device(printer)
            state = device.look()
            self._see(state, state.trouble)
            if job is not None:
                return self._follow(device, state, job, now - patience)
            return PAUSE if state.trouble else self._next(device)
        except Silent as error:
            self._see(None, f"does not answer. {error.next_step}")
            if job is not None and job.claimed < now - patience:
                self._state(job, outbox.UNKNOWN, "Its printer has not answered since.")
            return PAUSE
        except LotrootError as error:
            self._see(None, f"cannot be used. {error}")
            return PAUSE

    def _next(self, device: Device) -> float:
        """Give the printer the oldest job that waits."""
        with self.door.database.reading() as connection:
            if not outbox.is_waiting(connection, self.code):
                return REST
        with self.door.database.writing() as connection:
            job = outbox.claim(connection, self.code, self.door.clock())
            holder = holder_of(connection, job) if job is not None else None
            gone = job is not None and is_taken_back(connection, job.number)
        if job is None:
            return REST
        if gone:  # while it was asked about: those that waited were left out
            error = LotrootError("What it was for was taken back.")
            settle(self.door, job, failed(job, error, self.code))
            return AT_ONCE
        if job.attempts > MOST_ATTEMPTS:
            error = LotrootError("The program stopped each time it made this label.")
            settle(self.door, job, failed(job, error, self.code))
            return AT_ONCE
        return self._give(device, job, holder)

    def _give(self, device: Device, job: Row[Any], holder: Holder | None) -> float:
        try:
            made = device.make(job, holder)
            remote = device.hand_over(job_name(job), made)
        except (Silent, Later) as error:
            self._give_back(job, f"{error.what} ({error.value})")
            return PAUSE
        except Lost as error:
            self._state(job, outbox.ASKING, str(error))
            return SOON
        except LotrootError as error:
            settle(self.door, job, failed(job, error, self.code))
            return AT_ONCE
        self._sent = {job.id: replace(made, document=None)}
        self._state(job, outbox.SENT, remote=remote)
        return SOON

    def _follow(self, device: Device, state: State, job: Row[Any], too_old: int) -> float:
        """See what became of the job the printer has, or may have."""
        if job.state != outbox.SENT:
            return self._ask(device, state, job)
        fate, reason = device.fate(job.remote, job_name(job))
        if fate == PRINTED:
            self._printed(job)
            return AT_ONCE
        if fate in (ENDED, FORGOTTEN):
            self._state(job, outbox.UNKNOWN, reason)
            return AT_ONCE
        if job.claimed < too_old:  # it would come out by itself when nobody is there any more
            device.drop(job.remote)
            return PAUSE
        return PAUSE if state.trouble else SOON

    def _ask(self, device: Device, state: State, job: Row[Any]) -> float:
        """Ask the printer whether it has a job that it may have been given."""
        remote = device.find(job_name(job))
        if remote:
            self._state(job, outbox.SENT, job.reason, remote=remote)
            return AT_ONCE
        age = self.door.clock() - job.claimed
        started = state.up < CLOCK_OF_DAY and (state.up + 2) * MICROSECONDS < age  # whole seconds
        if started or not 0 <= age <= FORGETS:  # before it was given: the clock was set back
            self._state(job, outbox.UNKNOWN, job.reason)
            return AT_ONCE
        if age < ASKED_TWICE:
            return SOON
        self._state(job, outbox.QUEUED, job.reason, claimed=0)
        return AT_ONCE

    def _printed(self, job: Row[Any]) -> None:
        """Record it, with the texts that its symbols were read back as, where this program sent it."""
        with self.door.database.reading() as connection:
            secret = holder_of(connection, job) is not None
        sent = self._sent.pop(job.id, None)
        digest = sent.layout_hash if sent else layout_hash(job.layout)
        texts = sent.texts if sent and not secret else ()
        settle(self.door, job, RecordPrinted(job.id, job.attempts, digest, texts, self.code))

    def _hand_to_tray(self) -> float:
        """The printer has no address any more: what waits for it goes to the tray."""
        self.trouble = ""
        with self.door.database.reading() as connection:
            if self.code not in outbox.lanes(connection):
                return REST
        with self.door.database.writing() as connection:
            for waiting in outbox.jobs_in(connection, outbox.QUEUED):
                if waiting.printer == self.code:
                    outbox.change(connection, waiting.id, outbox.QUEUED, printer=TRAY)
            doubted = outbox.under_way(connection, self.code)
            if doubted is not None:
                outbox.change(connection, doubted.id, outbox.UNKNOWN, "The printer was taken away.")
        for tell in self.door.on_commit:
            tell()
        return REST

    def _see(self, state: State | None, trouble: str) -> None:
        """Keep how the printer is, where that is news."""
        self.trouble = trouble
        with self.door.database.reading() as connection:
            known = seen(connection).get(self.code)
        row = {"at": self.door.clock(), "trouble": trouble, "remark": state.remark if state else ""}
        if state is not None:
            row |= {"model": state.model, "resolutions": ", ".join(map(str, state.resolutions))}
        else:
            row |= {"model": known.model if known else "", "resolutions": known.resolutions if known else ""}
        if known is None or any(getattr(known, name) != row[name] for name in row if name != "at"):
            self._change(lambda connection: keep_seen(connection, self.code, row))

    def _give_back(self, job: Row[Any], reason: str) -> None:
        self._change(lambda connection: outbox.give_back(connection, job, reason))

    def _state(self, job: Row[Any], state: str, reason: str = "", **more: Any) -> None:
        self._change(lambda connection: outbox.move(connection, job, state, reason, **more))

    def _change(self, act: Any) -> None:
        with self.door.database.writing() as connection:
            act(connection)
