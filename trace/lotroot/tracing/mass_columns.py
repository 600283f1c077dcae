"""In which column does each node of a picture of flows stand, and in which order within it?

A node stands one right of the last it is fed by. A band that passes a column has a lane there, a slot like a
node's. Within a column slots stand near what they hang on (barycentre); whole numbers throughout, so that the
same nodes and arcs give the same order.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

SWEEPS = 7
"""Passes over the columns, forth and back, the last one forth (ours: more changed nothing)."""
ROW = 1_000_000
"""The height that the order of every column is told in."""


class Knot(NamedTuple):
    """A node: the height its words take, and its rank among those that hang on the same node.

    One with a rank above 0 that hangs on one node alone stands below what else hangs on that.
    """

    key: str
    words: int
    rank: int = 0


class Arc(NamedTuple):
    """What goes from one node to another; `amount` above zero."""

    start: str
    end: str
    amount: int


class Slot(NamedTuple):
    """What takes room in a column: a node, or the lane of an arc."""

    key: str
    words: int
    amount: int
    rank: int


class Joint(NamedTuple):
    """A piece of an arc (its place in the list) from a slot to one in the next column."""

    start: str
    end: str
    arc: int
    amount: int


class Net(NamedTuple):
    """Slots by column, each column in its order, and the joints between neighbouring columns."""

    columns: list[list[Slot]]
    joints: list[Joint]


_Beside = dict[str, list[tuple[str, int]]]
"""The slots beside each slot on one side, with what goes between."""


def net_of(knots: Sequence[Knot], arcs: Sequence[Arc]) -> Net:
    """Columns and lanes in order. Arcs lead between known nodes and make no circle."""
    net = _lanes(knots, arcs)
    beside: tuple[_Beside, _Beside] = ({}, {})
    for start, end, _, amount in net.joints:
        beside[0].setdefault(end, []).append((start, amount))
        beside[1].setdefault(start, []).append((end, amount))
    rows: dict[str, int] = {}
    for column in net.columns:
        _number(column, rows)
    for sweep in range(SWEEPS):
        forth = sweep % 2 == 0
        for column in net.columns if forth else reversed(net.columns):
            _arrange(column, rows, beside if forth else beside[::-1])
    return net


def columns_of(keys: Iterable[str], arcs: Sequence[Arc]) -> dict[str, int]:
    """A node's column: one right of its last parent; what has none stands just left of its first child."""
    depth = dict.fromkeys(keys, 0)
    for _ in depth:
        before = dict(depth)
        for arc in arcs:
            depth[arc.end] = max(depth[arc.end], depth[arc.start] + 1)
        if depth == before:
            break
    ends = {arc.end for arc in arcs}
    for key in depth:
        children = [depth[arc.end] for arc in arcs if arc.start == key]
        if key not in ends and children:
            depth[key] = min(children) - 1
    return depth


def _lanes(knots: Sequence[Knot], arcs: Sequence[Arc]) -> Net:
    depth = columns_of([knot.key for knot in knots], arcs)
    goes, comes = Counter[str](), Counter[str]()
    for arc in arcs:
        goes[arc.start] += arc.amount
        comes[arc.end] += arc.amount
    columns: list[list[Slot]] = [[] for _ in range(max(depth.values(), default=-1) + 1)]
    for knot in knots:
        through = max(goes[knot.key], comes[knot.key])
        columns[depth[knot.key]].append(Slot(knot.key, knot.words, through, knot.rank))
    joints = []
    for place, arc in enumerate(arcs):
        passed = range(depth[arc.start] + 1, depth[arc.end])
        lanes = [f"lane {place} {column}" for column in passed]
        for column, key in zip(passed, lanes, strict=True):
            columns[column].append(Slot(key, 0, arc.amount, 0))
        way = [arc.start, *lanes, arc.end]
        joints += [Joint(*ends, place, arc.amount) for ends in pairwise(way)]
    return Net(columns, joints)


def _arrange(column: list[Slot], rows: dict[str, int], beside: Sequence[_Beside]) -> None:
    """Sort one column by where its neighbours on the first side stand, and note where its slots are then."""
    means = {slot.key: _mean(beside[0].get(slot.key, ()), rows, rows[slot.key]) for slot in column}
    partners = _partners(means, beside)
    means |= {key: means[partner] for key, partner in partners.items()}
    means |= _below(means, {slot.key: slot.rank for slot in column}, beside)

    def place(slot: Slot) -> tuple[int, int, int, bool, int]:
        partner = partners.get(slot.key, slot.key)
        return means[slot.key], slot.rank, rows[partner], partner != slot.key, rows[slot.key]

    column.sort(key=place)
    _number(column, rows)


def _partners(means: Mapping[str, int], beside: Sequence[_Beside]) -> dict[str, str]:
    """For what has no neighbour on the first side: what it meets on the other side, to stand by that."""
    others, back = beside
    found = {}
    for key in means:
        met = [] if key in others else [one for near, _ in back.get(key, ()) for one in others[near]]
        some = [(amount, one) for one, amount in met if one in means and one in others]
        if some:
            found[key] = max(some)[1]
    return found


def _below(means: Mapping[str, int], ranks: Mapping[str, int], beside: Sequence[_Beside]) -> dict[str, int]:
    """Where what hangs on one node alone goes: not above what else of the column hangs on that, by rank."""
    others, back = beside
    found = {}
    for key, rank in ranks.items():
        if rank and len(others.get(key, ())) == 1:
            siblings = [one for one, _ in back[others[key][0][0]] if one in means and ranks[one] < rank]
            found[key] = max(means[one] for one in (key, *siblings))
    return found


def _number(column: Sequence[Slot], rows: dict[str, int]) -> None:
    for row, slot in enumerate(column):
        rows[slot.key] = (2 * row + 1) * ROW // (2 * len(column))


def _mean(others: Sequence[tuple[str, int]], rows: Mapping[str, int], own: int) -> int:
    weight = sum(amount for _, amount in others)
    return sum(rows[key] * amount for key, amount in others) // weight if weight else own
