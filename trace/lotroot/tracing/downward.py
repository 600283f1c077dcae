"""What was made of this, in which parts, where does it stand, and who has it?"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.genealogy.shares import reach
from lotroot.stock.standing import weights_of
from lotroot.tracing.asking import Asked
from lotroot.tracing.bounds_below import Below, with_bounds
from lotroot.tracing.kin import Kin, kin_below
from lotroot.tracing.kinsmen import Found, Step, kinsmen
from lotroot.tracing.lineage import Lineage, OnHand, Shipped
from lotroot.tracing.natures import Nature, divided, natures
from lotroot.tracing.nodes import ASKED, Node, way_down
from lotroot.tracing.pieces import Cutter, Piece, part_of, share_of
from lotroot.tracing.reached import Reached, reached
from lotroot.tracing.spans import ALL
from lotroot.tracing.whereabouts import Lying, on_hand, shipped


class _Ground(NamedTuple):
    """What parts are reckoned from: lots, their natures, and the shares of the asked in every node."""

    kin: Kin
    natures: dict[int, Nature]
    shares: Mapping[Node, Mapping[str, int]]

    def part(self, piece: Piece) -> dict[str, int]:
        """The part of the asked in a piece."""
        return part_of(piece, self.natures[piece.lot], self.kin.lots[piece.lot].amount, self.shares)


def down(
    connection: Connection, asked: Asked, apart_from: Asked | None = None, *, bounded: bool = False
) -> Lineage:
    """Everything made of the asked goods by live links, what of it and of them stands where, what left.

    Of what stands and left, goods of `apart_from` are not told. `bounded` tells least and most as well.
    """
    kin = kin_below(connection, [part.lot.id for part in asked.parts])
    goods = {part.lot.id: part.goods for part in asked.parts}
    found = reached(kin, goods.values())
    own = natures(connection, kin, found.spans)
    numbers = sorted(kin.lots[lot].number for lot in found.spans)
    in_part = [kin.lots[lot].number for lot, spans in found.spans.items() if spans != [ALL]]
    apart = [part.lot.number for part in apart_from.parts] if apart_from else []
    weighed = weights_of(connection, [*in_part, *apart])
    cutter = Cutter(kin, (asked, apart_from), found.spans, weighed)
    standing = cutter.pieces(on_hand(connection, numbers))
    left = cutter.pieces(shipped(connection, numbers))
    starts = [Node(lot) for lot in found.spans if lot not in goods]
    starts += [piece.node for piece in (*standing, *left) if piece.own is None]
    ground = _Ground(kin, own, reach(ASKED, way_down(kin, goods, starts)))
    parts = {
        **{lot: _whole_part(ground, lot) for lot in found.spans},
        **{part.lot.id: divided(own[part.lot.id], part.amount, part.lot.amount) for part in asked.parts},
    }
    told = {lot: Found(part, not kin.links.get(lot)) for lot, part in parts.items()}
    lots = kinsmen(connection, asked, kin, told, _steps(kin, found))
    here, gone = _by_place(standing), _by_shipment(kin, left)
    standing_now = tuple(_on_hand(ground, some) for some in here)
    lineage = Lineage(asked, "down", lots, standing_now, tuple(_shipment(ground, some) for some in gone))
    return with_bounds(connection, lineage, Below(kin, own), here, gone) if bounded else lineage


def _whole_part(ground: _Ground, lot: int) -> dict[str, int]:
    amount = ground.kin.lots[lot].amount
    return share_of(divided(ground.natures[lot], amount, amount), ground.shares.get(Node(lot), {}))


def _steps(kin: Kin, found: Reached) -> list[Step]:
    """Parent to child, lowest child first."""
    ordered = sorted(found.links, key=lambda link: kin.lots[link.child].rank)
    return [(link.parent, link.child, link.basis) for link in ordered]


def _by_place(pieces: Iterable[Piece]) -> list[list[Piece]]:
    """One entry a lot and place, in that order."""
    grouped: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces:
        grouped.setdefault((piece.lying.lot, piece.lying.place), []).append(piece)
    return [some for _, some in sorted(grouped.items())]


def _by_shipment(kin: Kin, pieces: Iterable[Piece]) -> list[list[Piece]]:
    """One entry a shipment and unit, in that order."""
    grouped: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces:
        grouped.setdefault((piece.lying.shipment, kin.lots[piece.lot].unit), []).append(piece)
    return [some for _, some in sorted(grouped.items())]


def _on_hand(ground: _Ground, pieces: list[Piece]) -> OnHand:
    return OnHand(
        lot=pieces[0].lying.lot,
        place=pieces[0].lying.place,
        amount=sum(piece.amount for piece in pieces),
        unit=ground.kin.lots[pieces[0].lot].unit,
        part=_added(ground.part(piece) for piece in pieces),
    )


def _shipment(ground: _Ground, pieces: list[Piece]) -> Shipped:
    out = [piece for piece in pieces if not piece.lying.returned]
    back = [piece for piece in pieces if piece.lying.returned]
    lying: Lying = pieces[0].lying
    return Shipped(
        shipment=lying.shipment,
        customer=lying.customer,
        carriers=tuple(sorted({one.lying.spot for one in out} - {lying.shipment})),
        lots=tuple(sorted({piece.lying.lot for piece in out})),
        amount=sum(piece.amount for piece in out),
        unit=ground.kin.lots[pieces[0].lot].unit,
        part=_added(ground.part(piece) for piece in out),
        returned=sum(piece.amount for piece in back),
        back=_added(ground.part(piece) for piece in back),
    )


def _added(parts: Iterable[Mapping[str, int]]) -> dict[str, int]:
    found: dict[str, int] = {}
    for part in parts:
        for chain, amount in part.items():
            found[chain] = found.get(chain, 0) + amount
    return found
