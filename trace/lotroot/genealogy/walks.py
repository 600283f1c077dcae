"""Which lots stand above or below several lots at once?

One statement walks from up to 500 lots, however large what it finds; `lots.above` and `lots.below` walk
from one.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import BindParameter, Connection, Row, TextualSelect, bindparam, select, text

from lotroot.genealogy.lots import Walk, lots_by_id
from lotroot.genealogy.tables import DOUBTED, LINKS, LIVE, edge, edge_table, lot

AT_ONCE = 500

# UNION, never UNION ALL: a lot is visited once, however many paths lead to it.
_ABOVE = """
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.id IN :ids
  UNION
  SELECT e.parent FROM walk JOIN edge e ON e.child = walk.id
   WHERE e.state <= :state AND (SELECT rank FROM lot WHERE lot.id = walk.id) > :floor
)
"""
# Every live link of each descendant, those to parents elsewhere too: its part needs them all.
_BELOW = """
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.id IN :ids
  UNION
  SELECT e.child FROM walk JOIN edge e ON e.parent = walk.id WHERE e.state <= :state
)
"""
# What was born before a moment is reached, but not followed; the lots one starts from always are.
_RECENT = """
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.id IN :ids
  UNION
  SELECT e.parent FROM walk JOIN edge e ON e.child = walk.id
   WHERE e.state <= :state
     AND (walk.id IN :ids OR (SELECT born_at FROM lot WHERE lot.id = walk.id) >= :since)
)
"""
_WALKED = " WHERE e.child IN (SELECT id FROM walk) AND e.state <= :state"
_NOT_BEFORE = """
   AND (e.child IN :ids OR (SELECT born_at FROM lot WHERE lot.id = e.child) >= :since)
"""
# An engine walks no further than it is asked for rows.
_FIRST = " SELECT id FROM walk LIMIT :most"
_ids: BindParameter[Any] = bindparam("ids", expanding=True)
# With its columns told, what a row looks like is worked out once and not at every call.
_above = text("".join((_ABOVE, LINKS, _WALKED))).bindparams(_ids).columns(*edge.c)
_below = text("".join((_BELOW, LINKS, _WALKED))).bindparams(_ids).columns(*edge.c)
_recent = text("".join((_RECENT, LINKS, _WALKED, _NOT_BEFORE))).bindparams(_ids).columns(*edge.c)
_first = text("".join((_RECENT, _FIRST))).bindparams(_ids).columns(lot.c.id)
_made = select(edge_table.c.child).where(edge_table.c.child.in_(_ids), edge_table.c.state == LIVE).distinct()
_links = (
    select(edge, lot.c.number.label("parent_number"))
    .join(lot, lot.c.id == edge.c.parent)
    .where(edge.c.child.in_(bindparam("ids", expanding=True)), edge.c.state == LIVE)
    .order_by(edge.c.child, edge.c.seq)
)
_numbered = select(lot).where(lot.c.number.in_(bindparam("numbers", expanding=True)))


def above_all(connection: Connection, ids: Iterable[int], *, doubted: bool = False, floor: int = 0) -> Walk:
    """The ancestors of some lots with the links between them; nothing is followed below rank `floor`.

    The youngest go first: what they lead to, which is most of the others as a rule, is not walked again.
    """
    wanted = sorted(set(ids))
    values = {"state": DOUBTED if doubted else LIVE, "floor": floor}
    edges: dict[tuple[int, int], Row[Any]] = {}
    seen: set[int] = set()
    while wanted:
        some = wanted[-AT_ONCE:]
        for row in connection.execute(_above, {**values, "ids": some}):
            edges[row.child, row.seq] = row
            seen.add(row.parent)
        seen.update(some)
        wanted = [one for one in wanted if one not in seen]
    return _walk_of(connection, edges, seen)


def above_since(connection: Connection, ids: Iterable[int], since: int) -> Walk:
    """The ancestors of some lots by live links; of those born before a moment, not what they were made of."""
    return _walked(connection, _recent, ids, {"state": LIVE, "since": since})


def more_above(connection: Connection, ids: Iterable[int], since: int, most: int) -> bool:
    """Whether `above_since` would find more than `most` lots; no more than these are walked to know."""
    wanted = sorted(set(ids))
    found: set[int] = set()
    for start in range(0, len(wanted), AT_ONCE):
        some = wanted[start : start + AT_ONCE]
        values = {"ids": some, "state": LIVE, "since": since, "most": most + 1}
        found.update(int(row.id) for row in connection.execute(_first, values))
    return len(found) > most


def made_of_something(connection: Connection, ids: Iterable[int]) -> set[int]:
    """Those of some lots that have parents by live links."""
    wanted = sorted(set(ids))
    return {
        int(row.child)
        for start in range(0, len(wanted), AT_ONCE)
        for row in connection.execute(_made, {"ids": wanted[start : start + AT_ONCE]})
    }


def below_all(connection: Connection, ids: Iterable[int]) -> Walk:
    """Some lots and all their descendants, each with every live link it has to a parent, in link order.

    `lots` holds the parents of those links too, also where they are no descendants.
    """
    return _walked(connection, _below, ids, {"state": LIVE})


def links_by_child(connection: Connection, ids: Iterable[int]) -> dict[int, list[Row[Any]]]:
    """The live links of some lots with their parents' numbers, in their order; of a lot without any none."""
    wanted = sorted(set(ids))
    found: dict[int, list[Row[Any]]] = {}
    for start in range(0, len(wanted), AT_ONCE):
        for row in connection.execute(_links, {"ids": wanted[start : start + AT_ONCE]}):
            found.setdefault(row.child, []).append(row)
    return found


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
    return _walk_of(connection, edges, wanted)


def _walk_of(connection: Connection, edges: Mapping[tuple[int, int], Row[Any]], ids: Iterable[int]) -> Walk:
    """Links in their order, and all lots they join, with those one started from."""
    ends = {row.child for row in edges.values()} | {row.parent for row in edges.values()}
    ordered = [edges[key] for key in sorted(edges)]
    return Walk(lots_by_id(connection, ends | set(ids)), ordered)
