"""What is still sure of a part where an answer does not look back all the way?

A lot older than what was not followed any further may have given to that as well: it can be more than what
was found. What is younger cannot be behind it.
"""

from collections.abc import Mapping
from dataclasses import replace

from lotroot.tracing.between import Bound
from lotroot.tracing.lineage import Kinsman, Lineage


def behind(lineage: Lineage) -> Lineage:
    """A lineage upwards whose bounds hold for what it left out as well."""
    cut = [one for one in lineage.lots if lineage.older and one.lot.number in lineage.older.lots]
    if not cut:
        return lineage
    youngest = max(one.lot.rank for one in cut)
    more: dict[str, int] = {}
    for one in cut:
        for chain, bound in one.bounds.items():
            more[chain] = more.get(chain, 0) + bound.most
    asked: dict[str, int] = {}
    for one in lineage.lots:
        for chain, part in one.part.items() if not one.depth else ():
            asked[chain] = asked.get(chain, 0) + part
    return replace(
        lineage,
        lots=tuple(_wider(one, more, asked) if one.lot.rank < youngest else one for one in lineage.lots),
    )


def _wider(one: Kinsman, more: Mapping[str, int], asked: Mapping[str, int]) -> Kinsman:
    bounds = {}
    for chain, bound in one.bounds.items():
        most = bound.most + more.get(chain, 0)
        limit = max(asked[chain], bound.most) if chain in asked else most
        bounds[chain] = Bound(bound.least, min(most, limit), exact=False)
    return replace(one, bounds=bounds)
