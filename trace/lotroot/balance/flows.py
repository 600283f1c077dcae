"""How much can flow from some nodes of a net to another, at most?

Dinic's method: shortest augmenting ways level by level, each level net filled up before the next is
looked for (E. A. Dinic, "Algorithm for solution of a problem of maximum flow in a network with power
estimation", Soviet Mathematics Doklady 11, 1970). Capacities are integers, so the flow is one, exactly.
"""

from collections.abc import Collection, Hashable, Iterable
from typing import Generic, TypeVar

Node = TypeVar("Node", bound=Hashable)


class Network(Generic[Node]):
    """Arcs (from, to, capacity), made once and asked as often as wanted; parallel arcs add up."""

    def __init__(self, arcs: Iterable[tuple[Node, Node, int]]) -> None:
        self._places: dict[Node, int] = {}
        self._out: list[list[int]] = []  # arcs by node; arc n ^ 1 runs back along arc n
        self._heads: list[int] = []
        self._capacities: list[int] = []
        for tail, head, capacity in arcs:
            self._add(self._place(tail), self._place(head), capacity)

    def flow(self, sources: Iterable[Node], sink: Node, closed: Collection[Node] = ()) -> int:
        """The most that all `sources` together, each without limit, send to `sink`, not through `closed`."""
        end = self._places.get(sink)
        shut = {self._places[node] for node in closed if node in self._places}
        starts = {self._places[node] for node in sources if node in self._places} - shut
        if end is None or end in starts:
            return 0
        room, total = list(self._capacities), 0
        while (levels := self._levels(room, starts, end, shut))[end] >= 0:
            tried = [0] * len(self._out)
            for start in starts:
                while way := self._way((start, end), levels, room, tried):
                    pushed = min(room[arc] for arc in way)
                    total += pushed
                    for arc in way:
                        room[arc] -= pushed
                        room[arc ^ 1] += pushed
        return total

    def _place(self, node: Node) -> int:
        place = self._places.setdefault(node, len(self._out))
        if place == len(self._out):
            self._out.append([])
        return place

    def _add(self, tail: int, head: int, capacity: int) -> None:
        for start, stop, room in ((tail, head, capacity), (head, tail, 0)):
            self._out[start].append(len(self._heads))
            self._heads.append(stop)
            self._capacities.append(room)

    def _levels(self, room: list[int], starts: set[int], end: int, shut: set[int]) -> list[int]:
        """How many arcs with room each node is from the sources, as far as the sink; -1: not reached."""
        levels = [-1] * len(self._out)
        for start in starts:
            levels[start] = 0
        front, level = list(starts), 0
        while front and levels[end] < 0:
            level += 1
            after = []
            for node in front:
                for arc in self._out[node]:
                    head = self._heads[arc]
                    if room[arc] and levels[head] < 0 and head not in shut:
                        levels[head] = level
                        after.append(head)
            front = after
        return levels

    def _way(self, ends: tuple[int, int], levels: list[int], room: list[int], tried: list[int]) -> list[int]:
        """The arcs of a way with room that goes up one level a step; empty if there is none left.

        `tried` says how many arcs of each node are known to lead nowhere any more.
        """
        node, end = ends
        way: list[int] = []
        while node != end:
            arcs = self._out[node]
            while tried[node] < len(arcs):
                arc = arcs[tried[node]]
                if room[arc] and levels[self._heads[arc]] == levels[node] + 1:
                    break
                tried[node] += 1
            else:
                if not way:
                    return []
                node = self._heads[way.pop() ^ 1]
                tried[node] += 1
                continue
            way.append(arc)
            node = self._heads[arc]
        return way
