"""What was made of this, in which parts, where does it stand, and who has it?"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.genealogy.shares import reach
from lotroot.stock.standing import weights_of
from lotroot.tracing.asking import Asked
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


def down(connection: Connection, asked: Asked, apart_from: Asked | None = None) -> Lineage:
    """Everything made of the asked goods by live links, what of it and of them stands where, what left.

    Of what stands and left, goods of `apart_from` are not told.
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
    return Lineage(asked, "down", lots, tuple(_on_hand(ground, standing)), tuple(_shipments(ground, left)))


def _whole_part(ground: _Ground, lot: int) -> dict[str, int]:
    amount = ground.kin.lots[lot].amount
    return share_of(divided(ground.natures[lot], amount, amount), ground.shares.get(Node(lot), {}))


def _steps(kin: Kin, found: Reached) -> list[Step]:
    """Parent to child, lowest child first."""
    ordered = sorted(found.links, key=lambda link: kin.lots[link.child].rank)
    return [(link.parent, link.child, link.basis) for link in ordered]


def _on_hand(ground: _Ground, pieces: Iterable[Piece]) -> list[OnHand]:
    """One entry a lot and place, in that order."""
    grouped: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces:
        grouped.setdefault((piece.lying.lot, piece.lying.place), []).append(piece)
    return [
        OnHand(
            lot=lot,
            place=place,
            amount=sum(piece.amount for piece in some),
            unit=ground.kin.lots[some[0].lot].unit,
            part=_added(ground.part(piece) for piece in some),
        )
        for (lot, place), some in sorted(grouped.items())
    ]


def _shipments(ground: _Ground, pieces: Iterable[Piece]) -> list[Shipped]:
    """One entry a shipment and unit, in that order."""
    grouped: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces:
        unit = ground.kin.lots[piece.lot].unit
        grouped.setdefault((piece.lying.shipment, unit), []).append(piece)
    return [_shipment(ground, unit, some) for (_, unit), some in sorted(grouped.items())]


def _shipment(ground: _Ground, unit: str, pieces: list[Piece]) -> Shipped:
    out = [piece for piece in pieces if not piece.lying.returned]
    lying: Lying = pieces[0].lying
    return Shipped(
        shipment=lying.shipment,
        customer=lying.customer,
        carriers=tuple(sorted({one.lying.spot for one in out} - {lying.shipment})),
        lots=tuple(sorted({piece.lying.lot for piece in out})),
        amount=sum(piece.amount for piece in out),
        unit=unit,
        part=_added(ground.part(piece) for piece in out),
        returned=sum(piece.amount for piece in pieces if piece.lying.returned),
    )


def _added(parts: Iterable[Mapping[str, int]]) -> dict[str, int]:
    found: dict[str, int] = {}
    for part in parts:
        for chain, amount in part.items():
            found[chain] = found.get(chain, 0) + amount
    return found
