"""Is this lot, or are these items of it, held, and by which hold from where?

Held by H = there is a path up to a root of H that meets no release from H. The walk goes up through
live and doubted links, below no rank lower than the lowest root's; where serials are known on both
sides of a link it goes on only where they meet, elsewhere all of the parent counts.
"""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, column, select, text

from lotroot.database import Statement
from lotroot.genealogy.lots import Walk, above, find_lot
from lotroot.genealogy.walks import above_all
from lotroot.holds.facts import hold, hold_release, hold_root

STARTS = 10_000
"""Lots that one walk starts from: both engines take more values, and each walk may go over the same lots."""

Span = tuple[int, int] | None
"""Serials or positions from and to; None is all of it."""

Part = tuple[int, Span]
"""A lot, by its id, or part of it."""

# The sum with 0 and the order of the join keep SQLite from looking for the least rank among all lots ever
# born instead of among the few roots: 55 ms a check on a plant's year, and growing.
_LOWEST = """
  SELECT MIN(r.rank + 0) AS lowest FROM hold_root h CROSS JOIN lot r WHERE h.live = 1 AND r.number = h.lot
"""
_floor = Statement(_LOWEST)
# Most lots are free, and this alone says so: lots are walked, no stretches, down to the lowest live root's
# rank. The guard stands on the lot's rank, not on the link: SQLite would build a Bloom filter over all links.
_MEETS = """
WITH RECURSIVE floor(rank) AS ({lowest}), walk(id) AS (
  SELECT lot.id FROM lot WHERE {start}
  UNION
  SELECT e.parent FROM walk CROSS JOIN lot a CROSS JOIN edge e
   WHERE a.id = walk.id AND a.rank > (SELECT rank FROM floor) AND e.child = walk.id AND e.state <= 1
)
SELECT EXISTS (
  SELECT 1 FROM walk CROSS JOIN lot a CROSS JOIN hold_root h
   WHERE a.id = walk.id AND h.lot = a.number AND h.live = 1
) {known}
"""
_meets_root = Statement(
    _MEETS.format(lowest=_LOWEST, start="lot.number = :number", known="FROM lot WHERE lot.number = :number")
)
_any_meets_root = (
    text(_MEETS.format(lowest=_LOWEST, start="lot.id IN :ids", known=""))
    .bindparams(bindparam("ids", expanding=True))
    .columns(column("met"))
)
_roots_on = (
    select(hold_root, hold.c.kind, hold.c.reason, hold.c.at)
    .join(hold, hold.c.id == hold_root.c.hold)
    .where(hold_root.c.lot.in_(bindparam("lots", expanding=True)))
    .order_by(hold_root.c.hold)
)
_releases_on = select(hold_release).where(hold_release.c.lot.in_(bindparam("lots", expanding=True)))


class Held(NamedTuple):
    """A hold that reaches a lot, and the root it comes from with the serials that are its root, 0 for all."""

    hold: int
    kind: str
    reason: str
    root: str
    at: int
    first: int = 0
    last: int = 0


class _Ground(NamedTuple):
    """What the walk stands on: the sub-graph, and the roots and releases in it by lot number."""

    walk: Walk
    links: dict[int, list[Row[Any]]]
    roots: dict[str, list[Row[Any]]]
    releases: dict[str, list[Row[Any]]]


def held_by(connection: Connection, number: str, first: int = 0, last: int = 0) -> list[Held]:
    """The holds that reach a lot, or its items first to last; empty when it is free. Raises Unknown."""
    may_be_held = _meets_root.value(connection, {"number": number})
    if may_be_held is not None and not may_be_held:
        return []
    floor = _floor.value(connection, {})
    if floor is None:
        return []
    start = find_lot(connection, number)
    ground = _ground(connection, above(connection, start.id, doubted=True, floor=floor))
    span = (first, last) if first else None
    roots = [row for rows in ground.roots.values() for row in rows]
    named = {(row.hold, row.lot): row for row in roots}
    found = []
    for hold_id in sorted({row.hold for row in roots}):
        _, met = _reached(ground, [(start.id, span)], hold_id)
        if met:
            root = named[hold_id, min(ground.walk.lots[lot_id].number for lot_id, _ in met)]
            which = (root.first, root.last)
            found.append(Held(root.hold, root.kind, root.reason, root.lot, root.at, *which))
    return found


def held_among(connection: Connection, parts: Iterable[Part]) -> set[Part]:
    """Those of many lots (by id), or parts of them, that any hold reaches: one walk for all of them."""
    wanted = set(parts)
    floor = _floor.value(connection, {})
    if floor is None or not wanted:
        return set()
    ids = {lot_id for lot_id, _ in wanted}
    if not _may_be_held(connection, ids):
        return set()
    ground = _ground(connection, above_all(connection, ids, doubted=True, floor=floor))
    holds = sorted({root.hold for rows in ground.roots.values() for root in rows})
    found: set[Part] = set()
    for hold_id in holds:
        found |= _reached(ground, wanted - found, hold_id)[0]
    return found


def _may_be_held(connection: Connection, ids: Iterable[int]) -> bool:
    """Whether any root that is not released whole stands among some lots or above them."""
    some = sorted(ids)
    return any(
        connection.scalar(_any_meets_root, {"ids": some[start : start + STARTS]})
        for start in range(0, len(some), STARTS)
    )


def lots_held_by(connection: Connection, hold_id: int, ids: Iterable[int]) -> set[int]:
    """Those of some lots (by id) that one hold reaches, whole or in part: one walk for all of them."""
    wanted: set[Part] = {(lot_id, None) for lot_id in ids}
    floor = _floor.value(connection, {})
    if floor is None or not wanted:
        return set()
    walk = above_all(connection, [lot_id for lot_id, _ in wanted], doubted=True, floor=floor)
    return {lot_id for lot_id, _ in _reached(_ground(connection, walk), wanted, hold_id)[0]}


def any_held(
    connection: Connection, spans: Iterable[tuple[str, int, int]]
) -> list[tuple[str, int, int, Held]]:
    """The first hold on each of several lots or item ranges that are held."""
    found = []
    for number, first, last in spans:
        reached = held_by(connection, number, first, last)
        if reached:
            found.append((number, first, last, reached[0]))
    return found


def _ground(connection: Connection, walk: Walk) -> _Ground:
    numbers = [row.number for row in walk.lots.values()]
    links: dict[int, list[Row[Any]]] = {}
    for edge in walk.edges:
        links.setdefault(edge.child, []).append(edge)
    roots: dict[str, list[Row[Any]]] = {}
    releases: dict[str, list[Row[Any]]] = {}
    for start in range(0, len(numbers), 500):
        query = {"lots": numbers[start : start + 500]}
        for row in connection.execute(_roots_on, query):
            roots.setdefault(row.lot, []).append(row)
        for row in connection.execute(_releases_on, query):
            releases.setdefault(row.lot, []).append(row)
    return _Ground(walk, links, roots, releases)


def _reached(ground: _Ground, starts: Iterable[Part], hold_id: int) -> tuple[set[Part], list[Part]]:
    """Those of some parts from which a path leads to a root of the hold without meeting a release.

    Beside them the roots that are met so.
    """
    wanted = set(starts)
    todo, seen = list(wanted), set(wanted)
    made_of: dict[Part, list[Part]] = {}
    roots: list[Part] = []
    while todo:
        place = todo.pop()
        lot_id, part = place
        row = ground.walk.lots[lot_id]
        if _covered(ground.releases.get(row.number, []), hold_id, part):
            continue
        if any(
            _meets(part, _span(root)) for root in ground.roots.get(row.number, []) if root.hold == hold_id
        ):
            roots.append(place)
            continue
        for parent in _parents(ground, row, part):
            made_of.setdefault(parent, []).append(place)
            if parent not in seen:
                seen.add(parent)
                todo.append(parent)
    return wanted & _spread(roots, made_of), roots


def _spread(roots: list[Part], made_of: dict[Part, list[Part]]) -> set[Part]:
    found: set[Part] = set()
    todo = list(roots)
    while todo:
        place = todo.pop()
        if place not in found:
            found.add(place)
            todo.extend(made_of.get(place, ()))
    return found


def _parents(ground: _Ground, row: Row[Any], part: Span) -> Iterable[Part]:
    for link in ground.links.get(row.id, []):
        made = _stretch(link.child_from, link.child_to) if row.axis == "serial" else None
        if _meets(part, made):
            yield link.parent, _stretch(link.parent_from, link.parent_to)


def _covered(releases: Sequence[Row[Any]], hold_id: int, part: Span) -> bool:
    """A release cuts where it covers all of the part that is asked about."""
    for row in releases:
        span = _span(row)
        inside = part is not None and span is not None and span[0] <= part[0] and part[1] <= span[1]
        if row.hold == hold_id and (span is None or inside):
            return True
    return False


def _meets(one: Span, other: Span) -> bool:
    return one is None or other is None or (one[0] <= other[1] and other[0] <= one[1])


def _span(row: Row[Any]) -> Span:
    return (row.first, row.last) if row.last else None


def _stretch(start: int | None, end: int | None) -> Span:
    return None if start is None or end is None else (start, end)
