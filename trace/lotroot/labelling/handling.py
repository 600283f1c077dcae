"""How is a label asked for again, printed, failed and proved?

The print worker works outside any transaction and posts what came of it here: one event a job.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import LOT_FAMILIES, Family
from lotroot.identity.showing import shown
from lotroot.labelling import outbox
from lotroot.labelling.equipping import (
    PrintAt,
    SetPrinter,
    TryPrinter,
    print_at,
    set_printer,
    try_printer,
)
from lotroot.labelling.facts import LabelAsked, LabelFailed, LabelPrinted, LabelProved, apply
from lotroot.labelling.printed import (
    MOST_COPIES,
    is_named,
    job_scanned,
    label_scanned,
    next_copy,
    split,
    time_of,
)
from lotroot.labelling.settling import (
    DropLabel,
    PrintNow,
    SayPrinted,
    SendElsewhere,
    drop_label,
    print_now,
    record_as_printed,
    refuse_taken_back,
    say_printed,
    send_elsewhere,
)
from lotroot.labelling.wording import date_words
from lotroot.ledger.canonical import parse
from lotroot.work import Answer, Handler, LabelRequest, Work

__all__ = ["HANDLERS", "PrintAgain", "ProveLabel", "RecordFailed", "RecordPrinted", "apply"]


@dataclass(frozen=True)
class PrintAgain:
    """A label is wanted again, for a reason: of a number, of one item by its own number, or of the
    items first to last of a lot."""

    number: str
    reason: str
    first: int = 0
    last: int = 0


@dataclass(frozen=True)
class ProveLabel:
    """A label was scanned on the goods: its number as read, of an item or anything else, and its copy."""

    number: str
    copy: int = 1


@dataclass(frozen=True)
class RecordPrinted:
    """A job's labels were rendered, read back and handed over; `symbols` are the texts read back."""

    job: int
    attempt: int
    layout_hash: str
    symbols: tuple[str, ...]
    printer: str = ""


@dataclass(frozen=True)
class RecordFailed:
    """A job's labels could not be rendered, read back or handed over."""

    job: int
    attempt: int
    reason: str
    printer: str = ""


def _print_again(work: Work, command: PrintAgain) -> Answer:
    if not command.reason.strip():
        raise Unreadable(
            "A label printed again needs a reason.",
            expected="Torn, lost, unreadable ...",
            next_step="Choose the reason.",
        )
    number, serial = split(command.number)
    first, last = (serial, serial) if serial else (command.first, command.last)
    check_printable(work, number, first, last)
    copy = next_copy(work.connection, number, first, last)
    if copy > MOST_COPIES:
        raise Refused(
            f"{shown(number)} has been printed {MOST_COPIES} times.",
            value=shown(number),
            expected=f"At most {MOST_COPIES} copies of a label.",
            next_step="Call the supervisor: something else is wrong here.",
        )
    work.record(LabelAsked(number, copy, command.reason.strip(), first, last))
    work.label(LabelRequest(number, first, last, copy, again=True))
    items = f", items {first} to {last}," if first != last else f", item {first}," if first else ""
    marked = f" as copy {copy}" if copy > 1 else ""
    return Answer(f"{shown(number)}{items} is printed{marked}.", (number,))


def check_printable(work: Work, number: str, first: int, last: int) -> None:
    """Refuse what has no label: a badge, what nobody gave, a lot that never was, items it does not have."""
    letter = number[0]
    if letter == Family.PERSON:
        raise Refused(
            "A badge is not printed like a label: whoever holds it can sign in with it.",
            expected="The number of goods, a carrier, a run, a shipment or a thing.",
            next_step="The administrator prints badges under People.",
        )
    if not is_named(work.connection, number):
        raise Unknown(
            f"Nothing with the number {shown(number)} is recorded.",
            value=number,
            expected="A number given here.",
            next_step="Scan the old label, or find the goods under Search.",
        )
    if letter in LOT_FAMILIES or first or last:
        _check_lot(work, number, first, last)


def _check_lot(work: Work, number: str, first: int, last: int) -> None:
    lot = find_lot(work.connection, number)
    refuse_taken_back(work.connection, number)
    if (first or last) and not 1 <= first <= last <= lot.items:
        raise Unreadable(
            f"{shown(number)} has no items {first} to {last}.",
            value=f"{first} to {last}",
            expected=f"Items 1 to {lot.items}." if lot.items else "A lot of items.",
            next_step="Scan the first and the last item.",
        )


def _record_printed(work: Work, command: RecordPrinted) -> Answer:
    job = _open_job(work, command.job, command.attempt)
    work.record(
        LabelPrinted(
            number=job.number,
            layout=job.layout,
            layout_hash=command.layout_hash,
            fields=parse(job.fields),
            symbols=command.symbols,
            printer=command.printer,
            job=job.id,
            attempt=command.attempt,
            first=job.first,
            last=job.last,
            copy=job.copy,
        )
    )
    outbox.change(work.connection, job.id, outbox.DONE)
    return Answer("Printed.", (job.number,))


def _record_failed(work: Work, command: RecordFailed) -> Answer:
    job = _open_job(work, command.job, command.attempt)
    work.record(
        LabelFailed(
            number=job.number,
            layout=job.layout,
            reason=command.reason,
            printer=command.printer,
            job=job.id,
            attempt=command.attempt,
            first=job.first,
            last=job.last,
            copy=job.copy,
        )
    )
    outbox.change(work.connection, job.id, outbox.FAILED, command.reason)
    return Answer(f"The label of {shown(job.number)} did not print: {command.reason}", (job.number,))


def _open_job(work: Work, number: int, attempt: int) -> Row[Any]:
    """The job whose outcome this is. Raises Refused when another attempt has settled or taken it."""
    job = outbox.job_or_none(work.connection, number)
    if job is None:
        raise Unknown(f"There is no print job {number}.", value=str(number), expected="A job queued here.")
    if job.state not in outbox.OPEN or job.attempts != attempt:
        raise Refused(
            f"Print job {number} is {job.state}, at attempt {job.attempts}.",
            word="already",
            value=f"attempt {attempt}",
            expected="The attempt that is being printed.",
            next_step="Nothing: the other attempt tells what came of it.",
        )
    return job


def _prove(work: Work, command: ProveLabel) -> Answer:
    number, serial = split(command.number)
    label = label_scanned(work.connection, command.number, command.copy)
    doubted = None if label is not None else job_scanned(work.connection, command.number, command.copy)
    if doubted is not None:  # the best proof that it came out, whatever its printer said
        record_as_printed(work, doubted)
        label = label_scanned(work.connection, command.number, command.copy)
    if label is None:
        raise Unknown(
            f"No label of {shown(command.number)}, copy {command.copy}, was printed here.",
            value=f"{command.number}, copy {command.copy}",
            expected="A label printed by this plant.",
            next_step="Set the goods aside and call QA.",
        )
    if label.proved is not None:
        at = date_words(time_of(work.connection, label.proved), work.plant)
        raise Refused(
            f"This label was scanned on the goods already, {at}.",
            word="already",
            value=shown(command.number),
            expected="The first scan.",
            next_step="Nothing: the label is proved.",
        )
    work.record(LabelProved(number, label.event, serial, command.copy))
    return Answer("It scans.", (number,))


HANDLERS: dict[type, Handler] = {
    PrintAgain: Handler(_print_again),
    PrintNow: Handler(print_now),
    SendElsewhere: Handler(send_elsewhere),
    SayPrinted: Handler(say_printed),
    DropLabel: Handler(drop_label),
    SetPrinter: Handler(set_printer),
    PrintAt: Handler(print_at),
    TryPrinter: Handler(try_printer),
    ProveLabel: Handler(_prove, internal=True),
    RecordPrinted: Handler(_record_printed, internal=True),
    RecordFailed: Handler(_record_failed, internal=True),
}
