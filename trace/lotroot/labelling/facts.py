"""Which facts make a label, and how do they become its table?

A printed label is a fact: its layout, fields and the text read back from its symbols are kept.
"""

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, update

from lotroot.labelling.tables import label, printer, station_printer
from lotroot.ledger.canonical import canonical
from lotroot.ledger.events import Recorded, event
from lotroot.reserved import PadLabelAnswered

DOES_NOT_SCAN = "Does not scan"
"""The reason for a label again that says its printer made one nobody can read."""


@event
@dataclass(frozen=True)
class LabelPrinted:
    """A label, or a block of item labels first to last, was rendered, read back and handed over."""

    number: str
    layout: str
    layout_hash: str
    fields: Mapping[str, Any]
    symbols: tuple[str, ...]
    job: int
    attempt: int = 1
    printer: str = ""
    first: int = 0
    last: int = 0
    copy: int = 1


@event
@dataclass(frozen=True)
class LabelFailed:
    """A label could not be rendered, read back or handed over; `reason` says why."""

    number: str
    layout: str
    reason: str
    printer: str
    job: int
    attempt: int
    first: int = 0
    last: int = 0
    copy: int = 1


@event
@dataclass(frozen=True)
class LabelProved:
    """The label was scanned on the goods for the first time; `label` is the event that printed it."""

    number: str
    label: int
    serial: int = 0
    copy: int = 1


@event
@dataclass(frozen=True)
class LabelAsked:
    """Somebody wants a label again, for a reason; it carries the next copy number."""

    number: str
    copy: int
    reason: str
    first: int = 0
    last: int = 0


@event
@dataclass(frozen=True)
class LabelRouted:
    """A label that waited is printed on somebody's word: at this printer, now, beside the goods."""

    number: str
    job: int
    printer: str
    first: int = 0
    last: int = 0
    copy: int = 1


@event
@dataclass(frozen=True)
class LabelDropped:
    """A label that waited, or of which nobody knows, is not printed any more; `reason` says why."""

    number: str
    job: int
    reason: str
    first: int = 0
    last: int = 0
    copy: int = 1


@event
@dataclass(frozen=True)
class PrinterSet:
    """A printer is as said here from now on, whatever plant.toml says; without an address it has none.

    `across` and `along` are hundredths of a millimetre to the right and down; `dpi` 0 is as it says itself.
    """

    code: str
    name: str
    address: str = ""
    dpi: int = 0
    across: int = 0
    along: int = 0
    stock: str = ""
    instead: str = ""
    certificate: str = ""


@event
@dataclass(frozen=True)
class StationPrinterSet:
    """The labels of a station are printed at this printer from now on."""

    station: str
    printer: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of labels; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about labels, or nothing status shows."""


@_apply.register
def _(event: LabelPrinted, connection: Connection, recorded: Recorded) -> None:
    row = {
        "event": recorded.id,
        "number": event.number,
        "first": event.first,
        "last": event.last,
        "copy": event.copy,
        "layout": event.layout,
        "fields": canonical(event.fields),
        "printed_at": recorded.posting.happened,
        "station": recorded.posting.station,
        "printer": event.printer,
        "job": event.job,
        "unreadable": 0,
    }
    connection.execute(insert(label), [row])


@_apply.register
def _(event: LabelAsked, connection: Connection, _recorded: Recorded) -> None:
    """A label that is asked for again because it does not scan was no good from the first."""
    if event.reason == DOES_NOT_SCAN:
        where = (
            label.c.number == event.number,
            label.c.first <= event.first,
            label.c.last >= event.last,
            label.c.proved.is_(None),
        )
        connection.execute(update(label).where(*where).values(unreadable=1))


@_apply.register
def _(event: LabelProved, connection: Connection, recorded: Recorded) -> None:
    where = (label.c.event == event.label, label.c.proved.is_(None))
    connection.execute(update(label).where(*where).values(proved=recorded.id))


@_apply.register
def _(event: PrinterSet, connection: Connection, _recorded: Recorded) -> None:
    _put(connection, printer, {"code": event.code}, dataclasses.asdict(event))


@_apply.register
def _(event: StationPrinterSet, connection: Connection, _recorded: Recorded) -> None:
    _put(connection, station_printer, {"station": event.station}, dataclasses.asdict(event))


def _put(connection: Connection, table: Table, key: dict[str, str], row: dict[str, Any]) -> None:
    """The one row of this key, whether there was one before or not."""
    [(name, value)] = key.items()
    connection.execute(delete(table).where(table.c[name] == value))
    connection.execute(insert(table), [row])


@_apply.register
def _(event: PadLabelAnswered, connection: Connection, recorded: Recorded) -> None:
    """The emergency label on the goods is what was scanned there, in place of their own."""
    number, serial = event.number[:11], int(event.number[11:15] or 0)
    where = [label.c.number == number, label.c.proved.is_(None)]
    if serial:
        where += [label.c.first <= serial, label.c.last >= serial]
    connection.execute(update(label).where(*where).values(proved=recorded.id))
