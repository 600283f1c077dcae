"""A coil is bad between two positions: which outputs hold that stretch, and which need not be recalled?

Followed from lot to lot, lowest rank first, by live and doubted links (RULES 8 and 14). What cannot be
known is wider, never narrower: an unknown end is tried as both, the border between two loads is uncertain
by what could have been of either, and behind mixing, or where order is lost, all of a lot counts.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple, cast

from sqlalchemy import Connection, Row

from lotroot.balance.happenings import End
from lotroot.balance.stretches import Stretch, carried, from_other_end, meet, widened
from lotroot.genealogy.lots import below, links_from
from lotroot.genealogy.tables import DOUBTED
from lotroot.production.runs import judged_by
from lotroot.stock.standing import differences_of
from lotroot.tracing.run_rows import runs_loading, runs_numbered


class Piece(NamedTuple):
    """Part of a lot: `stretch` from an `end` in the lot's unit, or of serials counted from 0 (end serial).

    ALL is all of it.
    """

    end: str
    stretch: Stretch


ALL = Piece("all", Stretch(0, 0))
SERIAL = "serial"


class Lane(NamedTuple):
    """Where across a slit coil it is bad, in mm from the operator side."""

    start: int
    stop: int


class Holding(NamedTuple):
    """A lot that holds the stretch, and which of it: pieces, or ALL. `depth` is the fewest links away."""

    lot: Row[Any]
    pieces: tuple[Piece, ...]
    depth: int
    doubted: bool


class Stretched(NamedTuple):
    """The lots that hold a stretch of the asked one; `plain` lots would be recalled without it."""

    asked: Row[Any]
    piece: Piece
    holding: tuple[Holding, ...]
    plain: int


class _Ground(NamedTuple):
    """What following needs: the lots, their links, how far borders and lengths are uncertain."""

    lots: Mapping[int, Row[Any]]
    links: Mapping[int, Sequence[Row[Any]]]
    differences: Mapping[int, int]
    turned: frozenset[int]
    """Lots that were re-spooled: nobody knows any more which end a link means."""


def stretched(connection: Connection, lot: Row[Any], piece: Piece, lane: Lane | None = None) -> Stretched:
    """The lots that hold a stretch of a lot; `lane` narrows it across the width of a slit coil."""
    ground = _ground(connection, lot)
    pieces: dict[int, list[Piece]] = {lot.id: [piece]}
    depth, doubted = {lot.id: 0}, {lot.id: False}
    for parent in sorted(ground.lots, key=lambda one: ground.lots[one].rank):
        for link in ground.links.get(parent, ()) if parent in pieces else ():
            if lane is not None and parent == lot.id and not _in_lane(link, lane):
                continue
            found = list(_carried(ground, link, pieces[parent]))
            if found:
                known = pieces.setdefault(link.child, [])
                known[:] = _merged([*known, *found])
                depth[link.child] = min(depth.get(link.child, depth[parent] + 1), depth[parent] + 1)
                unsure = doubted[parent] or link.state == DOUBTED
                doubted[link.child] = unsure and doubted.get(link.child, True)
    holding = [
        Holding(ground.lots[one], tuple(some), depth[one], doubted[one])
        for one, some in pieces.items()
        if one != lot.id
    ]
    ordered = sorted(holding, key=lambda one: (one.depth, one.lot.number))
    return Stretched(lot, piece, tuple(ordered), len(ground.lots) - 1)


def farthest(connection: Connection, lot: Row[Any]) -> int:
    """How far positions on a lot go: to its amount, or past its label where more was taken (RULES 8)."""
    taken = (link.parent_to or 0 for link in links_from(connection, lot.id, doubted=True))
    return int(max((lot.amount, *taken)))


def _ground(connection: Connection, lot: Row[Any]) -> _Ground:
    walk = below(connection, lot.id, doubted=True)
    lots = {key: row for key, row in walk.lots.items() if not row.voided}
    links: dict[int, list[Row[Any]]] = {}
    for edge in walk.edges:
        if edge.child in lots and edge.parent in lots:
            links.setdefault(edge.parent, []).append(edge)
    parents = {key: lots[key].number for key in links}
    missing = differences_of(connection, parents.values())
    differences = {key: abs(missing.get(number, 0)) for key, number in parents.items()}
    return _Ground(lots, links, differences, _turned(connection, parents))


def _turned(connection: Connection, lots: Mapping[int, str]) -> frozenset[int]:
    """The lots that went through a run which takes them in and gives them back in another order."""
    runs = runs_numbered(connection, runs_loading(connection, lots.values()))
    worked = {
        load.lot
        for one in runs
        if not one.outputs and judged_by(connection, one.row)[1].order != "kept"
        for load in one.inputs
    }
    return frozenset(key for key, number in lots.items() if number in worked)


def _in_lane(link: Row[Any], lane: Lane) -> bool:
    return not link.lane_to or (link.lane_from < lane.stop and lane.start < link.lane_to)


def _carried(ground: _Ground, link: Row[Any], pieces: Iterable[Piece]) -> Iterator[Piece]:
    """The pieces of a link's child that came of some pieces of its parent."""
    parent, child = ground.lots[link.parent], ground.lots[link.child]
    for piece in pieces:
        if piece == ALL or link.parent_from is None or link.parent_to is None:
            yield _made(link, child)
        elif parent.axis == SERIAL:
            if _meets_serials(link, parent, piece.stretch):
                yield _made(link, child)
        else:
            for part in _from_end_of(ground, link, piece):
                yield from _along(ground, link, child, part)


def _made(link: Row[Any], child: Row[Any]) -> Piece:
    """All that a link made of its child."""
    if link.feed == "mixed" or link.child_from is None or link.child_to is None:
        return ALL
    if child.axis == SERIAL:
        whole = not 1 <= link.child_from <= link.child_to <= child.items
        return ALL if whole else Piece(SERIAL, Stretch(link.child_from - 1, link.child_to))
    return (
        ALL if link.child_end == "unknown" else Piece(link.child_end, Stretch(link.child_from, link.child_to))
    )


def _meets_serials(link: Row[Any], parent: Row[Any], stretch: Stretch) -> bool:
    named = 1 <= link.parent_from <= link.parent_to <= parent.items
    return not named or meet(stretch, Stretch(link.parent_from - 1, link.parent_to)) is not None


def _from_end_of(ground: _Ground, link: Row[Any], piece: Piece) -> Iterator[Stretch]:
    """A piece counted from the end a link was taken from; both ways where one of the ends is unknown."""
    amount, difference = ground.lots[link.parent].amount, ground.differences[link.parent]
    unknown = "unknown" in (piece.end, link.end) or link.parent in ground.turned
    if unknown or piece.end == link.end:
        yield piece.stretch
    if unknown or piece.end != link.end:
        yield from_other_end(piece.stretch, amount, difference)


def _along(ground: _Ground, link: Row[Any], child: Row[Any], part: Stretch) -> Iterator[Piece]:
    """Where a stretch of the parent lies in the child, give or take how far the border is uncertain."""
    source = Stretch(link.parent_from, link.parent_to)
    near = widened(part, _uncertain(ground, link))
    if meet(near, source) is None:
        return
    made = _made(link, child)
    if made == ALL:
        yield ALL
        return
    inside = carried(near, source, made.stretch)
    yield Piece(made.end, inside if inside.start < inside.stop else made.stretch)


def _uncertain(ground: _Ground, link: Row[Any]) -> int:
    """How far positions on a load may be off: the widest stretch that could be of it or of its neighbour."""
    could = [
        each.parent_to - each.parent_from
        for each in ground.links[link.parent]
        if (ground.lots[each.child].run, each.load) == (ground.lots[link.child].run, link.load)
        and not each.given
        and each.parent_from is not None
        and each.parent_to is not None
    ]
    return max(could, default=0)


def _merged(pieces: Iterable[Piece]) -> list[Piece]:
    """The same pieces, those of one end that touch made one."""
    some = sorted(set(pieces))
    if ALL in some:
        return [ALL]
    found: list[Piece] = []
    for piece in some:
        last = found[-1] if found else None
        if last is not None and last.end == piece.end and piece.stretch.start <= last.stretch.stop:
            stop = max(last.stretch.stop, piece.stretch.stop)
            found[-1] = Piece(last.end, Stretch(last.stretch.start, stop))
        else:
            found.append(piece)
    return found


def as_end(text: str) -> End:
    """An end as stored; anything else is unknown."""
    return cast(End, text) if text in ("outer", "inner") else "unknown"
