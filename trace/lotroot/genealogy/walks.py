"""Which lots stand above or below several lots at once?

One statement walks from up to 500 lots, however large what it finds; `lots.above` and `lots.below` walk
from one.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import BindParameter, Connection, Row, TextualSelect, bindparam, select, text

from lotroot.genealogy.lots import Walk, lots_by_id
from lotroot.genealogy.tables import DOUBTED, LIVE, edge, lot

AT_ONCE = 500

# UNION, never UNION ALL: a lot is visited once, however many paths lead to it.
_ABOVE = """
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.id IN :ids
  UNION
  SELECT e.parent FROM walk JOIN edge e ON e.child = walk.id
   WHERE e.state <= :state AND (SELECT rank FROM lot WHERE lot.id = walk.id) > :floor
)
SELECT e.* FROM edge e WHERE e.child IN (SELECT id FROM walk) AND e.state <= :state
"""
# Every live link of each descendant, those to parents elsewhere too: its part needs them all.
_BELOW = """
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.id IN :ids
  UNION
  SELECT e.child FROM walk JOIN edge e ON e.parent = walk.id WHERE e.state <= :state
)
SELECT e.* FROM edge e WHERE e.child IN (SELECT id FROM walk) AND e.state <= :state
"""
_ids: BindParameter[Any] = bindparam("ids", expanding=True)
_above = text(_ABOVE).bindparams(_ids).columns(*edge.c)
_below = text(_BELOW).bindparams(_ids).columns(*edge.c)
_numbered = select(lot).where(lot.c.number.in_(bindparam("numbers", expanding=True)))


def above_all(connection: Connection, ids: Iterable[int], *, doubted: bool = False, floor: int = 0) -> Walk:
    """The ancestors of some lots with the links between them; nothing is followed below rank `floor`."""
    return _walked(connection, _above, ids, {"state": DOUBTED if doubted else LIVE, "floor": floor})


def below_all(connection: Connection, ids: Iterable[int]) -> Walk:
    """Some lots and all their descendants, each with every live link it has to a parent, in link order.

    `lots` holds the parents of those links too, also where they are no descendants.
    """
    return _walked(connection, _below, ids, {"state": LIVE})


def lots_numbered(connection: Connection, numbers: Iterable[str]) -> dict[str, Row[Any]]:
    """Lots by their number, void ones included; numbers of no lot are left out."""
    wanted = sorted(set(numbers))
    found: dict[str, Row[Any]] = {}
    for start in range(0, len(wanted), AT_ONCE):
        for row in connection.execute(_numbered, {"numbers": wanted[start : start + AT_ONCE]}):
            found[row.number] = row
    return found


def _walked(
    connection: Connection, query: TextualSelect, ids: Iterable[int], values: Mapping[str, Any]
) -> Walk:
    wanted = sorted(set(ids))
    edges: dict[tuple[int, int], Row[Any]] = {}
    for start in range(0, len(wanted), AT_ONCE):
        for row in connection.execute(query, {**values, "ids": wanted[start : start + AT_ONCE]}):
            edges[row.child, row.seq] = row
    ends = {row.child for row in edges.values()} | {row.parent for row in edges.values()}
    ordered = [edges[key] for key in sorted(edges)]
    return Walk(lots_by_id(connection, ends | set(wanted)), ordered)
