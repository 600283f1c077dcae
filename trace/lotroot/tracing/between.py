"""How much of some goods is at least, and at most, of each source, along the arcs of a net?

Two ways. Exact: two integer max-flows for each question (RULES 11). Most of A in T is the flow from A to T;
least is T minus the flow of all other sources to T. Chained: along each arc no more passes than its
capacity and than is there, whatever passes along the others; one pass answers for all, always outside the
exact bounds. Flows are only asked where the chained bounds leave something open, and where the net has no
more than MOST_NODES.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any, NamedTuple

from lotroot.balance.flows import Network
from lotroot.tracing.net import ENDLESS, Arc, Issued, Net

MOST_NODES = 400
"""Up to here the two flows of a question take 1 to 3 ms, and all questions about a lot under a second."""


class Bound(NamedTuple):
    """At least and at most, and whether nothing closer can be known."""

    least: int
    most: int
    exact: bool

    @property
    def word(self) -> str:
        """What kind of bound it is: exact or outer."""
        return "exact" if self.exact else "outer"


class Goods(NamedTuple):
    """What is asked about: the nodes it stands in, how much of each, and which of these only in part."""

    arcs: Sequence[tuple[Any, int]]
    partial: frozenset[Any] = frozenset()

    @property
    def total(self) -> int:
        """All of it."""
        return sum(amount for _, amount in self.arcs)


class Reckoned:
    """A net with what every question needs: its nodes in order, and what comes before and after each."""

    def __init__(self, net: Net, goods: Mapping[Any, Goods], most_nodes: int = MOST_NODES) -> None:
        self.net = net
        self.goods = goods
        self._most_nodes = most_nodes
        arcs = [arc for arc in net.arcs if arc[2] > 0]
        arcs += [(node, name, amount) for name, each in goods.items() for node, amount in each.arcs]
        self.into: dict[Any, list[Arc]] = {}
        self.out_of: dict[Any, list[Arc]] = {}
        wanted = _reaching(arcs, goods)
        for arc in arcs:
            if arc[1] in wanted:
                self.into.setdefault(arc[1], []).append(arc)
                self.out_of.setdefault(arc[0], []).append(arc)
        self.order = _in_order(self.into, self.out_of, wanted)
        self._blurred = net.confined | net.vague
        self.origins = {node for node in self.order if node not in self.into}

    @cached_property
    def _network(self) -> Network[Any]:
        return Network(arc for some in self.into.values() for arc in some)

    @property
    def small(self) -> bool:
        """Whether flows are asked for."""
        return len(self.order) - len(self.goods) <= self._most_nodes

    def of_sources(self, sources: Mapping[Any, Collection[Any]], name: Any) -> dict[Any, Bound]:
        """What of the goods `name` is of each of some sources, each a few nodes."""
        chained, clear = self._back(name), self._clear_after(name)
        found = {}
        for key, nodes in sources.items():
            bounds = [self._passed(node, name, chained) for node in nodes]
            low, high = sum(low for low, _ in bounds), sum(high for _, high in bounds)
            exact = all(node in clear for node in nodes if node in chained)
            limit = sum(self.net.limits.get(node, ENDLESS) for node in nodes)
            chain = Bound(low, min(high, limit, self.goods[name].total), exact)
            found[key] = self._closer(chain, nodes, name)
        return found

    def of_goods(self, nodes: Collection[Any]) -> dict[Any, Bound]:
        """What of each of the goods is of one source."""
        nodes = self._all_of(nodes)
        most, others = self._forth(nodes, ()), self._forth(self.origins - set(nodes), nodes)
        clouded = self._clouded_before(nodes)
        found: dict[Any, Bound] = {}
        alike: dict[Any, Any] = {}  # a lot that stands whole at one place is asked about once
        for name, goods in self.goods.items():
            same = alike.setdefault((tuple(goods.arcs), goods.partial), name)
            low = max(0, goods.total - others.get(name, 0))
            chain = Bound(low, min(most.get(name, 0), goods.total), name not in clouded)
            found[name] = self._closer(chain, nodes, name) if same == name else found[same]
        return found

    def _closer(self, chain: Bound, nodes: Collection[Any], name: Any) -> Bound:
        if chain.least >= chain.most:
            return chain._replace(exact=True)
        if not self.small:
            return chain._replace(exact=False)
        nodes = self._all_of(nodes)
        most = self._network.flow(nodes, name)
        rest = self._network.flow(self.origins - set(nodes), name, closed=nodes)
        least, most = self.goods[name].total - rest, min(most, chain.most)
        return Bound(least, most, chain.exact or least == most)

    def _all_of(self, nodes: Iterable[Any]) -> set[Any]:
        """Some nodes, with what came out of them beyond what went in."""
        found = set(nodes)
        return found | {issued for issued in map(Issued, found) if issued in self.into}

    def _passed(self, node: Any, name: Any, chained: Mapping[Any, tuple[int, int]]) -> tuple[int, int]:
        """How much of the goods passed through a node or is it itself, at least and at most."""
        issued = Issued(node)
        if issued not in self.into:
            return chained.get(node, (0, 0))
        low, high = chained.get(issued, (0, 0))
        itself = sum(capacity for _, head, capacity in self.out_of.get(node, ()) if head == name)
        return low + itself, high + itself

    def _back(self, name: Any) -> dict[Any, tuple[int, int]]:
        """How much of the goods passed through each node: at least and at most."""
        total = self.goods[name].total
        found = {name: (total, total)}
        for node in reversed(self.order):
            low, high = found.get(node, (0, 0))
            enter = sum(capacity for _, _, capacity in self.into.get(node, ()))
            for tail, _, capacity in self.into.get(node, ()):
                before = found.get(tail, (0, 0))
                sure = max(0, low - (enter - capacity))
                found[tail] = before[0] + sure, min(total, before[1] + min(high, capacity))
        return found

    def _forth(self, sources: Iterable[Any], closed: Collection[Any]) -> dict[Any, int]:
        """How much of some sources can be in each node at most."""
        found = dict.fromkeys(sources, ENDLESS)
        for node in self.order:
            if node not in found and node not in closed:
                arcs = self.into.get(node, ())
                found[node] = sum(min(found.get(tail, 0), capacity) for tail, _, capacity in arcs)
        return found

    def _clear_after(self, name: Any) -> set[Any]:
        """The nodes from which to the goods `name` everything flows as freely as the arcs let it."""
        goods = self.goods[name]
        clear: set[Any] = {name}
        for node in reversed(self.order):
            after = [
                head for _, head, _ in self.out_of.get(node, ()) if head == name or head not in self.goods
            ]
            if all(head in clear and not self._blurs(head, goods) for head in after):
                clear.add(node)
        return clear

    def _clouded_before(self, nodes: Collection[Any]) -> set[Any]:
        """The nodes, and goods by name, to which something flowed less freely than the arcs let it."""
        reached, clouded = set(nodes), set[Any]()
        for node in self.order:
            tails = [tail for tail, _, _ in self.into.get(node, ()) if tail in reached]
            if not tails:
                continue
            reached.add(node)
            goods = self.goods.get(node)
            if any(tail in clouded or (tail not in nodes and self._blurs(tail, goods)) for tail in tails):
                clouded.add(node)
        return clouded

    def _blurs(self, node: Any, goods: Goods | None) -> bool:
        """Whether a node on the way is blurred; one of the goods' own, only if they are but a part of it."""
        if goods is not None and node in {own for own, _ in goods.arcs}:
            return node in self.net.vague or (node in goods.partial and node in self.net.striped)
        return node in self._blurred


def _reaching(arcs: Iterable[Arc], names: Collection[Any]) -> set[Any]:
    """The nodes from which something can reach any of some nodes."""
    into: dict[Any, list[Any]] = {}
    for tail, head, _ in arcs:
        into.setdefault(head, []).append(tail)
    found, todo = set(names), list(names)
    while todo:
        for tail in into.get(todo.pop(), ()):
            if tail not in found:
                found.add(tail)
                todo.append(tail)
    return found


def _in_order(
    into: Mapping[Any, list[Arc]], out_of: Mapping[Any, list[Arc]], nodes: Collection[Any]
) -> list[Any]:
    """The nodes, each after all that flow into it."""
    waiting = {node: len(into.get(node, ())) for node in nodes}
    found = [node for node, count in waiting.items() if not count]
    for node in found:
        for _, head, _ in out_of.get(node, ()):
            waiting[head] -= 1
            if not waiting[head]:
                found.append(head)
    return found
