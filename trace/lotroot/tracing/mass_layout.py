"""Where does each node of a picture of flows stand, and where do its bands run?

Pure arithmetic in whole hundredths of a px: every node has a bar as high as what goes through it, words
above the bar, and bands that meet it without a gap. A band that passes a column has a lane of its own there,
so that neither nodes, words nor lanes of a column touch. The same nodes and arcs give the same places.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from lotroot.tracing.mass_columns import SWEEPS, Arc, Knot, Net, Slot, net_of


class Space(NamedTuple):
    """How high the bars of the fullest column are together, and what stays free between two of them."""

    full: int
    free: int


class Spot(NamedTuple):
    """A node's column, the top of its words, the top of its bar and the height of the bar."""

    column: int
    top: int
    bar: int
    height: int

    @property
    def bottom(self) -> int:
        """Where the bar ends."""
        return self.bar + self.height


class Span(NamedTuple):
    """A band at one side of a column: its upper and its lower edge."""

    top: int
    bottom: int


class Laid(NamedTuple):
    """All places: columns and height of the picture; for each arc its spans.

    The spans of an arc are where it leaves its start, both sides of every lane, and where it meets its end:
    the pieces between columns lie between the first and the second, the third and the fourth, and so on.
    """

    columns: int
    height: int
    spots: dict[str, Spot]
    spans: tuple[tuple[Span, ...], ...]


Scale = Callable[[int], int]
"""From an amount to a height."""
Ports = dict[tuple[str, int, int], Span]
"""By slot, arc and side (0 it leaves, 1 it comes in): the band's edges from the top of the bar."""


def laid(knots: Sequence[Knot], arcs: Sequence[Arc], space: Space) -> Laid:
    """Places for nodes and bands. Arcs lead between known nodes and make no circle."""
    net = net_of(knots, arcs)
    most = max((sum(slot.amount for slot in column) for column in net.columns), default=0) or 1

    def scaled(amount: int) -> int:
        return amount * space.full // most

    ports = _ports(net, scaled)
    spots = _spots(net, ports, space, scaled)
    height = max((spot.bottom for spot in spots.values()), default=0)
    spans: list[list[Span]] = [[] for _ in arcs]
    for start, end, arc, _ in net.joints:
        for key, side in ((start, 0), (end, 1)):
            port = ports[key, arc, side]
            spans[arc].append(Span(spots[key].bar + port.top, spots[key].bar + port.bottom))
    nodes = {knot.key: spots[knot.key] for knot in knots}
    return Laid(len(net.columns), height, nodes, tuple(tuple(one) for one in spans))


def _ports(net: Net, scaled: Scale) -> Ports:
    """Bands meet a bar in the order of the slots they come from or go to, one below the other."""
    rows = {slot.key: row for column in net.columns for row, slot in enumerate(column)}
    sides: dict[tuple[str, int], list[tuple[int, int, int]]] = {}
    for start, end, arc, amount in net.joints:
        sides.setdefault((start, 0), []).append((rows[end], arc, amount))
        sides.setdefault((end, 1), []).append((rows[start], arc, amount))
    ports: Ports = {}
    for (key, side), some in sides.items():
        before = 0
        for _, arc, amount in sorted(some):
            ports[key, arc, side] = Span(scaled(before), scaled(before + amount))
            before += amount
    return ports


def _spots(net: Net, ports: Ports, space: Space, scaled: Scale) -> dict[str, Spot]:
    """Tops for all slots: bands run as level as the free room between slots allows."""
    bars: dict[str, int] = {}
    for column in net.columns:
        _stack(column, {}, bars, (space, scaled))
    for sweep in range(SWEEPS):
        forth = sweep % 2 == 0
        for column in net.columns if forth else reversed(net.columns):
            wanted = _levels(column, net, ports, (bars, not forth))
            _stack(column, wanted | _levels(column, net, ports, (bars, forth)), bars, (space, scaled))
    first = min(
        (bars[slot.key] - slot.words for column in net.columns for slot in column),
        default=0,
    )
    return {
        slot.key: Spot(
            number, bars[slot.key] - slot.words - first, bars[slot.key] - first, scaled(slot.amount)
        )
        for number, column in enumerate(net.columns)
        for slot in column
    }


def _levels(
    column: Sequence[Slot], net: Net, ports: Ports, how: tuple[Mapping[str, int], bool]
) -> dict[str, list[tuple[int, int]]]:
    """The tops at which each band of a column would run level, with its amount; `how`: bars, and whether the
    bands that come in are meant."""
    bars, forth = how
    here = {slot.key for slot in column}
    wanted: dict[str, list[tuple[int, int]]] = {}
    for start, end, arc, amount in net.joints:
        mine, other = (end, start) if forth else (start, end)
        if mine in here:
            level = ports[other, arc, int(not forth)].top - ports[mine, arc, int(forth)].top
            wanted.setdefault(mine, []).append((bars[other] + level, amount))
    return wanted


def _stack(
    column: Sequence[Slot],
    wanted: Mapping[str, Sequence[tuple[int, int]]],
    bars: dict[str, int],
    how: tuple[Space, Scale],
) -> None:
    """Give the bars of a column tops near the wanted ones, in order and apart.

    Slots that would overlap move together, each as far as it weighs little (pool adjacent violators).
    """
    space, scaled = how
    blocks: list[list[int]] = []  # weight, weight times the move, how many slots
    below, offsets = 0, []
    for slot in column:
        offsets.append(below + slot.words)
        below += slot.words + scaled(slot.amount) + space.free
        levels = wanted.get(slot.key) or [(bars.get(slot.key, offsets[-1]), slot.amount)]
        weight = sum(amount for _, amount in levels)
        blocks.append([weight, sum((level - offsets[-1]) * amount for level, amount in levels), 1])
        while len(blocks) > 1 and blocks[-2][1] // blocks[-2][0] >= blocks[-1][1] // blocks[-1][0]:
            last = blocks.pop()
            blocks[-1] = [one + other for one, other in zip(blocks[-1], last, strict=True)]
    moves = [move // weight for weight, move, slots in blocks for _ in range(slots)]
    for slot, offset, move in zip(column, offsets, moves, strict=True):
        bars[slot.key] = offset + move
