"""Which received lots are in these goods, and how much of each?

The shortest of the answers: one statement, no kinds, bases or holds. Where items of a lot are known to be
of different parents, or goods carry several streams, the whole lineage (`upward`) is asked instead; both
give the same amounts to the base unit.
"""

from collections.abc import Mapping, Sequence
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import Connection, text

from lotroot.genealogy.shares import WHOLE
from lotroot.genealogy.tables import edge, lot
from lotroot.quantities import share_out
from lotroot.tracing.asking import asked
from lotroot.tracing.upward import up

# The goods themselves come first, as links of a lot 0 that all of them together are.
_ON_SPOT = """
WITH RECURSIVE goods(id, amount) AS (
  SELECT lot.id, s.amount FROM standing s JOIN lot ON lot.number = s.lot WHERE s.spot = :spot
), walk(id) AS (
  SELECT id FROM goods
  UNION
  SELECT e.parent FROM walk JOIN edge e ON e.child = walk.id WHERE e.state = 0
)
SELECT 0 AS child, 0 AS seq, g.amount AS given, '' AS stream, NULL AS child_from, NULL AS child_to,
       p.id, p.rank, p.number, p.unit, p.items, p.voided
  FROM goods g JOIN lot p ON p.id = g.id
UNION ALL
SELECT e.child, e.seq, e.given, e.stream, e.child_from, e.child_to,
       p.id, p.rank, p.number, p.unit, p.items, p.voided
  FROM walk CROSS JOIN edge e CROSS JOIN lot p
 WHERE e.child = walk.id AND p.id = e.parent AND e.state = 0
"""
_link = (edge.c[name] for name in ("child", "seq", "given", "stream", "child_from", "child_to"))
_parent = (lot.c[name] for name in ("id", "rank", "number", "unit", "items", "voided"))
_SEQ = itemgetter(1)
_on_spot = text(_ON_SPOT).columns(*_link, *_parent)


class Part(NamedTuple):
    """A received lot, or one nothing more is known of, and how much of the goods came from it."""

    lot: str
    amount: int


Plain = Sequence[Any]
"""A row as the statement gives it; names would double the time of the walk through them."""


def sources_on(connection: Connection, spot: str) -> list[Part]:
    """What stands on a carrier, or at a place, by the lots it came from in the end, in order of numbers.

    Amounts are in the unit of the goods, or g where they are of several; they sum to what is there.
    Raises Unknown where the spot is neither and nothing stands on it.
    """
    rows: Sequence[Plain] = connection.execute(_on_spot, {"spot": spot}).all()
    lots: dict[int, Plain] = {}
    links: dict[int, list[Plain]] = {}
    for row in rows:
        lots[row[6]] = row
        if row[0] in links:
            links[row[0]].append(row)
        else:
            links[row[0]] = [row]
    if rows and _plain(rows, lots):
        return _shared_out(lots, links)
    whole = up(connection, asked(connection, spot)).lots
    parts = [Part(one.lot.number, sum(one.part.values())) for one in whole if one.source or one.gap]
    return sorted(parts)


def _plain(rows: Sequence[Plain], lots: Mapping[int, Plain]) -> bool:
    """Whether every link speaks of all of its child, in one stream and unit, and nothing was taken back."""
    streams = {row[3] for row in rows if row[0]}
    units = {row[9] for row in rows if not row[0]}
    odd = [row for row in rows if row[11] or row[4] is not None]
    if len(streams) > 1 or len(units) > 1:
        return False
    return all(not row[11] and (not (items := lots[row[0]][10]) or row[4:6] == (1, items)) for row in odd)


def _shared_out(lots: Mapping[int, Plain], links: Mapping[int, list[Plain]]) -> list[Part]:
    """The way of `genealogy.shares`, for goods of one stream: 0 stands for all of them."""
    shares = dict.fromkeys(lots, 0)
    shares[0] = WHOLE
    by_rank = sorted([(lots[child][7], child) for child in links if child], reverse=True)
    for _, child in [(0, 0), *by_rank]:
        share, mine = shares[child], links[child]
        if len(mine) == 1:
            shares[mine[0][6]] += share
            continue
        mine.sort(key=_SEQ)
        whole = sum([row[2] for row in mine])
        so_far = before = 0
        for row in mine:
            so_far += row[2] if whole else 1  # links that give nothing count alike
            now = share * so_far // (whole or len(mine))
            shares[row[6]] += now - before
            before = now
    ends = [lot for lot in lots if lot not in links]
    amounts = share_out(sum([row[2] for row in links[0]]), [shares[lot] for lot in ends])
    return sorted([Part(lots[lot][8], amount) for lot, amount in zip(ends, amounts, strict=True)])
