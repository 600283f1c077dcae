"""Along which arcs can one stream have flowed from lot to lot?

Nodes are lots, the serials of them that no border of a link cuts, and the fillings of vessels. An arc's
capacity is what was given, of a bounded link the most it can have given, of a load what was put in. Where
more came out of a node than went in, a node *gained* makes up for it (RULES 11). Pure: from rows to arcs.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import ceil
from types import MappingProxyType
from typing import Any, NamedTuple

from lotroot.tracing.dealing import Dealt, Portion, dealt
from lotroot.tracing.fillings import Drawn, Vessel
from lotroot.tracing.kin import Kin, Link
from lotroot.tracing.nodes import Node
from lotroot.tracing.spans import ALL, Span, common, size

ENDLESS = 2**62
"""More than any amount: what a link without an amount may have given."""


class Filling(NamedTuple):
    """A filling of a vessel, by its run."""

    run: str
    filling: int


class Gained(NamedTuple):
    """What came out of a node beyond what went in."""

    node: Any
    role: str = "gained"  # tuples are alike by their fields alone


class Issued(NamedTuple):
    """What came out of a lot, where that is more than went into it."""

    node: Any
    role: str = "issued"  # tuples are alike by their fields alone


class Own(NamedTuple):
    """What a source had of its own."""

    node: Any
    role: str = "own"  # tuples are alike by their fields alone


class Passage(NamedTuple):
    """A link that leads to several parts of a lot, where its whole is less than all of these could hold."""

    child: int
    seq: int


class Beyond(NamedTuple):
    """What is known of the lots of a net beyond it.

    `links` lead to further children, which took from them but are no nodes. `left` is all there ever was, by
    lot, of those that were more than they were made with.
    """

    links: Sequence[Link] = ()
    left: Mapping[int, int] = MappingProxyType({})


Arc = tuple[Any, Any, int]


@dataclass
class Net:
    """The arcs of one stream.

    `sizes` is what went into a node as expected, nothing for a source; `limits` what it can have given in
    all: that, or what was taken from it if that is more. `striped` are nodes in which it is known where
    what lies. What flows through these is an outer bound: `confined` nodes, striped ones taken in parts
    and lots of several streams, and `vague` ones, where an amount is not known. In the goods that are asked
    about themselves only the latter matter.
    """

    pieces: Mapping[int, list[Span]]
    items: Mapping[int, int]
    arcs: list[Arc] = field(default_factory=list)
    sizes: dict[Any, Portion] = field(default_factory=dict)
    used: dict[Any, list[Portion]] = field(default_factory=dict)
    striped: set[Any] = field(default_factory=set)
    confined: set[Any] = field(default_factory=set)
    vague: set[Any] = field(default_factory=set)
    limits: dict[Any, int] = field(default_factory=dict)

    def nodes_of(self, lot: int) -> list[Node]:
        """The nodes of a lot."""
        return [Node(lot, *span) for span in self.pieces.get(lot, [ALL])]

    def parts(self, lot: int, span: Span) -> list[tuple[Node, Portion]]:
        """The nodes of a lot that some of its serials are in, each with what of the node they are."""
        if span == ALL or (lot not in self.pieces and not self.items.get(lot)):
            return [(node, 1) for node in self.nodes_of(lot)]
        found: list[tuple[Node, Portion]] = []
        for node in self.nodes_of(lot):
            piece = (node.first, node.last)
            met = common([span], piece)
            if met:
                whole = self.items.get(lot, 0) if piece == ALL else size([piece])
                found.append((node, Fraction(size(met), whole) if whole else 1))
        return found

    def spread(self, lot: int, span: Span) -> list[tuple[Node, Portion]]:
        """The nodes of a lot that some of its serials are in, each with what of those serials it has."""
        if lot not in self.pieces:
            return [(Node(lot), 1)]
        found: list[tuple[Node, Portion]] = []
        for node in self.nodes_of(lot):
            piece = (node.first, node.last)
            met = common([span], piece)
            whole = self.items.get(lot, 0) if span == ALL else size([span])
            if met:
                found.append((node, Fraction(size(met), whole)))
        return found

    def drawn(self, lot: int, span: Span, amount: int) -> list[tuple[Node, int]]:
        """What each node of a lot may have given of an amount that some of its serials gave."""
        parts = self.parts(lot, span)
        if len(parts) == 1 or amount >= ENDLESS:
            return [(node, amount) for node, _ in parts]
        sized = all(node in self.sizes for node, _ in parts)
        held = [share * (self.sizes[node] if sized else self._count(node)) for node, share in parts]
        whole = sum(held)
        alike = [Fraction(amount * each) / whole if whole else amount for each in held]
        return [
            (node, min(amount, ceil(max(mine, each if sized else 0))))
            for (node, _), each, mine in zip(parts, held, alike, strict=True)
        ]

    def _count(self, node: Node) -> int:
        return size([(node.first, node.last)])

    def take(self, lot: int, span: Span, amount: int) -> None:
        """Note what was taken from a lot, as expected: in proportion from its nodes."""
        parts = self.parts(lot, span)
        if len(parts) == 1:
            self.used.setdefault(parts[0][0], []).append(amount)
            return
        held = [share * self.sizes.get(node, self._count(node)) for node, share in parts]
        whole = sum(held)
        for (node, _), each in zip(parts, held, strict=True):
            mine = Fraction(amount * each) / whole if whole else Fraction(amount, len(parts))
            self.used.setdefault(node, []).append(mine)


def net_of(
    kin: Kin,
    stream: str,
    vessels: Mapping[str, Vessel],
    beyond: Beyond,
    borders: Mapping[int, Iterable[Span]],
) -> Net:
    """The net of one stream: of `kin`, and of `vessels` by run.

    Lots of items are also cut at the `borders` of the serials that are asked about.
    """
    links = {
        child: mine for child, some in kin.links.items() if (mine := [x for x in some if x.stream == stream])
    }
    net = Net(_pieces(kin, links, borders), {lot: row.items for lot, row in kin.lots.items()})
    deals = _measure(net, links)
    for some in links.values():
        for link in some:
            if not in_vessel(link, vessels):
                _lay(net, link, deals)
    for run, each in vessels.items():
        _fill(net, run, each)
    for link in beyond.links:
        if link.stream == stream and not in_vessel(link, vessels):
            net.take(link.parent, link.parent_span, link.given)
    _limit(net, kin, beyond, links)
    _blur(net, kin, links)
    return net


def in_vessel(link: Link, vessels: Mapping[str, Vessel]) -> bool:
    """Whether a link is told by the fillings of its run."""
    return bool(link.filling) and link.run in vessels


def _pieces(
    kin: Kin, links: Mapping[int, list[Link]], borders: Mapping[int, Iterable[Span]]
) -> dict[int, list[Span]]:
    """The serials of each lot of items, cut wherever a link that made some of them begins or stops."""
    found = {}
    for lot, row in kin.lots.items():
        spans = {link.child_span for link in links.get(lot, ())} | set(borders.get(lot, ()))
        cuts = sorted(
            {each for first, last in spans - {ALL} for each in (first, last + 1)} | {1, row.items + 1}
        )
        if row.axis == "serial" and row.items and len(cuts) > 2:
            found[lot] = [(first, after - 1) for first, after in pairwise(sorted(cuts))]
    return found


def _measure(net: Net, links: Mapping[int, list[Link]]) -> dict[tuple[int, int], Dealt]:
    """How each link is dealt out over the nodes of its child, and how much goes into each of these."""
    found = {}
    for child, some in links.items():
        for seq, each in dealt(some).items() if child in net.pieces else ():
            found[child, seq] = each
        for link in some:
            for node, share in _spread(net, link, found):
                net.sizes[node] = net.sizes.get(node, 0) + share * link.given
    return found


def _spread(net: Net, link: Link, deals: Mapping[tuple[int, int], Dealt]) -> list[tuple[Node, Portion]]:
    """The nodes a link made, each with what of the link it has."""
    if link.child not in net.pieces:
        return [(Node(link.child), 1)]
    deal = deals[link.child, link.seq]
    nodes = net.nodes_of(link.child)
    return [
        (node, deal.share(span)) for node in nodes if common([deal.span], span := (node.first, node.last))
    ]


def _lay(net: Net, link: Link, deals: Mapping[tuple[int, int], Dealt]) -> None:
    """The arcs of a link that is of no vessel."""
    net.take(link.parent, link.parent_span, link.given)
    heads = [(node, _most(net, link, node, share)) for node, share in _spread(net, link, deals)]
    whole = ENDLESS if any(most == ENDLESS for _, most in heads) else max(link.given, link.most or 0)
    deal = deals.get((link.child, link.seq))
    if deal is not None and not deal.clear:
        heads = [(node, ceil(deal.most((node.first, node.last)) * whole)) for node, _ in heads]
        net.vague |= {node for node, _ in heads}
    net.vague |= {node for node, most in heads if most == ENDLESS}
    _join(net, Passage(link.child, link.seq), (link.parent, link.parent_span), heads, whole)


def _most(net: Net, link: Link, node: Node, share: Portion) -> int:
    """The most that a link can have given to a node, ENDLESS where nobody knows."""
    if link.given:
        return ceil(share * max(link.given, link.most or 0))
    if link.most is not None:  # it could be in any of the items
        return min(link.most, ceil(net.sizes[node]) or link.most)
    # As in `genealogy.shares`: links that give nothing at all count alike, nobody knows how much.
    return ENDLESS if link.basis == "bounded" or not net.sizes[node] else 0


def _join(
    net: Net, passage: Passage, parent: tuple[int, Span], heads: list[tuple[Node, int]], whole: int
) -> None:
    """Arcs from the nodes of a parent to some of a child's; through `passage` where one arc is not enough."""
    tails = net.drawn(*parent, whole)
    if len(heads) == 1:
        net.arcs += [(tail, heads[0][0], most) for tail, most in tails]
    elif len(tails) == 1 and sum(most for _, most in heads) < whole + len(heads):
        net.arcs += [(tails[0][0], head, most) for head, most in heads]
    else:
        net.arcs += [(tail, passage, most) for tail, most in tails]
        net.arcs += [(passage, head, most) for head, most in heads]
        if len(tails) > 1:
            net.vague.add(passage)


def _fill(net: Net, run: str, each: Vessel) -> None:
    """The arcs of a vessel."""
    for poured in each.poured:
        net.take(poured.lot, poured.span, poured.amount)
        node = Filling(run, poured.filling)
        net.arcs += [(tail, node, most) for tail, most in net.drawn(poured.lot, poured.span, poured.amount)]
    for poured, output in each.named:
        net.take(poured.lot, poured.span, output.amount)
        heads = _poured_out(net, output)
        passage = Passage(output.lot, -output.filling)
        _join(net, passage, (poured.lot, poured.span), heads, output.amount)
    for output in each.drawn:
        net.arcs += [(Filling(run, output.filling), node, most) for node, most in _poured_out(net, output)]
    fillings = sorted(each.passed)
    for filling, after in pairwise(fillings):
        net.arcs.append((Filling(run, filling), Filling(run, after), each.passed[filling]))
    for filling, amount in each.gained.items():
        if amount:
            node = Filling(run, filling)
            net.arcs.append((Gained(node), node, amount))
    net.vague |= {Filling(run, filling) for filling in each.blurred}


def _poured_out(net: Net, output: Drawn) -> list[tuple[Node, int]]:
    return [
        (node, ceil(share * output.amount))
        for node, share in net.spread(output.lot, output.span)
        if node in net.sizes
    ]


def _limit(net: Net, kin: Kin, beyond: Beyond, links: Mapping[int, list[Link]]) -> None:
    """How much each lot can have given; where more came out of it than went in, some was gained.

    A source had its own amount, if it gave in its own unit. What was gained is not in the lot itself, and may
    all be in what was made of it, where what went to scrap was not.
    """
    gained: dict[Node, Portion] = {}
    every = [*beyond.links, *(link for some in links.values() for link in some)]
    other_unit = {link.parent for link in every if link.taken != link.given}
    for node, taken in net.used.items():
        used = sum(taken)
        if node in net.sizes:
            net.limits[node] = ceil(max(used, net.sizes[node]))
            out = max(used, beyond.left.get(node.lot, 0) if node.lot not in other_unit else 0)
            if out > net.sizes[node]:
                gained[node] = out - net.sizes[node]
        elif node.lot in kin.lots and node.lot not in other_unit and (node.first, node.last) == ALL:
            net.limits[node] = ceil(max(used, kin.lots[node.lot].amount))
            net.arcs.append((Own(node), node, net.limits[node]))
    net.arcs = [(Issued(tail) if tail in gained else tail, head, most) for tail, head, most in net.arcs]
    for node, more in gained.items():
        net.arcs += [(node, Issued(node), ceil(net.sizes[node])), (Gained(node), Issued(node), ceil(more))]


def _blur(net: Net, kin: Kin, links: Mapping[int, list[Link]]) -> None:
    """Nodes in which it is known where what lies, and those of them that were taken in parts."""
    tails: dict[Any, set[Any]] = {}
    for tail, head, most in net.arcs:
        if most and not isinstance(tail, Gained | Own):
            tails.setdefault(head, set()).add(tail)
    for lot in sorted(links, key=lambda each: int(kin.lots[each].rank)):
        ordered = [link.child_span for link in links[lot] if link.ordered]
        for node in net.nodes_of(lot):
            of = {tail.node if isinstance(tail, Issued) else tail for tail in tails.get(node, ())}
            piece = (node.first, node.last)
            if any(common([span], piece) for span in ordered) and (len(of) > 1 or of & net.striped):
                net.striped.add(node)
                if max(net.used.get(node, [0])) < net.sizes[node]:
                    net.confined.add(node)
            if any(link.stream != links[lot][0].stream for link in kin.links[lot]):
                net.confined.add(node)
