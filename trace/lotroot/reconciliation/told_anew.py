"""Of which closed runs was it told anew where what they used came from?

A receipt is completed or corrected, or an earlier run had another coil than was recorded: suppliers and heats
of all that was made of it change, in runs that the posting does not name.
"""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, bindparam, select

from lotroot.genealogy.events import LinksWritten
from lotroot.genealogy.lots import ids_below
from lotroot.genealogy.tables import lot
from lotroot.production.tables import run, run_input
from lotroot.receiving.facts import ReceiptDetailed

MOST = 500
"""Lots whose runs are added up anew in one posting, a few seconds' work (ours): what reaches more than that,
such as a drum of a tank that is never emptied, is of several suppliers by then."""

_id = select(lot.c.id).where(lot.c.number == bindparam("number"))
_loaded_in = (
    select(run_input.c.run)
    .join(lot, lot.c.number == run_input.c.lot)
    .join(run, run.c.number == run_input.c.run)
    .where(lot.c.id.in_(bindparam("ids", expanding=True)))
    .where(run_input.c.voided == 0, run.c.closed.is_not(None), run.c.voided == 0)
    .distinct()
)


def told_anew(connection: Connection, events: Iterable[Any]) -> set[str]:
    """The numbers of closed runs that used any of what facts tell other origins of."""
    found: set[str] = set()
    for number in sorted({number for fact in events for number in _of(fact)}):
        here = connection.scalar(_id, {"number": number})
        below = sorted(ids_below(connection, here)) if here is not None else []
        found |= set(connection.scalars(_loaded_in, {"ids": below[:MOST]}))
    return found


def _of(fact: Any) -> Iterable[str]:
    """The lot that a fact tells another origin of."""
    if isinstance(fact, ReceiptDetailed):
        yield fact.number
    if isinstance(fact, LinksWritten) and fact.doubted:  # a correction, not the next output of a run
        yield fact.child
