"""What stands in the way of a trace: lots without parents, late entries, runs that do not close, weak links?

Everything of the last days, each list with the newest first and cut at a stated length.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, func, select

from lotroot.dispatch.facts import shipment
from lotroot.genealogy.tables import LIVE, edge, lot
from lotroot.ledger.tables import event, posting
from lotroot.production.tables import run, run_input
from lotroot.tracing.readiness import Readiness, readiness
from lotroot.tracing.whereabouts import LEFT

MOST = 200
"""Rows of one list."""
MOST_SHIPMENTS = 40
"""Each is traced on its own."""
NEVER = 2**62
WEAK = ("estimated", "apportioned", "bounded")


class Gaps(NamedTuple):
    """What was found since a time, and how many lots were looked at for the shipments.

    `parentless`: rows of lots; `late`: rows of postings; `unclosed`: rows of run, lot, own, difference;
    `weak`: rows of number, basis, links, given; `ready`: one a shipment and stream.
    """

    parentless: Sequence[Row[Any]]
    late: Sequence[Any]
    unclosed: Sequence[Any]
    weak: Sequence[Any]
    ready: Sequence[Readiness]

    @property
    def visited(self) -> int:
        """How many lots the shipments were traced through."""
        return sum({one.shipment: one.visited for one in self.ready}.values())


class Beginning(NamedTuple):
    """Where a time begins: `at` in microseconds UTC, the first posting and the first event after it."""

    at: int
    posting: int
    event: int | None


_entered = select(posting.c.entered).where(posting.c.id == bindparam("id"))
_last_posting = select(func.coalesce(func.max(posting.c.id), 0))
_first_event = select(func.min(event.c.id)).where(event.c.posting == bindparam("id"))
_has_parent = select(edge.c.seq).where(edge.c.child == lot.c.id, edge.c.state == LIVE).exists()
_parentless = (
    select(lot)
    .where(lot.c.id >= bindparam("event"), lot.c.source == "", lot.c.voided == 0, ~_has_parent)
    .order_by(lot.c.id.desc())
    .limit(MOST)
)
_late = (
    select(posting)
    .where(posting.c.id >= bindparam("posting"), posting.c.basis != "at once")
    .order_by(posting.c.id.desc())
    .limit(MOST)
)
# Which runs is asked first: as a plain join, SQLite reads every input ever loaded.
_closed = select(run.c.number).where(run.c.closed >= bindparam("since"), run.c.voided == 0)
_unclosed = (
    select(run.c.number, run_input.c.lot, run_input.c.own, run_input.c.difference, run.c.closed)
    .join(run_input, run_input.c.run == run.c.number)
    .where(run_input.c.run.in_(_closed), run_input.c.voided == 0, run_input.c.difference != 0)
    .order_by(run.c.closed_event.desc(), run_input.c.load)
    .limit(MOST)
)
_weak = (
    select(
        lot.c.number,
        lot.c.id,
        edge.c.basis,
        func.count().label("links"),
        func.sum(edge.c.given).label("given"),
    )
    .join(lot, lot.c.id == edge.c.child)
    .where(edge.c.child >= bindparam("event"), edge.c.state == LIVE, edge.c.basis.in_(WEAK))
    .group_by(lot.c.number, lot.c.id, edge.c.basis)
    .order_by(lot.c.id.desc(), edge.c.basis)
    .limit(MOST)
)
_left = (
    select(shipment.c.number)
    .where(shipment.c.state == LEFT, shipment.c.left >= bindparam("since"))
    .order_by(shipment.c.left.desc(), shipment.c.number)
    .limit(MOST_SHIPMENTS)
)


def gaps(connection: Connection, since: int) -> Gaps:
    """What stands in the way of a trace since a time, in microseconds UTC."""
    first = first_posting_since(connection, since)
    return gaps_after(connection, Beginning(since, first, connection.scalar(_first_event, {"id": first})))


def gaps_after(connection: Connection, beginning: Beginning) -> Gaps:
    """The same from where that time begins in the ledger; nothing where no event came after it."""
    events = {"event": NEVER if beginning.event is None else beginning.event}
    return Gaps(
        connection.execute(_parentless, events).all(),
        connection.execute(_late, {"posting": beginning.posting}).all(),
        connection.execute(_unclosed, {"since": beginning.at}).all(),
        connection.execute(_weak, events).all(),
        [
            one
            for number in connection.scalars(_left, {"since": beginning.at})
            for one in readiness(connection, number)
        ],
    )


def first_posting_since(connection: Connection, since: int) -> int:
    """The first posting entered at a time or later, by halving: postings are numbered without gaps."""
    low, high = 1, int(connection.scalar(_last_posting) or 0) + 1
    while low < high:
        middle = (low + high) // 2
        if int(connection.scalar(_entered, {"id": middle}) or 0) < since:
            low = middle + 1
        else:
            high = middle
    return low
