"""What was this made of, in which parts?

Per stream, the parts of all sources and gaps, and of what is older than a long answer looks back, sum to
the asked amount of that stream, exactly.
"""

from collections.abc import Iterable, Mapping

from sqlalchemy import Connection

from lotroot.genealogy.shares import in_units, shares
from lotroot.tracing.asking import Asked, in_grams
from lotroot.tracing.bounds import bounds_up
from lotroot.tracing.bounds_behind import behind
from lotroot.tracing.kin import EVER, Kin, kin_above
from lotroot.tracing.kinsmen import Found, kinsmen
from lotroot.tracing.lineage import Lineage
from lotroot.tracing.natures import Nature, divided, natures
from lotroot.tracing.nodes import ASKED, Node, Way, way_up
from lotroot.tracing.window import left_out, looking_back


def up(connection: Connection, asked: Asked, *, bounded: bool = False) -> Lineage:
    """Everything the asked goods were made of, by live links, as far back as `tracing.window` goes.

    `bounded` tells least and most as well.
    """
    since = looking_back(connection, [part.lot for part in asked.parts])
    kin = kin_above(connection, [part.lot.id for part in asked.parts], since)
    own = natures(connection, kin, [part.lot.id for part in asked.parts])
    amounts = amounts_asked(connection, asked, own)
    goods = [part.goods for part in asked.parts]
    way = way_up(kin, zip(goods, amounts, strict=True))
    totals = _totals(amounts)
    nodes = shares(ASKED, way.edges)
    parts: dict[int, dict[str, int]] = {part.lot.id: {} for part in asked.parts}
    parts |= in_units(nodes, totals, way.edges, told_as=lambda node: node.lot)
    parts.pop(ASKED.lot, None)
    ends = _ends(way, nodes)
    bounds = bounds_up(connection, asked, kin, amounts, parts) if bounded else {}
    found = {lot: Found(part, lot in ends, bounds.get(lot, {})) for lot, part in parts.items()}
    lots = kinsmen(connection, asked, kin, found, _steps(kin, way))
    older = None if since == EVER else left_out(connection, lots, since)
    return behind(Lineage(asked, "up", lots, older=older))


def amounts_asked(connection: Connection, asked: Asked, own: dict[int, Nature]) -> list[dict[str, int]]:
    """The asked amounts by stream, one entry a part; in g where a stream comes in several units."""
    found = [divided(own[part.lot.id], part.amount, part.lot.amount) for part in asked.parts]
    units: dict[str, set[str]] = {}
    for part in asked.parts:
        for stream in own[part.lot.id].sharing:
            units.setdefault(stream, set()).add(part.lot.unit)
    mixed = {stream for stream, some in units.items() if len(some) > 1}
    if mixed:
        weights = in_grams(connection, asked.parts)
        for part, weight, streams in zip(asked.parts, weights, found, strict=True):
            heavy = divided(own[part.lot.id], weight, 1)
            streams.update({stream: heavy[stream] for stream in mixed & set(own[part.lot.id].sharing)})
    return found


def _totals(amounts: Iterable[Mapping[str, int]]) -> dict[str, int]:
    totals: dict[str, int] = {}
    for streams in amounts:
        _add(totals, streams)
    return totals


def _add(sums: dict[str, int], parts: Mapping[str, int]) -> None:
    for chain, part in parts.items():
        sums[chain] = sums.get(chain, 0) + part


def _ends(way: Way, nodes: Mapping[Node, Mapping[str, int]]) -> set[int]:
    """The lots that have no parent in a stream they were reached by."""
    fed = {(edge.child, edge.stream) for edge in way.edges}
    return {
        node.lot
        for node, chains in nodes.items()
        if any((node, chain.rpartition("/")[2]) not in fed for chain in chains)
    }


def _steps(kin: Kin, way: Way) -> list[tuple[int, int, str]]:
    """Child to parent, highest child first."""
    ordered = sorted(way.links, key=lambda each: -kin.lots[each[0].lot].rank)
    return [(node.lot, strand.link.parent, strand.link.basis) for node, strand in ordered]
