"""What was this made of, in which parts?

Per stream, the parts of all sources and gaps sum to the asked amount of that stream, exactly.
"""

from sqlalchemy import Connection

from lotroot.genealogy.shares import in_units, shares
from lotroot.plant.adopted import plant_or_none
from lotroot.tracing.asking import Asked, in_grams
from lotroot.tracing.kin import Kin, kin_above
from lotroot.tracing.kinsmen import Found, kinsmen
from lotroot.tracing.lineage import Lineage
from lotroot.tracing.natures import Nature, divided, natures
from lotroot.tracing.nodes import ASKED, Way, way_up


def up(connection: Connection, asked: Asked) -> Lineage:
    """Everything the asked goods were made of, by live links."""
    kin = kin_above(connection, [part.lot.id for part in asked.parts])
    own = natures(connection, kin, [part.lot.id for part in asked.parts])
    amounts = amounts_asked(connection, asked, own)
    goods = [part.goods for part in asked.parts]
    way = way_up(kin, zip(goods, amounts, strict=True))
    parts = _parts(way, amounts)
    steps = _steps(kin, way)
    parents = {node.lot for node, _ in way.links}
    found = {lot: Found(parts.get(lot, {}), has_parents=lot in parents) for lot in [*_ids(asked), *parts]}
    return Lineage(asked, "up", kinsmen(connection, asked, kin, found, steps))


def amounts_asked(connection: Connection, asked: Asked, own: dict[int, Nature]) -> list[dict[str, int]]:
    """The asked amounts by stream, one entry a part; in g where a stream comes in several units."""
    found = [divided(own[part.lot.id], part.amount, part.lot.amount) for part in asked.parts]
    units: dict[str, set[str]] = {}
    for part in asked.parts:
        for stream in own[part.lot.id].sharing:
            units.setdefault(stream, set()).add(part.lot.unit)
    mixed = {stream for stream, some in units.items() if len(some) > 1}
    if mixed:
        plant = plant_or_none(connection)
        for part, streams in zip(asked.parts, found, strict=True):
            heavy = divided(own[part.lot.id], in_grams(plant, part), 1)
            streams.update({stream: heavy[stream] for stream in mixed & set(own[part.lot.id].sharing)})
    return found


def _ids(asked: Asked) -> list[int]:
    return [part.lot.id for part in asked.parts]


def _parts(way: Way, amounts: list[dict[str, int]]) -> dict[int, dict[str, int]]:
    totals: dict[str, int] = {}
    for streams in amounts:
        for stream, amount in streams.items():
            totals[stream] = totals.get(stream, 0) + amount
    found: dict[int, dict[str, int]] = {}
    for node, chains in in_units(shares(ASKED, way.edges), totals, way.edges).items():
        if node != ASKED:
            mine = found.setdefault(node.lot, {})
            for chain, part in chains.items():
                mine[chain] = mine.get(chain, 0) + part
    return found


def _steps(kin: Kin, way: Way) -> list[tuple[int, int, str]]:
    """Child to parent, highest child first."""
    ordered = sorted(way.links, key=lambda each: -kin.lots[each[0].lot].rank)
    return [(node.lot, strand.link.parent, strand.link.basis) for node, strand in ordered]
