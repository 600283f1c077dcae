"""Which labels do the people at a station wait for, and which printers' labels do not scan?"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, and_, bindparam, case, func, not_, or_, select

from lotroot.labelling.outbox import DONE, FAILED, LATE, QUEUED, UNDER_WAY, UNKNOWN
from lotroot.labelling.printed import made_up_for, split
from lotroot.labelling.tables import label, print_job

SLOW = 10_000_000
"""Microseconds after which a label that has not come out is worth a word at its station (our own choice)."""

_ON_A_WORD = (LATE, UNKNOWN, FAILED)
_needs_a_word = and_(print_job.c.state.in_(_ON_A_WORD), not_(made_up_for))
_slow = and_(print_job.c.state.in_((QUEUED, *UNDER_WAY)), print_job.c.fresh < bindparam("before"))
_at_station = (
    select(print_job)
    .where(print_job.c.station == bindparam("station"), or_(_needs_a_word, _slow))
    .order_by(print_job.c.id)
)
_first_for_word = (
    select(print_job)
    .where(print_job.c.station == bindparam("station"), _needs_a_word)
    .order_by(print_job.c.id)
    .limit(1)
)
_for_one = select(print_job).where(
    print_job.c.number == bindparam("number"),
    print_job.c.first == bindparam("serial"),
    print_job.c.last == bindparam("serial"),
    print_job.c.state.in_(bindparam("states", expanding=True)),
)
_of_number = (
    select(print_job)
    .where(print_job.c.number == bindparam("number"))
    .where(print_job.c.state.in_((QUEUED, *UNDER_WAY, *_ON_A_WORD, DONE)))
    .order_by(print_job.c.id)
)
_everywhere = (
    select(print_job)
    .where(or_(_needs_a_word, print_job.c.state.in_((QUEUED, *UNDER_WAY))))
    .order_by(print_job.c.id)
)
_by_printer = (
    select(
        label.c.printer,
        func.count().label("printed"),
        func.sum(case((label.c.proved.is_(None), 1), else_=0)).label("unscanned"),
        func.sum(label.c.unreadable).label("unreadable"),
    )
    .where(label.c.printed_at >= bindparam("since"), label.c.printed_at < bindparam("before"))
    .group_by(label.c.printer)
)


@dataclass(frozen=True)
class Told:
    """What a waiting label's goods are: the words that will stand on it."""

    kind: str
    product: str
    amount: str


def told(job: Row[Any]) -> Told:
    """Kind, product and amount on a job's label, so that the goods are found without it."""
    fields = json.loads(job.fields)
    items = fields.get("items") or []
    amount = fields.get("amount", "") or fields.get("count", "")
    return Told(
        str(fields.get("kind", "")),
        str(fields.get("product", "")),
        f"{len(items)} labels" if len(items) > 1 else str(amount),
    )


def unlabelled_at(connection: Connection, station: str, now: int) -> Sequence[Row[Any]]:
    """Jobs of a station that have not come out and should have, oldest first."""
    if not station:
        return []
    return connection.execute(_at_station, {"station": station, "before": now - SLOW}).all()


def next_for_a_word(connection: Connection, station: str) -> Row[Any] | None:
    """The oldest job of a station that prints only when somebody says so."""
    return connection.execute(_first_for_word, {"station": station}).first() if station else None


def open_jobs(connection: Connection) -> Sequence[Row[Any]]:
    """Every job that waits, is under way, or needs somebody's word, oldest first."""
    return connection.execute(_everywhere).all()


def asked_for(connection: Connection, number: str) -> Sequence[Row[Any]]:
    """Every job of a number and its items that was not left out, oldest first."""
    return connection.execute(_of_number, {"number": number}).all()


def jobs_for(connection: Connection, text: str, states: Sequence[str]) -> Sequence[Row[Any]]:
    """The jobs in these states that are for one label only: that of a number, or of one item by its own."""
    number, serial = split(text)
    values = {"number": number, "serial": serial, "states": list(states)}
    return connection.execute(_for_one, values).all()


@dataclass(frozen=True)
class Proofs:
    """Of a printer's labels in a time: printed, never scanned on the goods, and those whose copy was wanted
    because they do not scan."""

    printed: int
    unscanned: int
    unreadable: int


def proofs(connection: Connection, since: int, before: int) -> dict[str, Proofs]:
    """How the labels of each printer fared that were printed in a time, by its code."""
    rows = connection.execute(_by_printer, {"since": since, "before": before}).all()
    return {row.printer: Proofs(row.printed, int(row.unscanned), int(row.unreadable)) for row in rows}
