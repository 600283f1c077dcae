"""How does one printer take a label, and what does it say became of it?

What the protocol and the bitmaps mean is `lotroot_printing`'s; here their outcomes become the few that the
outbox knows: taken, not taken, or nobody knows yet.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lotroot_printing import ipp, ipp_answers, spool
from lotroot_printing.drawing import dots
from lotroot_printing.errors import JobRefused, PrinterUnreached, PrintingError, ReplyLost
from sqlalchemy import Row

from lotroot.errors import LotrootError, Unreadable
from lotroot.labelling.printers import Printer
from lotroot.labelling.rendering import (
    Holder,
    LabelUnprintable,
    count_of,
    finished,
    layout_hash,
    resolutions_of,
)

_AGAIN = (0x502, 0x505, 0x506, 0x507, 0x50A)
"""Refusals that pass: unavailable, temporary error, not accepting, busy, too many jobs (RFC 8011 B.1.5)."""

HUNDREDTHS = 100


class Silent(LotrootError):
    """The printer cannot be reached: nothing was printed."""


class Later(LotrootError):
    """The printer would not take the job now; nothing was printed."""


class Lost(LotrootError):
    """The job was sent and the answer did not come: whether it prints is known to the printer alone."""


class NeverTaken(LotrootError):
    """The printer does not take this label at all."""


@dataclass(frozen=True)
class State:
    """How a printer is: its words for trouble (empty: fit) and the seconds since its start."""

    model: str
    resolutions: tuple[int, ...]
    trouble: str
    remark: str
    up: int


@dataclass(frozen=True)
class Made:
    """A job's labels ready for the printer, and what the record keeps of them."""

    document: Any
    layout_hash: str
    texts: tuple[str, ...]


PRINTING, PRINTED, ENDED, FORGOTTEN = "printing", "printed", "ended", "forgotten"


class Device:
    """A printer at its address. Every method may raise Silent. Raises Unreadable for a bad address."""

    def __init__(self, printer: Printer) -> None:
        self._printer = printer
        self._offer: ipp_answers.Offer | None = None
        try:
            self._line = ipp.Printer(ipp.address(printer.address), certificate=printer.certificate)
        except PrintingError as error:
            raise _as(Unreadable, error) from error

    def look(self) -> State:
        """Ask it how it is."""
        try:
            offer = self._offer = self._line.offer()
        except (PrinterUnreached, ReplyLost, JobRefused) as error:
            raise _as(Silent, error) from error
        return State(offer.name, offer.resolutions, spool.trouble(offer), spool.remark(offer), offer.up)

    def make(self, job: Row[Any], holder: Holder | None) -> Made:
        """Draw a job's labels at the printer's resolution, and read them back; `look` comes first.

        Raises LabelUnprintable, Unreadable, or NeverTaken.
        """
        offer = self._known_offer()
        dpi = spool.resolution(offer, resolutions_of(job.layout), self._printer.dpi)
        texts: dict[str, None] = {}
        across, along = (_dots(hundredths, dpi) for hundredths in (self._printer.across, self._printer.along))

        def pages() -> Iterator[spool.Page]:
            for one in finished(job, holder, dpi):
                texts.update(dict.fromkeys(one.texts))
                yield spool.shifted(spool.Page(one.drawing, one.bitmap), across, along)

        try:
            document = spool.document(offer, pages(), count_of(job))
        except JobRefused as error:
            raise _as(NeverTaken, error) from error
        except PrintingError as error:
            raise LabelUnprintable(
                error.what, value=error.value, expected=error.expected, next_step=error.next_step
            ) from error
        return Made(document, layout_hash(job.layout), tuple(texts))

    def hand_over(self, name: str, made: Made) -> int:
        """Give it the job; returns the printer's number for it. Raises Later, NeverTaken or Lost."""
        try:
            return self._line.print_job(name, made.document, self._known_offer())
        except PrinterUnreached as error:
            raise _as(Silent, error) from error
        except ReplyLost as error:
            raise _as(Lost, error) from error
        except JobRefused as error:
            raise _as(Later if error.status in _AGAIN else NeverTaken, error) from error

    def find(self, name: str) -> int:
        """The printer's number for a job of that name, 0 where it knows none."""
        found = self._asked(lambda: self._line.jobs(name))
        return found[-1].id if found else 0

    def fate(self, remote: int, name: str) -> tuple[str, str]:
        """What became of a job: one of the four words above, and the printer's own reason.

        A job of another name under that number is another printer's: the address was changed meanwhile.
        """
        job = self._asked(lambda: self._line.job(remote))
        if job is None or job.name != name:
            return FORGOTTEN, "The printer no longer knows the job."
        if not job.ended:
            return PRINTING, job.message
        if job.state == ipp_answers.COMPLETED:
            return PRINTED, ""
        word = "cancelled" if job.state == ipp_answers.CANCELED else "given up"
        told = job.message or ", ".join(job.reasons)
        return ENDED, f"It was {word} at the printer{f': {told}' if told else '.'}"

    def drop(self, remote: int) -> None:
        """Ask it to print a job no more; what has come out by then has come out."""
        self._asked(lambda: self._line.cancel(remote))

    def fingerprint(self) -> str:
        """The SHA-256 of its certificate, for a person to compare."""
        return str(self._asked(self._line.certificate))

    def _known_offer(self) -> ipp_answers.Offer:
        if self._offer is None:
            self.look()
        assert self._offer is not None
        return self._offer

    def _asked(self, question: Any) -> Any:
        try:
            return question()
        except (PrinterUnreached, ReplyLost, JobRefused) as error:
            raise _as(Silent, error) from error


def _as(kind: type[LotrootError], error: PrintingError) -> LotrootError:
    return kind(error.what, value=error.value, expected=error.expected, next_step=error.next_step)


def _dots(hundredths: int, dpi: int) -> int:
    """An offset in whole dots, to either side."""
    return -dots(-hundredths / HUNDREDTHS, dpi) if hundredths < 0 else dots(hundredths / HUNDREDTHS, dpi)


def job_name(job: Row[Any]) -> str:
    """What the printer is told a job is called: the same at every attempt, and no other job's ever."""
    return f"label-{job.id}-{job.queued}-{job.number}"
