"""Which labels of a number were printed, which were never scanned, and what waits or failed?

A label row is one event: a single label, or a block of item labels first to last.
"""

import json
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Row, and_, bindparam, exists, func, not_, or_, select, union_all

from lotroot.genealogy.tables import lot
from lotroot.identity.numbers import item_from, number_from
from lotroot.labelling.outbox import CANCELLED, DONE, FAILED, LATE, OPEN, QUEUED, UNDER_WAY, UNKNOWN
from lotroot.labelling.tables import label, print_job
from lotroot.ledger.tables import event, mention, posting
from lotroot.stock.tables import carrier

_ITEM_LENGTH = 17

MOST_COPIES = 99
"""Two digits follow the K in a label's QR symbol (RULES 20)."""

_of_number = select(label).where(label.c.number == bindparam("number")).order_by(label.c.event)
_by_event = select(label).where(label.c.event == bindparam("event"))
_one = (
    select(label)
    .where(label.c.number == bindparam("number"), label.c.copy == bindparam("copy"))
    .where(label.c.first <= bindparam("serial"), label.c.last >= bindparam("serial"))
    .order_by(label.c.event.desc())
    .limit(1)
)
_doubted = (
    select(print_job)
    .where(print_job.c.number == bindparam("number"), print_job.c.copy == bindparam("copy"))
    .where(print_job.c.first <= bindparam("serial"), print_job.c.last >= bindparam("serial"))
    .where(print_job.c.state.in_((*UNDER_WAY, UNKNOWN)))
    .order_by(print_job.c.id.desc())
    .limit(1)
)
_tray = (
    select(label)
    .where(label.c.printer == "", label.c.event < bindparam("before"))
    .order_by(label.c.event.desc())
    .limit(bindparam("limit"))
)
_overlapping = and_(
    print_job.c.number == bindparam("number"),
    print_job.c.first <= bindparam("last"),
    print_job.c.last >= bindparam("first"),
    # one that was dropped counts where a printer had it: it may have come out
    or_(
        print_job.c.state.in_((*OPEN, DONE)),
        and_(print_job.c.state == CANCELLED, print_job.c.attempts > 0),
    ),
)
_highest_copy = select(func.coalesce(func.max(print_job.c.copy), 0)).where(_overlapping)

_later = label.alias("later")
_replaced = exists().where(
    _later.c.number == label.c.number,
    _later.c.first <= label.c.first,
    _later.c.last >= label.c.last,
    _later.c.copy > label.c.copy,
)
_taken_back = union_all(
    select(lot.c.number).where(lot.c.number == bindparam("number"), lot.c.voided == 1),
    select(carrier.c.number).where(carrier.c.number == bindparam("number"), carrier.c.state == "void"),
)
_void = exists().where(lot.c.number == label.c.number, lot.c.voided == 1)
_unscanned = select(label).where(
    label.c.proved.is_(None), label.c.printed_at < bindparam("before"), not_(_replaced), not_(_void)
)
_never_scanned = _unscanned.order_by(label.c.printed_at, label.c.event)
_latest_unscanned = _unscanned.order_by(label.c.printed_at.desc(), label.c.event.desc()).limit(
    bindparam("limit")
)

_gone = exists().where(
    carrier.c.number == label.c.number,
    or_(
        carrier.c.state.in_(("emptied", "became", "void")),
        # open again after its full label was printed: that one says what is no longer on it
        and_(carrier.c.state == "open", label.c.copy > 1, not_(label.c.fields.contains('"held":"OPEN"'))),
    ),
    carrier.c.reusable == 0,
)
_to_destroy = (
    select(label)
    .where(label.c.printed_at >= bindparam("since"), or_(_replaced, _void, _gone))
    .order_by(label.c.printed_at.desc(), label.c.event.desc())
)

_after = print_job.alias("after")
made_up_for = exists().where(
    _after.c.number == print_job.c.number,
    _after.c.first <= print_job.c.first,
    _after.c.last >= print_job.c.last,
    _after.c.id > print_job.c.id,
    # coalesced, so that the few of the number are looked at, not all that were ever done
    func.coalesce(_after.c.state, "") == DONE,
)
"""Of a print job: that its label came out later, as another job."""

_failed = (
    select(print_job)
    .where(print_job.c.state.in_((FAILED, UNKNOWN, LATE)), not_(made_up_for))
    .order_by(print_job.c.id.desc())
)
_waiting = select(print_job).where(print_job.c.state.in_((QUEUED, *UNDER_WAY))).order_by(print_job.c.id)
_named = select(mention.c.event).where(mention.c.number == bindparam("number")).limit(1)
_happened = (
    select(posting.c.happened)
    .join(event, event.c.posting == posting.c.id)
    .where(event.c.id == bindparam("event"))
)


def is_taken_back(connection: Connection, number: str) -> bool:
    """Whether the goods of that number never were: their labels are to be destroyed, and none printed."""
    return connection.execute(_taken_back, {"number": number}).first() is not None


def labels_of(connection: Connection, number: str) -> Sequence[Row[Any]]:
    """Every label printed of a number, its items' included, in the order they were printed.

    Rows of event, number, first, last, copy, layout, fields, printed_at, station, printer, job, proved.
    """
    return connection.execute(_of_number, {"number": number}).all()


def label_by_event(connection: Connection, number: int) -> Row[Any] | None:
    """The label that an event printed."""
    return connection.execute(_by_event, {"event": number}).first()


def label_scanned(connection: Connection, text: str, copy: int = 1) -> Row[Any] | None:
    """The label that a canonical number, of an item or anything else, and its copy were read from.

    Its `proved` is None while it was never scanned: then `ProveLabel` is due. Raises Unreadable.
    """
    number, serial = split(text)
    return connection.execute(_one, {"number": number, "serial": serial, "copy": copy}).first()


def job_scanned(connection: Connection, text: str, copy: int = 1) -> Row[Any] | None:
    """The job whose label was read, where its printer has not said that it printed it. Raises Unreadable."""
    number, serial = split(text)
    return connection.execute(_doubted, {"number": number, "serial": serial, "copy": copy}).first()


def split(text: str) -> tuple[str, int]:
    """A canonical number as number and serial, 0 for what is no item. Raises Unreadable."""
    if len(text) == _ITEM_LENGTH:
        item = item_from(text)
        return str(item.lot), item.serial
    return str(number_from(text)), 0


def never_scanned(connection: Connection, before: int) -> Sequence[Row[Any]]:
    """Labels printed before a time and never scanned on the goods, oldest first.

    Left out: labels that a later copy replaced, and those of lots that never were.
    """
    return connection.execute(_never_scanned, {"before": before}).all()


def latest_unscanned(connection: Connection, before: int, limit: int) -> Sequence[Row[Any]]:
    """So many of the labels that `never_scanned` has, latest first."""
    return connection.execute(_latest_unscanned, {"before": before, "limit": limit}).all()


def to_destroy(connection: Connection, since: int) -> Sequence[Row[Any]]:
    """Labels printed since a time that are wrong by now, latest first (RULES 16).

    A later label of the same number took their place, their lot never was, or their pallet is no more or
    has lost something.
    """
    return connection.execute(_to_destroy, {"since": since}).all()


def failed_jobs(connection: Connection) -> Sequence[Row[Any]]:
    """Jobs that came to nothing and were not made up for, latest first; `reason` says why."""
    return connection.execute(_failed).all()


def waiting_jobs(connection: Connection) -> Sequence[Row[Any]]:
    """Jobs queued or being printed, oldest first."""
    return connection.execute(_waiting).all()


def tray(connection: Connection, limit: int = 50, before: int = 2**62) -> Sequence[Row[Any]]:
    """What lies in the label tray, latest first; `before` an event, to page on."""
    return connection.execute(_tray, {"limit": limit, "before": before}).all()


def next_copy(connection: Connection, number: str, first: int = 0, last: int = 0) -> int:
    """The copy that the next label of a number, or of items first to last, will be.

    Labels that failed were never there, so they count for nothing.
    """
    values = {"number": number, "first": first, "last": last}
    return int(connection.scalar(_highest_copy, values) or 0) + 1


def told_before(connection: Connection, number: str) -> Mapping[str, str]:
    """The fields of the label of a number that was asked for last; nothing where none was."""
    query = select(print_job.c.fields).where(print_job.c.number == number).order_by(print_job.c.id.desc())
    found = connection.scalar(query.limit(1))
    fields: dict[str, str] = json.loads(found) if found else {}
    return fields


def time_of(connection: Connection, number: int) -> int:
    """When an event happened, in microseconds UTC."""
    return int(connection.scalar(_happened, {"event": number}) or 0)


def is_named(connection: Connection, number: str) -> bool:
    """Whether any event names a number, so that it stands for something here."""
    return connection.execute(_named, {"number": number}).first() is not None


def last_job_of(connection: Connection, person: str, station: str) -> Row[Any] | None:
    """The label a person asked for last at a station; badges are not among them."""
    query = (
        select(print_job)
        .join(posting, posting.c.id == print_job.c.posting)
        .where(posting.c.person == person, posting.c.station == station, ~print_job.c.number.like("H%"))
        .order_by(print_job.c.id.desc())
        .limit(1)
    )
    return connection.execute(query).first()
