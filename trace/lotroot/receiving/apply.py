"""How do the facts of receipts become their tables?"""

from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, insert, update

from lotroot.genealogy.events import AmountCorrected, LotBorn
from lotroot.ledger.events import Recorded
from lotroot.receiving.facts import (
    TEXTS,
    CertificateAdded,
    Details,
    LotReceived,
    NumbersReserved,
    ReceiptDetailed,
)
from lotroot.receiving.tables import source, weight_told
from lotroot.reserved import PAD, Gap, keep

HEATS_APART = "; "


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of sources; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about receipts."""


@_apply.register
def _(event: LotBorn, connection: Connection, recorded: Recorded) -> None:
    if event.source:
        _weighed(event, connection, recorded)


@_apply.register
def _(event: AmountCorrected, connection: Connection, recorded: Recorded) -> None:
    _weighed(event, connection, recorded)


def _weighed(event: LotBorn | AmountCorrected, connection: Connection, recorded: Recorded) -> None:
    """Keep that somebody told what a lot weighs; counts, estimates and what papers say are no weights."""
    if "weighed" not in (event.how, event.mass_how):
        return
    row = {
        "event": recorded.id,
        "lot": event.number,
        "typed_by": event.typed_by,
        "station": recorded.posting.station,
        "at": recorded.posting.happened,
    }
    connection.execute(insert(weight_told), [row])


@_apply.register
def _(event: LotReceived, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(insert(source), [{"lot": event.number, **_row(event.details)}])


@_apply.register
def _(event: ReceiptDetailed, connection: Connection, _recorded: Recorded) -> None:
    query = update(source).where(source.c.lot == event.number)
    connection.execute(query.values(**_row(event.details)))


@_apply.register
def _(event: CertificateAdded, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(update(source).where(source.c.lot == event.lot).values(certificate=event.file))


@_apply.register
def _(event: NumbersReserved, connection: Connection, recorded: Recorded) -> None:
    gap = Gap(event.letter, event.year, event.first, event.last)
    keep(connection, recorded, gap, PAD, event.station)


def _row(details: Details) -> dict[str, Any]:
    row = {name: getattr(details, name) for name in (*TEXTS, "mass_theirs", "certificate", "photo")}
    due = {"details_due": int(details.due), "product_due": int(details.product_due)}
    return {**row, **due, "heats": HEATS_APART.join(details.heats)}
