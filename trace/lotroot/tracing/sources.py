"""Which received lots are in these goods, and how much of each?

The shortest of the answers: one statement, no kinds, bases or holds. Where items of a lot are known to be
of different parents, or goods carry several streams, the whole lineage (`upward`) is asked instead. Both give
the same amounts to the base unit, as far as the latter looks back (`tracing.window`); this goes to the end.
"""

from collections.abc import Sequence
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import Connection

from lotroot.database import Statement
from lotroot.genealogy.shares import WHOLE
from lotroot.quantities import share_out
from lotroot.tracing.asking import asked
from lotroot.tracing.upward import up

# Every lot with each of its links; a lot without any has one row. `odd` are links that speak of some items
# only, and lots that were taken back. The goods come first, as links of a lot 0 that all of them are.
_ON_SPOT = """
WITH RECURSIVE goods(id, amount, unit, number) AS (
  SELECT lot.id, s.amount, n.unit, s.lot
    FROM standing s JOIN lot ON lot.number = s.lot LEFT JOIN lot_words n ON n.id = lot.words
   WHERE s.spot = :spot AND s.amount > 0
), walk(id) AS (
  SELECT id FROM goods
  UNION
  SELECT e.parent FROM walk JOIN edge e ON e.child = walk.id WHERE e.state = 0
)
SELECT 9223372036854775807 AS rank, 0 AS child, g.id AS parent, g.amount AS given, 0 AS seq, g.unit AS stream,
       g.number, 0 AS odd
  FROM goods g
UNION ALL
SELECT c.rank, c.id, e.parent, e.given, e.seq, w.stream, c.number,
       CASE WHEN c.voided <> 0 OR e.child_from IS NOT NULL AND c.items > 0
                 AND (e.child_from <> 1 OR e.child_to <> c.items) THEN 1 ELSE 0 END
  FROM walk JOIN lot c ON c.id = walk.id LEFT JOIN edge e ON e.child = c.id AND e.state = 0
  LEFT JOIN link_words w ON w.id = e.words
"""
_RANK, _SEQ, _NUMBER, _ODD = itemgetter(0), itemgetter(4), itemgetter(6), itemgetter(7)
_on_spot = Statement(_ON_SPOT)


class Part(NamedTuple):
    """A received lot, or one nothing more is known of, and how much of the goods came from it."""

    lot: str
    amount: int


Plain = tuple[Any, ...]
"""A row as the statement gives it; names would double the time of the walk through them."""


def sources_on(connection: Connection, spot: str) -> list[Part]:
    """What stands on a carrier, or at a place, by the lots it came from in the end, in order of numbers.

    Amounts are in the unit of the goods, or g where they are of several; they sum to what is there.
    Raises Unknown where the spot is neither and nothing stands on it.
    """
    rows = _on_spot.rows(connection, {"spot": spot})
    if rows and _plain(rows):
        return _shared_out(rows)
    whole = up(connection, asked(connection, spot)).lots
    parts = [Part(one.lot.number, sum(one.part.values())) for one in whole if one.source or one.gap]
    return sorted(parts)


def _plain(rows: Sequence[Plain]) -> bool:
    """Whether every link speaks of all of its child, in one stream and unit, and nothing was taken back."""
    units = {row[5] for row in rows if not row[1]}
    streams = {row[5] for row in rows if row[1]} - {None}
    return len(units) == 1 and len(streams) < 2 and not any(map(_ODD, rows))


def _shared_out(rows: list[Plain]) -> list[Part]:
    """The way of `genealogy.shares`, for goods of one stream: 0 stands for all of them."""
    rows.sort(key=_RANK, reverse=True)  # from the goods down, whose rank is the highest there is
    links: dict[int, list[Plain]] = {}
    for row in rows:
        if row[1] in links:
            links[row[1]].append(row)
        else:
            links[row[1]] = [row]
    links[0].sort(key=_NUMBER)  # neither engine promises an order; who gets an odd unit hangs on it
    shares = dict.fromkeys(links, 0)
    shares[0] = WHOLE
    ends: list[Plain] = []
    for child, mine in links.items():
        share, first = shares[child], mine[0]
        if first[2] is None:
            ends.append(first)
        elif len(mine) == 1:
            shares[first[2]] += share
        else:
            _split(share, mine, shares)
    ends.sort(key=lambda row: repr(row[1]))  # as `in_units` has them
    amounts = share_out(sum([row[3] for row in links[0]]), [shares[row[1]] for row in ends])
    return sorted([Part(row[6], amount) for row, amount in zip(ends, amounts, strict=True)])


def _split(share: int, links: list[Plain], shares: dict[int, int]) -> None:
    links.sort(key=_SEQ)
    whole = sum([row[3] for row in links])
    so_far = before = 0
    for row in links:
        so_far += row[3] if whole else 1  # links that give nothing count alike
        now = share * so_far // (whole or len(links))
        shares[row[2]] += now - before
        before = now
