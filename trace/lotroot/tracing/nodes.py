"""Which edges lead from goods to their origin, item by item where that is known?

The shares of `genealogy.shares` run over nodes: a lot, or the serials of it that one link speaks of. A
link to a lot of items says which of them it made, so that boxes 1 to 20 and boxes 21 to 40 of one lot may
be of two coils.
"""

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from lotroot.genealogy.shares import Edge
from lotroot.tracing.kin import Kin, Link
from lotroot.tracing.spans import ALL, Span, common, size


class Node(NamedTuple):
    """A lot by its id, or its serials first to last; `stream` tells asked goods of one stream."""

    lot: int
    first: int = 0
    last: int = 0
    stream: str = ""


ASKED = Node(0)
"""All that was asked, together."""


class Goods(NamedTuple):
    """What was asked of one lot (by its id): which serials, and how great a part of all of it."""

    lot: int
    spans: tuple[Span, ...] = (ALL,)
    part: Fraction = Fraction(1)


class Strand(NamedTuple):
    """A link as it reaches one node: from which parent, and with which weight among its stream's."""

    link: Link
    parent: Node
    weight: int | Fraction


class Way(NamedTuple):
    """Edges for reckoning shares, and the links they stand for, each with the lot it came to."""

    edges: list[Edge[Node]]
    links: list[tuple[Node, Strand]]


Pick = Callable[[list[Strand]], list[Strand]]


def strands(links: Iterable[Link], spans: Iterable[Span]) -> list[Strand]:
    """The links that speak of some serials of a lot, each in proportion to those it speaks of.

    Links of a stream that give nothing at all count alike, as in `genealogy.shares`.
    """
    some = list(spans)
    met = [link for link in links if common(some, link.child_span)]
    given = {link.stream: 0 for link in met}
    for link in met:
        given[link.stream] += link.given
    return [
        Strand(link, Node(link.parent, *link.parent_span), _weight(link, some, bool(given[link.stream])))
        for link in met
    ]


def _weight(link: Link, spans: list[Span], any_given: bool) -> int | Fraction:
    given = link.given if any_given else 1
    if link.child_span == ALL or ALL in spans:
        return given
    return Fraction(given * size(common(spans, link.child_span)), size([link.child_span]))


def way_up(kin: Kin, asked: Iterable[tuple[Goods, Mapping[str, int]]]) -> Way:
    """The way from asked goods up to all they were made of; each comes with its amounts by stream.

    Above `ASKED` stands a node for each stream of each of the goods. Asked items that no link speaks of
    have no parents; on the way up such items count as all of their lot.
    """
    top = max((row.rank for row in kin.lots.values()), default=0) + 2
    way = Way([], [])
    todo: list[Node] = []
    for seq, (goods, amounts) in enumerate(asked):
        for stream, amount in amounts.items():
            node = Node(goods.lot, stream=stream)
            way.edges.append(Edge(ASKED, top, seq, node, stream, amount))
            links = [link for link in kin.links.get(goods.lot, ()) if link.stream == stream]
            todo += _climb(way, (node, top - 1), strands(links, goods.spans))
    _climb_all(kin, way, todo, lambda found: found)
    return way


def way_down(kin: Kin, asked: Mapping[int, Goods], starts: Iterable[Node]) -> list[Edge[Node]]:
    """The edges from some descendants up to what was asked, which is one node, `ASKED`.

    Of a lot that was asked in part, a link takes that part from `ASKED` and the rest from the lot.
    """
    way = Way([], [])
    _climb_all(
        kin, way, list(starts), lambda found: [each for strand in found for each in _split(asked, strand)]
    )
    return way.edges


def _climb_all(kin: Kin, way: Way, todo: list[Node], pick: Pick) -> None:
    seen = set(todo) | {ASKED}
    todo = list(dict.fromkeys(todo))
    while todo:
        node = todo.pop()
        links = kin.links.get(node.lot, [])
        found = strands(links, [(node.first, node.last)]) or strands(links, [ALL])
        if not found:
            continue
        for parent in _climb(way, (node, kin.lots[node.lot].rank), pick(found)):
            if parent not in seen:
                seen.add(parent)
                todo.append(parent)


def _climb(way: Way, at: tuple[Node, int], found: list[Strand]) -> list[Node]:
    """Add the edges of one node, which has a rank; returns its parents."""
    node, rank = at
    scale = lcm(*(strand.weight.denominator for strand in found))
    for strand in found:
        weight = int(strand.weight * scale)
        way.edges.append(Edge(node, rank, strand.link.seq, strand.parent, strand.link.stream, weight))
        way.links.append((node, strand))
    return [strand.parent for strand in found]


def _split(asked: Mapping[int, Goods], strand: Strand) -> list[Strand]:
    """A strand to a lot that was asked, as its part from `ASKED` and the rest from the lot."""
    goods = asked.get(strand.link.parent)
    if goods is None:
        return [strand]
    part = part_asked(goods, strand.link.parent_span)
    split = [(ASKED, part), (strand.parent, 1 - part)]
    return [strand._replace(parent=parent, weight=strand.weight * much) for parent, much in split if much]


def part_asked(goods: Goods, span: Span) -> Fraction:
    """How great a part of some serials of a lot was asked."""
    if span == ALL or ALL in goods.spans:
        return min(goods.part, Fraction(1))
    return Fraction(size(common(goods.spans, span)), size([span]))
