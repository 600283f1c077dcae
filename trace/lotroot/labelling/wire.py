"""Which welds does a roll of wire hold, and of which coils is anything made, as far as the record tells?

A weld is where one load gives way to the next within the roll, or was taken over from a parent within the
stretch that went into it. Worked out from live links alone (RULES 6 to 8); where the border between two
loads is uncertain, or nobody knows which end went in, a weld that may lie on this roll is told as such.
Welds that came with a coil from outside are not on record and not counted.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.balance.stretches import Stretch, carried, from_other_end, meet
from lotroot.genealogy.lots import links_of, lots_by_id
from lotroot.identity import Family
from lotroot.receiving.facts import NOT_ON_TAG
from lotroot.receiving.receipts import details_of, source_of

WIRE = (Family.COIL, Family.STRIPPER)
"""What a strand is drawn from or wound off."""

_FOLLOWED = ("in_turn", "together", "side_by_side", "as_is")
"""Feeds behind which the parents of a stretch or an item are few; behind mixing everything counts."""

MOST_COILS = 16
"""More than the payoffs of a mesh welder: what is made of more coils than this names none of them (ours)."""


class Weld(NamedTuple):
    """Where a weld is expected, counted from where the making began, and where it may lie at most.

    `sure` is whether one is expected on this roll at all.
    """

    at: int
    span: Stretch
    sure: bool


class Welds(NamedTuple):
    """How many welds a roll is expected to hold, and how many more it may hold."""

    expected: int
    possible: int


class Coil(NamedTuple):
    """A lot from outside that something was made of; `sure` unless only the uncertain border names it."""

    number: str
    heats: tuple[str, ...]
    supplier_number: str
    sure: bool


def welds_of(connection: Connection, lot: Row[Any]) -> Welds | None:
    """The welds of a roll of wire made here; None for anything else, or where strands run side by side."""
    if lot.source or lot.number[0] != Family.STRIPPER:
        return None
    found = _welds(connection, lot)
    if found is None:
        return None
    sure = sum(one.sure for one in found)
    return Welds(sure, len(found) - sure)


def coils_of(connection: Connection, lot: Row[Any], first: int = 0, last: int = 0) -> tuple[Coil, ...]:
    """The lots from outside that a lot, or its items first to last, is made of, in the order of its making.

    Empty behind mixing, and where they are more than a label could name.
    """
    found: dict[str, Coil] = {}
    level, serials, sure = [lot], (first, last), {lot.id: True}
    while level:
        links = [(one, link) for one in level for link in _within(connection, one, serials)]
        if any(link.feed not in _FOLLOWED for _, link in links):
            return ()
        parents = lots_by_id(connection, (link.parent for _, link in links))
        next_level: dict[int, Row[Any]] = {}
        for child, link in links:
            parent = parents[link.parent]
            known = sure[child.id] and link.given > 0
            sure[parent.id] = known or sure.get(parent.id, False)
            if parent.source:
                found[parent.number] = _coil(connection, parent, sure[parent.id], found)
            else:
                next_level[parent.id] = parent
        level, serials = list(next_level.values()), (0, 0)
        if len(found) + len(level) > MOST_COILS:
            return ()
    return tuple(found.values())


def _coil(connection: Connection, parent: Row[Any], sure: bool, known: dict[str, Coil]) -> Coil:
    if parent.number in known:
        return known[parent.number]._replace(sure=sure or known[parent.number].sure)
    source = source_of(connection, parent.number)
    if source is None:
        return Coil(parent.number, (), "", sure)
    heats = tuple(heat for heat in details_of(source).heats if heat != NOT_ON_TAG)
    return Coil(parent.number, heats, source.supplier_number, sure)


def _within(connection: Connection, lot: Row[Any], serials: tuple[int, int]) -> Iterator[Row[Any]]:
    """The links of a lot to parents it can be of; of items, those that touch the serials asked for."""
    for link in links_of(connection, lot.id):
        known = lot.axis == "serial" and link.child_from is not None and link.child_to is not None
        if serials[0] and known and not (link.child_from <= serials[1] and serials[0] <= link.child_to):
            continue
        if link.given > 0 or link.most:
            yield link


def _welds(connection: Connection, lot: Row[Any]) -> list[Weld] | None:
    """The welds of a roll in the order of its making; None where it is not one strand."""
    links = [link for link in links_of(connection, lot.id) if link.child_from is not None]
    parents = lots_by_id(connection, (link.parent for link in links))
    strand = [link for link in links if parents[link.parent].number[0] in WIRE]
    main = sorted((link for link in strand if link.given > 0), key=lambda one: one.child_from)
    if not main or any(after.child_from < before.child_to for before, after in pairwise(main)):
        return None
    edges = [link for link in strand if link.given == 0]
    found = [*_borders(main, edges), *_outside(main, edges)]
    for link in main:
        found += _taken_over(connection, parents[link.parent], link)
    return sorted(found)


def _borders(main: Sequence[Row[Any]], edges: Sequence[Row[Any]]) -> Iterator[Weld]:
    """Where one load gives way to the next; how far the border may lie to either side, its edges say."""
    for before, after in pairwise(main):
        if before.load == after.load:
            continue
        at = after.child_from
        early = [one.child_from for one in edges if one.load == after.load and one.child_to == at]
        late = [one.child_to for one in edges if one.load == before.load and one.child_from == at]
        yield Weld(at, Stretch(min([at, *early]), max([at, *late])), True)


def _outside(main: Sequence[Row[Any]], edges: Iterable[Row[Any]]) -> Iterator[Weld]:
    """Borders expected beside this roll that may lie on it after all: once for each load beyond."""
    here = {link.load for link in main}
    beyond = {edge.load: edge for edge in edges if edge.load not in here}
    for edge in beyond.values():
        yield Weld(edge.child_from, Stretch(edge.child_from, edge.child_to), False)


def _taken_over(connection: Connection, parent: Row[Any], link: Row[Any]) -> Iterator[Weld]:
    """The welds of a parent within the stretch that went into this roll, where they lie on it."""
    if parent.source or link.parent_from is None or link.parent_to is None:
        return
    taken = Stretch(link.parent_from, link.parent_to)
    made = Stretch(link.child_from, link.child_to)
    ends = {one.child_end for one in links_of(connection, parent.id) if one.given > 0}
    for weld in _welds(connection, parent) or ():
        ways = _counted_from(link.end, ends, weld, parent.amount)
        inside = [way for way in ways if way.sure and meet(Stretch(way.at, way.at + 1), taken)]
        near = [way for way in ways if meet(Stretch(way.span.start, way.span.stop + 1), taken)]
        if len(inside) == len(ways):
            yield Weld(carried(Stretch(inside[0].at, inside[0].at + 1), taken, made).start, made, True)
        elif inside or near:
            yield Weld(made.start, made, False)


def _counted_from(end: str, ends: set[str], weld: Weld, amount: int) -> list[Weld]:
    """A weld's place as the link counts, from `end`: turned where the roll was made from the other one.

    An end nobody knows is tried as both.
    """
    turned = from_other_end(Stretch(weld.at, weld.at), amount)
    other = Weld(turned.start, from_other_end(weld.span, amount), weld.sure)
    if end == "unknown" or len(ends) != 1 or "unknown" in ends:
        return [weld, other]
    return [weld] if end in ends else [other]
