"""What does a person say of a label that waits, or of which nobody knows whether it was printed?

*Print now*: whoever says so stands beside the goods. *Send elsewhere*: the next printer takes it. *It was
printed*, or *leave it*. What nobody knows is printed again as the next copy, so that no two labels are alike.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.errors import Refused, Unknown
from lotroot.genealogy.events import LotShrunk, LotVoided
from lotroot.identity.showing import shown
from lotroot.labelling import outbox
from lotroot.labelling.facts import LabelDropped, LabelPrinted, LabelRouted
from lotroot.labelling.printed import MOST_COPIES, is_taken_back, next_copy
from lotroot.labelling.printers import Printer, after, find_printer, printer_or_none
from lotroot.labelling.rendering import layout_hash
from lotroot.labelling.waiting import asked_for, jobs_for
from lotroot.ledger.canonical import parse
from lotroot.reserved import PadLabelAnswered
from lotroot.stock.events import CarrierChanged
from lotroot.work import Answer, LabelRequest, Work


@dataclass(frozen=True)
class PrintNow:
    """Print a label that waits for somebody's word: one too old to print by itself, one of which nobody
    knows whether it came out (as the next copy), or one that failed."""

    job: int


@dataclass(frozen=True)
class SendElsewhere:
    """Print a waiting label at another printer: this one, or without a name the next one that prints."""

    job: int
    printer: str = ""


@dataclass(frozen=True)
class SayPrinted:
    """A label of which the printer does not know whether it came out is there: somebody holds it."""

    job: int


@dataclass(frozen=True)
class DropLabel:
    """A label that waits, failed, or of which nobody knows, is not wanted any more, for a reason."""

    job: int
    reason: str


WAITING = (outbox.QUEUED, outbox.LATE)
MOVABLE = (*WAITING, outbox.UNKNOWN, outbox.FAILED)
"""The states in which a label can be printed on a word, here or elsewhere: no printer has it."""


def print_now(work: Work, command: PrintNow) -> Answer:
    """Queue it anew, at the printer it is for."""
    job = _waiting(work, command.job, MOVABLE)
    return _at(work, job, job.printer)


def send_elsewhere(work: Work, command: SendElsewhere) -> Answer:
    """Queue it at another printer."""
    job = _waiting(work, command.job, MOVABLE)
    other = find_printer(work.connection, command.printer) if command.printer else _after(work, job)
    return _at(work, job, other.code)


def say_printed(work: Work, command: SayPrinted) -> Answer:
    """Record it as printed, on the person's word."""
    job = _waiting(work, command.job, (outbox.UNKNOWN, outbox.ASKING, outbox.SENT))
    record_as_printed(work, job)
    return Answer(f"The label of {shown(job.number)} was printed.", (job.number,))


def drop_label(work: Work, command: DropLabel) -> Answer:
    """Print it no more."""
    job = _waiting(work, command.job, MOVABLE)
    if not command.reason.strip():
        raise Refused(
            "A label that is left out needs a reason.",
            expected="It has a label from the pad, the goods are gone ...",
            next_step="Choose the reason.",
        )
    drop(work, job, command.reason.strip())
    return Answer(f"The label of {shown(job.number)} is left out.", (job.number,))


def answered(work: Work) -> str:
    """Goods that got a label from the pad wait for no other: what of theirs still waits is left out."""
    told = [fact for fact in work.events if isinstance(fact, PadLabelAnswered)]
    left = [job for fact in told for job in jobs_for(work.connection, fact.number, MOVABLE)]
    for job in left:
        drop(work, job, "It has a label from the pad.")
    return f" {len(left)} waiting {'label is' if len(left) == 1 else 'labels are'} left out." if left else ""


def taken_back(work: Work) -> str:
    """Goods that are taken back get no label: what of theirs waits is left out. Who takes them back is told
    to destroy what came out. What a printer has, or may have printed, is told of, and stays a question: said
    to be there, it is listed to be destroyed."""
    if not work.posting.voids:
        return ""
    gone = {fact.number: None for fact in work.events if isinstance(fact, LotVoided)}
    less = {fact.number: fact.items for fact in work.events if isinstance(fact, LotShrunk)}
    less |= {fact.number: 0 for fact in work.events if isinstance(fact, CarrierChanged)}
    states = set()
    for number, items in {**less, **gone}.items():
        for job in asked_for(work.connection, number):
            if items is not None and job.posting != work.posting.voids and not 0 < items < job.first:
                continue
            states.add(job.state)
            if job.state in (*WAITING, outbox.FAILED):
                drop(work, job, "Taken back.")
    if states & {*outbox.UNDER_WAY, outbox.UNKNOWN}:
        return " Its label may still come out: destroy it then."
    return " Destroy its label." if outbox.DONE in states else ""


def record_as_printed(work: Work, job: Row[Any]) -> int:
    """The job's label is on its goods, whatever its printer said; returns the event's number."""
    found = work.record(
        LabelPrinted(
            number=job.number,
            layout=job.layout,
            layout_hash=layout_hash(job.layout),
            fields=parse(job.fields),
            symbols=(),
            printer=job.printer,
            job=job.id,
            attempt=job.attempts,
            first=job.first,
            last=job.last,
            copy=job.copy,
        )
    )
    outbox.change(work.connection, job.id, outbox.DONE)
    return found


def drop(work: Work, job: Row[Any], reason: str) -> None:
    """Take a job out of the queue for good, and say so in the record."""
    work.record(LabelDropped(job.number, job.id, reason, job.first, job.last, job.copy))
    came_out = {} if job.state == outbox.UNKNOWN else {"attempts": 0}  # then its copy is free again
    outbox.change(work.connection, job.id, outbox.CANCELLED, reason, **came_out)


def _at(work: Work, job: Row[Any], printer: str) -> Answer:
    """Print a job's label at a printer, now: the job itself, or the next copy where it may have come out."""
    refuse_taken_back(work.connection, job.number)
    if printer_or_none(work.connection, printer) is None:
        printer = ""  # the plant has it no more: the label tray takes its labels
    name = _name(work, printer)
    if job.state in (outbox.FAILED, outbox.UNKNOWN):
        doubt = job.state == outbox.UNKNOWN
        drop(work, job, "Printed again: nobody knows whether it came out." if doubt else "Printed again.")
        copy = min(next_copy(work.connection, job.number, job.first, job.last), MOST_COPIES)
        work.label(
            LabelRequest(job.number, job.first, job.last, copy, job.layout, again=True, printer=printer)
        )
        marked = f" as copy {copy}" if copy > 1 else ""
        return Answer(f"{shown(job.number)} is printed{marked}{name}.", (job.number,))
    work.record(LabelRouted(job.number, job.id, printer, job.first, job.last, job.copy))
    outbox.change(
        work.connection, job.id, outbox.QUEUED, fresh=work.posting.entered, printer=printer, claimed=0
    )
    return Answer(f"{shown(job.number)} is printed{name}.", (job.number,))


def refuse_taken_back(connection: Connection, number: str) -> None:
    """Raise Refused where the goods of that number were taken back."""
    if is_taken_back(connection, number):
        raise Refused(
            f"{shown(number)} was taken back: its labels are to be destroyed.",
            value=shown(number),
            expected="Goods that stand.",
            next_step="Record the goods again, which gives a new number.",
        )


def _name(work: Work, printer: str) -> str:
    return f" at {find_printer(work.connection, printer).name}" if printer else ""


def _after(work: Work, job: Row[Any]) -> Printer:
    found = after(work.connection, job.printer)
    if found is None:
        raise Refused(
            "There is no other printer.",
            value=job.printer or "the label tray",
            expected="A second printer with an address on the page Printers.",
            next_step="Put a label from the pad on the goods, and say so here.",
        )
    return found


def _waiting(work: Work, number: int, states: tuple[str, ...]) -> Row[Any]:
    """The job, in one of these states. Raises Unknown or Refused."""
    job = outbox.job_or_none(work.connection, number)
    if job is None:
        raise Unknown(f"There is no print job {number}.", value=str(number), expected="A job queued here.")
    if job.state not in states:
        raise Refused(
            f"The label of {shown(job.number)} is {WORDS[job.state]}.",
            word="already" if job.state in (outbox.DONE, outbox.CANCELLED) else "wrong",
            value=job.state,
            expected="A label that waits for somebody's word.",
            next_step=NEXT.get(job.state, "Look at the queue again: it has moved on."),
        )
    return job


WORDS = {
    outbox.QUEUED: "waiting",
    outbox.SENDING: "being sent to its printer",
    outbox.SENT: "being printed",
    outbox.ASKING: "asked about at its printer",
    outbox.LATE: "waiting for somebody beside the goods",
    outbox.UNKNOWN: "perhaps printed",
    outbox.DONE: "printed",
    outbox.FAILED: "not printed",
    outbox.CANCELLED: "left out",
}
"""What the states of a job are called on screens (ours)."""

NEXT = {
    outbox.SENDING: "Wait a moment: it is on its way.",
    outbox.SENT: "Wait until its printer is done, or stop it there.",
    outbox.ASKING: "Wait until its printer answers, or scan the label if you have it.",
    outbox.DONE: "Print it again if it is needed once more.",
}


def job_words(job: Row[Any]) -> str:
    """A job's state as people read it."""
    return WORDS[job.state]
