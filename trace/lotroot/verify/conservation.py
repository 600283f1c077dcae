"""Does every amount close, in whole base units (RULES 3 and 8)?

Per lot: what was born equals its own amount, and over all its accounts and places it sums to nothing;
what its account says was taken is what live links have taken; stretches taken in turn from one end, and
items that became loose goods again, do not overlap; each of its items stands at one spot only (RULES 21);
then every load of every run closes, and every balance of a closed run is what the run comes to.
Lots and runs are checked in the order of their numbers.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, func, literal, or_, select, union_all

from lotroot.genealogy.tables import LIVE, edge, lot
from lotroot.ledger.proof import Finding
from lotroot.stock.events import BORN, TAKEN
from lotroot.stock.tables import line, standing
from lotroot.verify.balances import balance_findings
from lotroot.verify.runs import load_findings

_entries = union_all(
    select(line.c.lot, line.c.account, line.c.amount),
    select(standing.c.lot, literal("standing").label("account"), standing.c.amount),
).subquery()
_accounts = (
    select(_entries.c.lot, _entries.c.account, func.sum(_entries.c.amount).label("amount"))
    .group_by(_entries.c.lot, _entries.c.account)
    .order_by(_entries.c.account)
)
_lots = select(lot.c.number, lot.c.amount, lot.c.unit, lot.c.axis, lot.c.voided)
_links = (
    select(lot.c.number, func.sum(edge.c.taken).label("taken"))
    .join(lot, lot.c.id == edge.c.parent)
    .where(edge.c.state == LIVE)
    .group_by(lot.c.number)
)
_stretches = (
    select(lot.c.number, lot.c.axis, edge.c.end, edge.c.parent_from, edge.c.parent_to)
    .join(lot, lot.c.id == edge.c.parent)
    .where(edge.c.state == LIVE, edge.c.feed == "in_turn", edge.c.taken > 0)
    .where(edge.c.parent_from.is_not(None), edge.c.parent_to.is_not(None))
    .where(or_(lot.c.axis != "serial", edge.c.load == 0))  # a load may take some pieces of an item
    .order_by(lot.c.id, edge.c.end, edge.c.parent_from, edge.c.parent_to)
)
_rows_of_items = (
    select(standing.c.lot, standing.c.first, standing.c.last, standing.c.spot)
    .where(standing.c.first > 0)
    .order_by(standing.c.lot, standing.c.first, standing.c.spot)
)


def conservation_finding(connection: Connection) -> Finding | None:
    """The first lot, by number, whose amounts do not close."""
    found = [
        *_wrong_accounts(connection),
        *_overlaps(connection.execute(_stretches)),
        *_standing_twice(connection.execute(_rows_of_items)),
    ]
    for later in (load_findings, balance_findings):
        found = found or list(later(connection))
    return min(found, default=None)


def _wrong_accounts(connection: Connection) -> Iterator[Finding]:
    accounts: dict[str, dict[str, int]] = {}
    for row in connection.execute(_accounts):
        accounts.setdefault(row.lot, {})[row.account] = int(row.amount)
    taken = {row.number: int(row.taken) for row in connection.execute(_links)}
    for one in connection.execute(_lots):
        yield from _of_lot(one, accounts.pop(one.number, {}), taken.get(one.number, 0))
    for number in accounts:
        yield Finding(number, "amounts of no lot", "a lot of that number")


def _of_lot(row: Any, account: dict[str, int], taken: int) -> Iterator[Finding]:
    born, open_sum = -account.get(BORN, 0), sum(account.values())
    own = 0 if row.voided else row.amount
    if born != own:
        yield Finding(row.number, f"born {born} {row.unit}", f"its own amount, {own} {row.unit}")
    if open_sum:
        said = ", ".join(f"{name} {amount}" for name, amount in account.items())
        yield Finding(row.number, f"a sum of {open_sum} {row.unit} over {said}", "0")
    if account.get(TAKEN, 0) != taken:
        found = f"taken {account.get(TAKEN, 0)} {row.unit}"
        yield Finding(row.number, found, f"the {taken} {row.unit} of its live links")


def _overlaps(rows: Iterable[Any]) -> Iterator[Finding]:
    before: Any = None
    for row in rows:
        same = before is not None and (before.number, before.end) == (row.number, row.end)
        if same and row.parent_from < _end_of(before):
            stretch = f"a stretch from {row.parent_from} of the {row.end} end"
            yield Finding(row.number, stretch, f"none before {_end_of(before)}")
        before = row


def _end_of(row: Any) -> int:
    """Where the next stretch may begin: serials are counted, amounts are positions."""
    return int(row.parent_to) + int(row.axis == "serial")


def _standing_twice(rows: Iterable[Any]) -> Iterator[Finding]:
    before: Any = None
    for row in rows:
        same = before is not None and before.lot == row.lot
        if same and row.first <= before.last:
            found = f"item {row.first} at {before.spot} and at {row.spot}"
            yield Finding(row.lot, found, "each item at one spot")
        before = before if same and before.last > row.last else row
