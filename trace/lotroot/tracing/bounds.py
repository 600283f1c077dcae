"""How much at least and at most did each lot of a lineage give to what was asked, or get of it?

Stream by stream. What was reached through another stream is only known to lie between nothing and all.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from fractions import Fraction
from math import ceil, floor
from typing import Any, NamedTuple

from sqlalchemy import Connection

from lotroot.stock.standing import differences_of
from lotroot.tracing.asking import Asked
from lotroot.tracing.between import Bound, Goods, Reckoned
from lotroot.tracing.dealing import Portion
from lotroot.tracing.kin import Kin, Link
from lotroot.tracing.net import ENDLESS, Beyond, Net, net_of
from lotroot.tracing.nodes import Goods as NodeGoods
from lotroot.tracing.spans import ALL, Span
from lotroot.tracing.vessel_rows import links_out_of, vessels_of

Parts = Mapping[str, int]
"""Amounts by stream, or chain of streams."""

ASKED = "asked"
"""The goods an ancestor gave to; and a source before every node of which a part was asked."""


class Some(NamedTuple):
    """Some goods of one lot (by id): their amounts by stream, their serials, or how great a part of it.

    `asked`: they are what was asked itself, and nothing else.
    """

    lot: int
    amounts: Parts
    spans: Sequence[Span] = (ALL,)
    part: Portion = 1
    asked: bool = False


class Scaled(NamedTuple):
    """Goods in a net, and by how much the amount they are told in exceeds the one their links give them."""

    goods: Goods
    amount: int
    ratios: tuple[Portion, ...]

    def told(self, bound: Bound) -> Bound:
        """A bound in the amount they are told in."""
        low, high = min(self.ratios, default=1), max(self.ratios, default=1)
        least, most = floor(bound.least * low), min(self.amount, ceil(bound.most * high))
        return Bound(min(least, most), most, least >= most or (bound.exact and low == high))


class Nets:
    """The net of each stream of some lots."""

    def __init__(
        self, connection: Connection, kin: Kin, outward: Sequence[Link], some: Iterable[Some]
    ) -> None:
        self._kin = kin
        self._vessels = vessels_of(connection, kin)
        self._beyond = Beyond(outward, _left(connection, kin))
        self._borders: dict[int, set[Span]] = {}
        for each in some:
            self._borders.setdefault(each.lot, set()).update(each.spans)

    def of(self, stream: str) -> Net:
        """The net of one stream; lots of items are cut at the serials of `some`."""
        mine = {run: each for (other, run), each in self._vessels.items() if other == stream}
        return net_of(self._kin, stream, mine, self._beyond, self._borders)


def _left(connection: Connection, kin: Kin) -> dict[int, int]:
    """All that was ever of those lots that were more than they were made with: given, scrapped, and here."""
    known = {row.number: lot for lot, row in kin.lots.items() if row.axis == "amount"}
    missing = differences_of(connection, known)
    more = {known[number]: -amount for number, amount in missing.items() if amount < 0}
    return {lot: kin.lots[lot].amount + amount for lot, amount in more.items()}


def bounds_up(
    connection: Connection, asked: Asked, kin: Kin, amounts: Sequence[Parts], parts: Mapping[int, Parts]
) -> dict[int, dict[str, Bound]]:
    """What each lot gave to the asked goods, for each lot (by id) and chain in `parts`: the expected ones.

    `amounts` are those of the asked goods by stream, in the order of their parts.
    """
    some = [
        Some(part.lot.id, streams, part.goods.spans, _part_of_it(part.goods))
        for part, streams in zip(asked.parts, amounts, strict=True)
    ]
    nets = Nets(connection, kin, links_out_of(connection, kin), some)
    totals = {
        stream: sum(each.get(stream, 0) for each in amounts) for streams in amounts for stream in streams
    }
    found = _unknown(parts, lambda _, stream: totals.get(stream, 0))
    for stream, lots in _by_stream(parts).items():
        net = nets.of(stream)
        what = _scaled(net, some, stream)
        sources = {lot: net.nodes_of(lot) for lot in lots}
        for lot, bound in Reckoned(net, {ASKED: what.goods}).of_sources(sources, ASKED).items():
            found[lot][stream] = around(what.told(bound), parts[lot][stream])
    return found


def bounds_down(
    connection: Connection,
    asked: Asked,
    kin: Kin,
    goods: Mapping[Hashable, Sequence[Some]],
    parts: Mapping[Hashable, Parts],
) -> dict[Hashable, dict[str, Bound]]:
    """What of some goods is of the asked ones, by name and chain as in `parts`, which has the expected."""
    sources = [Some(part.lot.id, {}, part.goods.spans, _part_of_it(part.goods)) for part in asked.parts]
    every = [*sources, *(each for some in goods.values() for each in some)]
    nets = Nets(connection, kin, (), every)
    found = _unknown(parts, lambda name, stream: sum(each.amounts.get(stream, 0) for each in goods[name]))
    for stream, names in _by_stream(parts).items():
        net = nets.of(stream)
        starts = _starts(net, kin, sources)
        what = {name: _scaled(net, goods[name], stream) for name in names}
        bounds = Reckoned(net, {name: each.goods for name, each in what.items()}).of_goods(starts)
        limit = sum(net.limits.get(node, ENDLESS) for node in starts - {ASKED})
        for name, bound in bounds.items():
            # What is asked goods itself is counted in their own unit and needs no limit.
            itself = any(each.asked for each in goods[name])
            within = bound if itself else bound._replace(most=min(bound.most, limit))
            found[name][stream] = around(what[name].told(within), parts[name][stream])
    return found


def _part_of_it(goods: NodeGoods) -> Portion:
    """How great a part of each of its serials some goods are: where serials are named, all of them."""
    return min(goods.part, Fraction(1)) if ALL in goods.spans else 1


def around(bound: Bound, expected: int) -> Bound:
    """The bound, widened where needed to what is expected.

    Expected is by proportion, of what was gained too. Widened by more than a unit of rounding, a bound is
    no exact one any more.
    """
    least, most = min(bound.least, expected), max(bound.most, expected)
    return Bound(least, most, bound.exact and bound.least - least <= 1 and most - bound.most <= 1)


def _unknown(parts: Mapping[Any, Parts], amount: Callable[[Any, str], int]) -> dict[Any, dict[str, Bound]]:
    """Bounds that say nothing: between none and all of the first stream of each chain."""
    return {
        name: {
            chain: around(Bound(0, amount(name, chain.partition("/")[0]), False), expected)
            for chain, expected in chains.items()
        }
        for name, chains in parts.items()
    }


def _by_stream(parts: Mapping[Any, Parts]) -> dict[str, list[Any]]:
    """What has parts in each stream, not counting chains of several."""
    found: dict[str, list[Any]] = {}
    for name, chains in parts.items():
        for chain in chains:
            if "/" not in chain:
                found.setdefault(chain, []).append(name)
    return found


def _scaled(net: Net, some: Iterable[Some], stream: str) -> Scaled:
    """The nodes some goods stand in, with the amounts that the links give them."""
    arcs: list[tuple[Any, int]] = []
    partial, total = set[Any](), 0
    ratios: list[Portion] = []
    for each in some:
        amount = each.amounts.get(stream, 0)
        if amount <= 0:
            continue
        mine = [place for span in each.spans for place in _held(net, each, span, amount)]
        if each.asked:
            mine = [(ASKED, amount, True)]
        arcs += [(node, held) for node, held, _ in mine]
        partial |= {node for node, _, whole in mine if not whole}
        total += amount
        linked = sum(held for _, held, _ in mine)
        ratios.append(1 if linked == amount else Fraction(amount, linked))
    return Scaled(Goods(arcs, frozenset(partial)), total, tuple(ratios))


def _held(net: Net, each: Some, span: Span, amount: int) -> list[tuple[Any, int, bool]]:
    """The nodes of some goods, how much of each they are, and whether that is all of it."""
    places = net.parts(each.lot, span)
    held: list[Portion] = [share * each.part * net.sizes.get(node, 0) for node, share in places]
    if not all(held):  # nobody knows what went in
        held = [Fraction(amount, len(places)) for _ in places]
    return [
        (node, ceil(much), share * each.part == 1) for (node, share), much in zip(places, held, strict=True)
    ]


def _starts(net: Net, kin: Kin, sources: Iterable[Some]) -> set[Any]:
    """The nodes all of which was asked, and one before each node of which a part was."""
    found: set[Any] = {ASKED}
    for each in sources:
        for node, share in (place for span in each.spans for place in net.parts(each.lot, span)):
            part = share * each.part
            if part == 1:
                found.add(node)
                continue
            before = (ASKED, node)
            size = net.sizes.get(node, Fraction(kin.lots[each.lot].amount))
            net.arcs += [(before, node, ceil(part * size)), (("rest", node), node, ENDLESS)]
            net.vague.add(node)
            found.add(before)
    return found
