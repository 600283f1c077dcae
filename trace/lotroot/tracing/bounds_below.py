"""How much of the asked is at least and at most in lots made of it, in what stands where, and what left?"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.tracing.bounds import Parts, Some, bounds_down
from lotroot.tracing.kin import Kin
from lotroot.tracing.lineage import Kinsman, Lineage, OnHand, Shipped
from lotroot.tracing.natures import Nature, divided
from lotroot.tracing.pieces import Piece
from lotroot.tracing.spans import ALL

Pieces = Sequence[Sequence[Piece]]
"""The pieces behind each entry of what stands or left, in the order of the lineage."""


class Below(NamedTuple):
    """What lots there are, and what each is of by stream."""

    kin: Kin
    natures: Mapping[int, Nature]

    def of_lot(self, one: Kinsman) -> Some:
        """A lot of the lineage; of an asked one, what was asked."""
        if not one.depth:
            return Some(one.lot.id, one.part, asked=True)
        return Some(one.lot.id, self._by_stream(one.lot.id, one.lot.amount))

    def of_piece(self, piece: Piece) -> Some:
        """A piece of what stands or left."""
        row = self.kin.lots[piece.lot]
        bulk = piece.span == ALL and row.axis != "serial" and row.amount
        part = min(Fraction(piece.amount, row.amount), Fraction(1)) if bulk else 1
        amounts = self._by_stream(piece.lot, piece.amount)
        return Some(piece.lot, amounts, [piece.span], part, piece.own == 1)

    def _by_stream(self, lot: int, amount: int) -> Parts:
        return divided(self.natures[lot], amount, self.kin.lots[lot].amount)


def with_bounds(
    connection: Connection, plain: Lineage, below: Below, on_hand: Pieces, shipments: Pieces
) -> Lineage:
    """A lineage downwards with least and most; of a shipment, of what was sent on it."""
    lots: dict[Hashable, Kinsman] = {one.lot.id: one for one in plain.lots}
    here: dict[Hashable, OnHand] = {("here", place): one for place, one in enumerate(plain.on_hand)}
    gone: dict[Hashable, Shipped] = {("gone", place): one for place, one in enumerate(plain.shipments)}
    goods = {name: [below.of_lot(one)] for name, one in lots.items()}
    for entries, pieces in ((here, on_hand), (gone, shipments)):
        for name, some in zip(entries, pieces, strict=True):
            goods[name] = [below.of_piece(piece) for piece in some if not piece.lying.returned]
    parts = {name: one.part for name, one in (lots | here | gone).items()}
    found = bounds_down(connection, plain.asked, below.kin, goods, parts)
    return replace(
        plain,
        lots=tuple(replace(one, bounds=found[name]) for name, one in lots.items()),
        on_hand=tuple(replace(one, bounds=found[name]) for name, one in here.items()),
        shipments=tuple(replace(one, bounds=found[name]) for name, one in gone.items()),
    )
