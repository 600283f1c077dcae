"""Which small parts of a picture of mass are drawn as one, so that the rest can be read?"""

from collections import Counter

from lotroot.tracing.mass_flow import SCRAP, SOURCE, Band, Flow, Node

MOST_ALIKE = 4
"""Scraps of one step, or sources of one node, shown one by one; of more, the smallest are gathered."""


def gathered(found: Flow, most: int = MOST_ALIKE) -> Flow:
    """The same with the smallest of many like leaves as one, `note` saying how many they are."""
    amounts, parts = found.amounts(), {node.key: node.part for node in found.nodes}
    alike: dict[tuple[str, str], list[str]] = {}
    leaves = Counter(end for band in found.bands for end in band[:2])
    for band in found.bands:
        for leaf, other in ((band.start, band.end), (band.end, band.start)):
            if leaves[leaf] == 1 and parts[leaf] in (SOURCE, SCRAP):
                alike.setdefault((parts[leaf], other), []).append(leaf)
    into: dict[str, Node] = {}
    for (part, other), some in alike.items():
        if len(some) > most:
            small = sorted(some, key=lambda key: (-amounts[key], key))[most - 1 :]
            key, note, at = f"{part}.others.{other}", f"{len(small)} others", found.node(other).code
            into |= dict.fromkeys(small, Node(key, part, "", note, at))
    nodes = dict.fromkeys(into.get(node.key, node) for node in found.nodes)
    bands = Counter[tuple[str, str]]()
    for band in found.bands:
        start, end = (into[key].key if key in into else key for key in band[:2])
        bands[start, end] += band.amount
    return Flow(found.unit, tuple(nodes), tuple(Band(*ends, amount) for ends, amount in bands.items()))
