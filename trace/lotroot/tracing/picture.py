"""What stands in the picture of a lineage: which lots and shipments, how they hang together, what is folded?

Everything above and below the asked goods by live links, and the shipments that some of it left on. Amounts
are in base units.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.tracing.asking import Asked, asked
from lotroot.tracing.downward import down
from lotroot.tracing.folding import Node, Strand, folded
from lotroot.tracing.kin import EVER, Kin, kin_above, kin_below
from lotroot.tracing.lineage import Kinsman, Lineage, Older
from lotroot.tracing.upward import up
from lotroot.tracing.words import Words


class Picture(NamedTuple):
    """Nodes in a stable order, the strands between them, how many lots were looked at, what was not."""

    asked: Asked
    nodes: tuple[Node, ...]
    strands: tuple[Strand, ...]
    visited: int
    older: Older | None = None


def picture(connection: Connection, text: str, unfold: Iterable[str] = ()) -> Picture:
    """The lineage of goods, up and down, as a picture; `unfold` names folds (their keys) to show whole.

    Raises Unknown and Unreadable as `asked` does.
    """
    goods = asked(connection, text)
    above, below, words = up(connection, goods), down(connection, goods), Words(connection)
    lots = {one.lot.number: one for one in (*below.lots, *above.lots)}
    own = {part.lot.number for part in goods.parts}
    cut = above.older.lots if above.older else frozenset()
    nodes = [_node(one, words, number in own, number in cut) for number, one in sorted(lots.items())]
    ids = [part.lot.id for part in goods.parts]
    since = above.older.before if above.older else EVER
    kin = (kin_above(connection, ids, since), kin_below(connection, ids))
    strands = [strand for one in kin for strand in _strands(one, lots)]
    sent, loaded = _shipments(below, words)
    nodes, strands = folded([*nodes, *sent], [*dict.fromkeys(strands), *loaded], frozenset(unfold))
    return Picture(goods, tuple(nodes), tuple(strands), len(lots), above.older)


def _node(one: Kinsman, words: Words, own: bool, cut: bool) -> Node:
    row = one.lot
    return Node(
        key=row.number,
        letter=row.number[0],
        title=shown(row.number),
        words=words.product(row.product) or words.kind(row.kind),
        amounts={row.unit: row.amount},
        members=(row.number,),
        held=one.held,
        gap=one.gap and not cut,
        asked=own,
    )


def _strands(kin: Kin, lots: Mapping[str, Kinsman]) -> list[Strand]:
    """The links between the lots of the picture, those of one stream between two lots together."""
    sums: dict[tuple[str, str, str], int] = {}
    for links in kin.links.values():
        for link in links:
            parent, child = kin.lots[link.parent].number, kin.lots[link.child].number
            if parent in lots and child in lots:
                key = (parent, child, link.stream)
                sums[key] = sums.get(key, 0) + link.given
    return [Strand(*key, given) for key, given in sorted(sums.items())]


def _shipments(below: Lineage, words: Words) -> tuple[list[Node], list[Strand]]:
    nodes: dict[str, Node] = {}
    strands: list[Strand] = []
    for one in below.shipments:
        known = nodes.get(one.shipment)
        amounts = {**(known.amounts if known else {}), one.unit: one.amount}
        nodes[one.shipment] = Node(
            key=one.shipment,
            letter=Family.SHIPMENT,
            title=shown(one.shipment),
            words=words.party(one.customer),
            amounts=amounts,
            members=(one.shipment,),
        )
        strands += [Strand(lot, one.shipment, "", 0) for lot in one.lots]
    return [nodes[key] for key in sorted(nodes)], list(dict.fromkeys(strands))
