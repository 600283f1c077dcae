"""Which of the goods that stand or left are of what was asked, and what part of them?

Goods of items are cut where only some of their serials are meant.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import NamedTuple

from lotroot.genealogy.shares import WHOLE
from lotroot.stock.standing import Range, cut
from lotroot.tracing.asking import Asked, Part
from lotroot.tracing.kin import Kin
from lotroot.tracing.natures import Nature, divided
from lotroot.tracing.nodes import Node
from lotroot.tracing.spans import ALL, Span, common, without
from lotroot.tracing.whereabouts import Lying


class Piece(NamedTuple):
    """Goods that may hold some of the asked; `own` is the part of them that was asked itself, else None."""

    lying: Lying
    lot: int
    span: Span
    amount: int
    own: Fraction | None

    @property
    def node(self) -> Node:
        """The goods as the reckoning of shares knows them."""
        return Node(self.lot, *self.span)


class Cutter:
    """Cuts goods into what was asked itself and what was made of it; other goods may be set apart."""

    def __init__(
        self,
        kin: Kin,
        asked: tuple[Asked, Asked | None],
        spans: Mapping[int, list[Span]],
        weighed: Mapping[str, dict[int, int]],
    ) -> None:
        self._ids = {row.number: key for key, row in kin.lots.items()}
        self._lots = kin.lots
        self._asked, apart = asked
        self._parts = {part.lot.id: part for part in self._asked.parts}
        self._apart = {part.lot.id: part for part in apart.parts} if apart else {}
        self._apart_spot = apart.number if apart else ""
        self._spans = spans
        self._weighed = weighed

    def pieces(self, goods: Iterable[Lying]) -> list[Piece]:
        """The pieces of some goods that may hold some of the asked."""
        return [piece for lying in goods if not self._is_apart(lying) for piece in self._of(lying)]

    def _is_apart(self, lying: Lying) -> bool:
        part = self._apart.get(self._ids[lying.lot])
        if part is None:
            return False
        return part.whole or (not lying.first and self._apart_spot in (lying.spot, lying.shipment))

    def _of(self, lying: Lying) -> Iterable[Piece]:
        lot = self._ids[lying.lot]
        part = self._parts.get(lot)
        if not lying.first:
            yield from self._bulk(lying, lot, part)
            return
        apart = self._apart[lot].spans if lot in self._apart else ()
        row = without([(lying.first, lying.last)], apart)
        asked = [span for each in row for span in common(part.goods.spans, each)] if part else []
        yield from (self._cut(lying, lot, span, Fraction(1)) for span in asked)
        reached = [span for each in row for span in common(self._spans.get(lot, []), each)]
        yield from (self._cut(lying, lot, span, None) for span in without(reached, asked))

    def _bulk(self, lying: Lying, lot: int, part: Part | None) -> Iterable[Piece]:
        if part is None:
            yield Piece(lying, lot, ALL, lying.amount, None)
        elif part.whole or self._asked.number in (lying.spot, lying.shipment):
            yield Piece(lying, lot, ALL, lying.amount, Fraction(1))
        elif not self._asked.now:
            yield Piece(lying, lot, ALL, lying.amount, part.goods.part)

    def _cut(self, lying: Lying, lot: int, span: Span, own: Fraction | None) -> Piece:
        amount = lying.amount
        if span != (lying.first, lying.last):
            weighed = self._weighed.get(lying.lot, {})
            amount = cut(Range(lying.first, lying.last, lying.amount), weighed, *span)
        whole = span == (1, self._lots[lot].items)
        return Piece(lying, lot, ALL if whole else span, amount, own)


def part_of(
    piece: Piece, nature: Nature, whole: int, shares: Mapping[Node, Mapping[str, int]]
) -> dict[str, int]:
    """What of a piece of a lot that amounts to `whole` is of the asked, rounded, by chain of streams."""
    streams = divided(nature, piece.amount, whole)
    if piece.own is not None:
        return {stream: round(amount * piece.own) for stream, amount in streams.items()}
    return share_of(streams, shares.get(piece.node, {}))


def share_of(streams: Mapping[str, int], chains: Mapping[str, int]) -> dict[str, int]:
    """Amounts by stream times shares in `WHOLE`ths by chain, each chain by its first stream, rounded."""
    return {
        chain: (2 * streams.get(chain.partition("/")[0], 0) * share + WHOLE) // (2 * WHOLE)
        for chain, share in chains.items()
    }
