"""What of a lot stands where, and what has become of the rest?"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, func, select

from lotroot.stock.events import DIFFERENCE
from lotroot.stock.tables import item_weight, line, standing

_of_lot = (
    select(standing).where(standing.c.lot == bindparam("lot")).order_by(standing.c.first, standing.c.spot)
)
_at_spot = (
    select(standing).where(standing.c.spot == bindparam("spot")).order_by(standing.c.since, standing.c.first)
)
_lines_of_lot = select(line).where(line.c.lot == bindparam("lot")).order_by(line.c.event, line.c.seq)
_lines_of_run = select(line).where(line.c.run == bindparam("run")).order_by(line.c.event, line.c.seq)
_weights = select(item_weight).where(
    item_weight.c.lot == bindparam("lot"),
    item_weight.c.serial >= bindparam("first"),
    item_weight.c.serial <= bindparam("last"),
)
_weights_of = select(item_weight).where(item_weight.c.lot.in_(bindparam("lots", expanding=True)))
_standings_of = (
    select(standing)
    .where(standing.c.lot.in_(bindparam("lots", expanding=True)))
    .order_by(standing.c.lot, standing.c.first, standing.c.spot)
)
_totals = (
    select(line.c.account, func.sum(line.c.amount).label("amount"))
    .where(line.c.lot == bindparam("lot"))
    .group_by(line.c.account)
)

_differences_of = (
    select(line.c.lot, func.sum(line.c.amount).label("amount"))
    .where(line.c.lot.in_(bindparam("lots", expanding=True)), line.c.account == DIFFERENCE)
    .group_by(line.c.lot)
)


class Range(NamedTuple):
    """Serials first to last, and what they amount to together in their lot's unit."""

    first: int
    last: int
    amount: int


def standings(connection: Connection, lot: str) -> Sequence[Row[Any]]:
    """Where a lot stands now: rows of first, last, spot, amount."""
    return connection.execute(_of_lot, {"lot": lot}).all()


def standings_of(connection: Connection, lots: Iterable[str]) -> list[Row[Any]]:
    """Where some lots stand now, a few hundred lots at a time."""
    return [row for some in _some(lots) for row in connection.execute(_standings_of, {"lots": some})]


def amount_at(connection: Connection, lot: str, spot: str, first: int = 0, last: int = 0) -> int:
    """What a lot, or its items first to last, amount to at one spot, in the lot's unit."""
    rows = [row for row in standings(connection, lot) if row.spot == spot]
    if not first:
        return sum(row.amount for row in rows)
    met = [row for row in rows if row.first <= last and row.last >= first]
    return sum(part_of_range(connection, row, max(first, row.first), min(last, row.last)) for row in met)


def at_spot(connection: Connection, spot: str) -> Sequence[Row[Any]]:
    """What stands at a place, on a carrier, in a run or on a shipment, first come first."""
    return connection.execute(_at_spot, {"spot": spot}).all()


def lines_of_lot(connection: Connection, lot: str) -> Sequence[Row[Any]]:
    """Every amount of a lot that came from or went to something that is no spot."""
    return connection.execute(_lines_of_lot, {"lot": lot}).all()


def lines_of_run(connection: Connection, run: str) -> Sequence[Row[Any]]:
    """The lines of one run, in ledger order."""
    return connection.execute(_lines_of_run, {"run": run}).all()


def totals(connection: Connection, lot: str) -> dict[str, int]:
    """A lot's accounts: what each gained so far, in the lot's unit; born is negative."""
    return {row.account: int(row.amount) for row in connection.execute(_totals, {"lot": lot})}


def weights(connection: Connection, lot: str, first: int, last: int) -> dict[int, int]:
    """The weighed items among serials first to last."""
    query = {"lot": lot, "first": first, "last": last}
    return {row.serial: row.amount for row in connection.execute(_weights, query)}


def differences_of(connection: Connection, lots: Iterable[str]) -> dict[str, int]:
    """What of some lots was missing so far, negative where there was more; a few hundred at a time."""
    return {
        row.lot: int(row.amount)
        for some in _some(lots)
        for row in connection.execute(_differences_of, {"lots": some})
    }


def part_of_range(connection: Connection, row: Row[Any], first: int, last: int) -> int:
    """What the serials first to last of a standing range amount to (RULES 21).

    Weighed items weigh what the scale said; the rest of the range is cut by cumulative floor, so
    that the parts of a range always add up to the range.
    """
    whole = Range(row.first, row.last, row.amount)
    return cut(whole, weights(connection, row.lot, row.first, row.last), first, last)


def weights_of(connection: Connection, lots: Iterable[str]) -> dict[str, dict[int, int]]:
    """The weighed items of some lots: amounts by serial, a few hundred lots at a time."""
    found: dict[str, dict[int, int]] = {}
    for some in _some(lots):
        for row in connection.execute(_weights_of, {"lots": some}):
            found.setdefault(row.lot, {})[row.serial] = row.amount
    return found


def cut(whole: Range, weighed: Mapping[int, int], first: int, last: int) -> int:
    """What the serials first to last of a range amount to; `weighed` may hold items beyond the range.

    All of a range is what it is recorded with: pieces may have been taken out of a weighed item.
    """
    if first <= whole.first and whole.last <= last:
        return whole.amount
    serials = range(whole.first, whole.last + 1)
    inside = {serial: weighed[serial] for serial in serials if serial in weighed}
    others = [serial for serial in serials if serial not in inside]
    rest = whole.amount - sum(inside.values())
    part = sum(amount for serial, amount in inside.items() if first <= serial <= last)
    if not others:
        return part
    before = sum(1 for serial in others if serial < first)
    count = sum(1 for serial in others if first <= serial <= last)
    return part + rest * (before + count) // len(others) - rest * before // len(others)


def _some(lots: Iterable[str]) -> list[list[str]]:
    ordered = sorted(set(lots))
    return [ordered[start : start + 500] for start in range(0, len(ordered), 500)]
