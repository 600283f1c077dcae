"""How far does an answer look back where a tank that is never emptied would lead it on for ever?

An answer of up to `MOST` lots is told whole. A longer one looks back `DAYS` from the youngest of the asked
lots, or half of that and so on until it has no more: what was made before, and is no source, counts as one
remainder. Only parts are told so: holds and recalls always go all the way.
"""

from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.genealogy.walks import made_of_something, more_above
from lotroot.tracing.basis import strength
from lotroot.tracing.kin import EVER
from lotroot.tracing.lineage import Kinsman, Older
from lotroot.work import MICROSECONDS

MOST = 5_000
"""Lots: ten years of packs behind a tank that is topped up daily; a tenth of a second."""
DAYS = 90
"""After so long, a tank topped up daily holds some millionths of what it held (a trial said 2e-6)."""


def looking_back(connection: Connection, lots: Collection[Row[Any]], most: int = MOST) -> int:
    """The moment before which nothing is followed above some lots, EVER where all of it is."""
    ids = [lot.id for lot in lots]
    if not more_above(connection, ids, EVER, most):
        return EVER
    youngest = max(lot.born_at for lot in lots)
    back = DAYS * 24 * 3600 * MICROSECONDS
    while back and more_above(connection, ids, youngest - back, most):
        back //= 2
    return int(youngest - back)


def left_out(connection: Connection, lots: Iterable[Kinsman], since: int) -> Older | None:
    """The ends of a lineage that are none: made before it looks back, of what it does not follow."""
    ends = {one.lot.id: one for one in lots if one.gap and one.depth and one.lot.born_at < since}
    cut = [ends[lot] for lot in sorted(made_of_something(connection, ends))]
    if not cut:
        return None
    part: dict[str, int] = {}
    for one in cut:
        for chain, amount in one.part.items():
            part[chain] = part.get(chain, 0) + amount
    basis = max((one.basis for one in cut), key=strength)
    return Older(since, frozenset(one.lot.number for one in cut), part, basis, any(one.held for one in cut))
