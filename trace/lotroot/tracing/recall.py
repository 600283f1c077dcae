"""If this lot is bad: who has how much of it, and where is the rest?

The shortest of the answers on the way down: one statement, no kinds, bases or holds, and a lot's part as
reckoned. Where items are known to be of different parents, or lots carry several streams or are told in
different units, the whole lineage (`downward`) is asked instead; both give the same amounts to the base
unit a piece.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.database import Statement
from lotroot.genealogy.shares import WHOLE
from lotroot.tracing.asking import asked
from lotroot.tracing.downward import down
from lotroot.tracing.sources import Plain

_WALK = """
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.number = :number
  UNION
  SELECT e.child FROM walk CROSS JOIN edge e WHERE e.parent = walk.id AND e.state = 0
)
"""
# Each lot; each link; what stands of a lot and where; what has left with whom; what of it came back.
_ROWS = """
SELECT 0 AS sort, l.id, l.amount, l.rank, l.number, n.unit, l.items, l.voided
  FROM walk CROSS JOIN lot l LEFT JOIN lot_words n ON n.id = l.words WHERE l.id = walk.id
UNION ALL
SELECT 1, e.child, e.given, e.parent, '', w.stream, CASE WHEN e.child_from IS NULL THEN 0 ELSE 1 END, 0
  FROM walk CROSS JOIN edge e LEFT JOIN link_words w ON w.id = e.words
 WHERE e.child = walk.id AND e.state = 0
UNION ALL
SELECT 2, l.id, s.amount, 0, COALESCE(r.station, NULLIF(c.spot, ''), s.spot), '', 0, 0
  FROM walk CROSS JOIN lot l CROSS JOIN standing s
  LEFT JOIN carrier c ON c.number = s.spot
  LEFT JOIN shipment d ON d.number = COALESCE(c.spot, s.spot)
  LEFT JOIN run r ON r.number = s.spot
 WHERE l.id = walk.id AND s.lot = l.number AND s.amount > 0 AND (d.state IS NULL OR d.state <> 'left')
UNION ALL
SELECT 3, l.id, g.amount, 0, d.customer, '', 0, 0
  FROM walk CROSS JOIN lot l CROSS JOIN load g CROSS JOIN shipment d
 WHERE l.id = walk.id AND g.lot = l.number AND g.off IS NULL AND d.number = g.shipment AND d.state = 'left'
UNION ALL
SELECT 3, l.id, -b.amount, 0, d.customer, '', 0, 0
  FROM walk CROSS JOIN lot l CROSS JOIN returned b CROSS JOIN shipment d
 WHERE l.id = walk.id AND b.lot = l.number AND d.number = b.shipment AND d.state = 'left'
"""
_LOT, _LINK, _HERE, _LEFT = range(4)
_rows = Statement(_WALK + _ROWS)


class Recall(NamedTuple):
    """What came of a lot, in its unit: by customer that has it, by place as it stands, and in which lots.

    `unit` is empty where lots are told in several units: the sums then say who and where, not how much.
    """

    customers: Mapping[str, int]
    places: Mapping[str, int]
    lots: Sequence[str]
    unit: str


def recall(connection: Connection, number: str) -> Recall:
    """Where all that was made of a lot is, and how much of the lot is in it. Raises Unknown."""
    by_sort: tuple[list[Plain], ...] = ([], [], [], [])
    for row in _rows.rows(connection, {"number": number}):
        by_sort[row[0]].append(row)
    lots = {row[1]: row for row in by_sort[_LOT]}
    if not _plain(by_sort[_LINK], lots):
        return _from_lineage(connection, number)
    shares = _shares(by_sort[_LINK], lots)
    places = _sums(by_sort[_HERE], shares)
    customers = _still_there(by_sort[_LEFT], _sums(by_sort[_LEFT], shares))
    made = sorted([row[4] for row in by_sort[_LOT] if row[4] != number])
    return Recall(customers, places, made, by_sort[_LOT][0][5])


def _sums(rows: Sequence[Plain], shares: Mapping[int, int]) -> dict[str, int]:
    """The lowest lot's part of all amounts, by place or customer."""
    sums: dict[str, int] = {}
    for _, lot, amount, _, where, *_ in rows:
        sums[where] = sums.get(where, 0) + amount * shares[lot]
    return {where: (2 * part + WHOLE) // (2 * WHOLE) for where, part in sums.items()}


def _still_there(rows: Sequence[Plain], parts: Mapping[str, int]) -> dict[str, int]:
    """Without the customers that sent all back; who has less than half a unit is called like the others."""
    left: dict[str, int] = {}
    for _, _, amount, _, customer, *_ in rows:
        left[customer] = left.get(customer, 0) + amount
    return {customer: part for customer, part in parts.items() if left[customer] > 0}


def _plain(links: Sequence[Plain], lots: Mapping[int, Plain]) -> bool:
    """Whether links speak of all of their child, in one stream and one unit, and nothing was taken back."""
    streams = {row[5] for row in links}
    units = {row[5] for row in lots.values()}
    in_part = [row[1] for row in links if row[6]]
    return (
        len(streams) < 2
        and len(units) == 1
        and not any(row[7] for row in lots.values())
        and not any(lots[child][6] for child in in_part)
    )


def _shares(links: Sequence[Plain], lots: Mapping[int, Plain]) -> dict[int, int]:
    """The part of each lot that came from the lowest, in `WHOLE`ths, as `genealogy.shares.reach` has it."""
    by_child: dict[int, list[Plain]] = {}
    for row in links:
        by_child.setdefault(row[1], []).append(row)
    ordered = sorted([(row[3], row[1]) for row in lots.values()])
    shares = {ordered[0][1]: WHOLE}
    for _, child in ordered[1:]:
        mine = by_child[child]
        whole = sum([row[2] for row in mine])
        if whole:
            shares[child] = sum([shares[row[3]] * row[2] for row in mine if row[3] in shares]) // whole
        else:  # links that give nothing count alike
            shares[child] = sum([shares.get(row[3], 0) for row in mine]) // len(mine)
    return shares


def _from_lineage(connection: Connection, number: str) -> Recall:
    lineage = down(connection, asked(connection, number))
    customers: dict[str, int] = {}
    for sent in lineage.shipments:
        if sent.amount > sent.returned:
            out = max(sum(sent.part.values()) - sum(sent.back.values()), 0)
            customers[sent.customer] = customers.get(sent.customer, 0) + out
    places: dict[str, int] = {}
    for lying in lineage.on_hand:
        places[lying.place] = places.get(lying.place, 0) + sum(lying.part.values())
    units = {one.lot.unit for one in lineage.lots}
    unit = (
        units.pop()
        if len(units) == 1 and not any("/" in key for one in lineage.lots for key in one.part)
        else ""
    )
    return Recall(customers, places, sorted(one.lot.number for one in lineage.lots if one.depth), unit)
