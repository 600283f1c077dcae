"""Which part of a lot came from each ancestor, and which part of each descendant came from a lot?

Expected parts, in integers (RULES.md 4). The asked lot is `WHOLE` in each stream. A lot reached through
another stream stands under the chain of streams on the way, "wood/solution" (RULES.md 2).
"""

from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import Generic, NamedTuple, TypeVar

from lotroot.errors import Fault
from lotroot.quantities import share_out, split_cumulative

WHOLE = 2**64

Lot = TypeVar("Lot", bound=Hashable)
Told = TypeVar("Told", bound=Hashable)


class Edge(NamedTuple, Generic[Lot]):
    """A live link as the walk needs it; `given` in the closing unit of its stream, `seq` its order."""

    child: Lot
    child_rank: int
    seq: int
    parent: Lot
    stream: str
    given: int


def shares(target: Lot, edges: Iterable[Edge[Lot]]) -> dict[Lot, dict[str, int]]:
    """The part of `target`, in `WHOLE`ths by chain of streams, that came from it and each ancestor.

    `edges` holds all live links of the target and of its ancestors; others do no harm. Parents get their
    child's part by cumulative floor in link order, so per chain each level adds up exactly. Where a
    child's links of a stream give nothing at all, they count alike. Raises Fault where a parent does not
    rank below its child.
    """
    inputs = _inputs(edges)
    found: dict[Lot, dict[str, int]] = {target: dict.fromkeys(inputs.get(target, {}), WHOLE)}
    for child, streams in reversed(inputs.items()):
        for chain, share in found.get(child, {}).items():
            for stream, links in streams.items():
                if child == target and stream != chain:
                    continue  # each of its own streams is a whole of its own
                longer = chain if _last(chain) == stream else f"{chain}/{stream}"
                for link, part in zip(links, split_cumulative(share, _weights(links)), strict=True):
                    _add(found, link.parent, longer, part)
    return found


def in_units(
    parts: Mapping[Lot, Mapping[str, int]],
    amounts: Mapping[str, int],
    edges: Iterable[Edge[Lot]],
    told_as: Callable[[Lot], Told],
) -> dict[Told, dict[str, int]]:
    """The `parts` of `shares` in base units of the asked lot: `amounts` is its own, stream by stream.

    A chain counts in the unit of its first stream. What has no parents in a chain's last stream (sources
    and gaps) gets its part by largest remainder, so that per stream these sum to the asked amount; what
    lies between is rounded. Pieces that are `told_as` one lot are summed before that: a lot met in three
    pieces is a unit off at most, as one met whole is.
    """
    fed = {(edge.child, edge.stream) for edge in edges}
    found: dict[Told, dict[str, int]] = {told_as(lot): {} for lot in parts}
    for chain in dict.fromkeys(chain for chains in parts.values() for chain in chains):
        amount = amounts[chain.partition("/")[0]]
        ends: dict[Told, int] = {}
        between: dict[Told, int] = {}
        for lot, chains in parts.items():
            if chain in chains:
                sums = between if (lot, _last(chain)) in fed else ends
                sums[told_as(lot)] = sums.get(told_as(lot), 0) + chains[chain]
        ordered = sorted(ends, key=repr)
        weights = [ends[told] for told in ordered]
        # A chain need not carry the whole lot, and one treated twice carries it twice.
        wholes = -(-sum(weights) // WHOLE)
        rest = wholes * WHOLE - sum(weights)
        for told, units in zip(ordered, share_out(amount * wholes, [*weights, rest]), strict=False):
            found[told][chain] = units
        for told, part in between.items():
            rounded = (2 * amount * part + WHOLE) // (2 * WHOLE)
            found[told][chain] = found[told].get(chain, 0) + rounded
    return found


def reach(source: Lot, edges: Iterable[Edge[Lot]]) -> dict[Lot, dict[str, int]]:
    """The part of each descendant, in `WHOLE`ths by chain of streams, that came from `source`.

    `edges` holds all live links of each descendant, those to other parents too. A chain reads from the
    descendant up. The source itself is left out. Raises Fault where a parent does not rank below its
    child.
    """
    found: dict[Lot, dict[str, int]] = {}
    for child, streams in _inputs(edges).items():
        for stream, links in streams.items():
            sums: dict[str, int] = {}
            weights = _weights(links)
            for link, weight in zip(links, weights, strict=True):
                chains = {stream: WHOLE} if link.parent == source else found.get(link.parent, {})
                for chain, share in chains.items():
                    longer = chain if chain.partition("/")[0] == stream else f"{stream}/{chain}"
                    sums[longer] = sums.get(longer, 0) + share * weight
            for chain, amount in sums.items():
                _add(found, child, chain, amount // sum(weights))
    return found


def _inputs(edges: Iterable[Edge[Lot]]) -> dict[Lot, dict[str, list[Edge[Lot]]]]:
    """The links of each child by stream, lowest rank first, links in their order."""
    ordered = sorted(edges, key=lambda edge: (edge.child_rank, edge.seq))
    ranks = {edge.child: edge.child_rank for edge in ordered}
    found: dict[Lot, dict[str, list[Edge[Lot]]]] = {}
    for edge in ordered:
        if ranks.get(edge.parent, edge.child_rank - 1) >= edge.child_rank:
            raise Fault(
                f"The rank of {edge.parent} is not below that of {edge.child}, which was made of it.",
                value=str(edge.parent),
                expected=f"A rank below {edge.child_rank}.",
                next_step="Run verify and have the ranks looked at.",
            )
        found.setdefault(edge.child, {}).setdefault(edge.stream, []).append(edge)
    return found


def _weights(links: list[Edge[Lot]]) -> list[int]:
    given = [link.given for link in links]
    return given if any(given) else [1 for _ in links]


def _last(chain: str) -> str:
    return chain.rpartition("/")[2]


def _add(found: dict[Lot, dict[str, int]], lot: Lot, chain: str, part: int) -> None:
    chains = found.setdefault(lot, {})
    chains[chain] = chains.get(chain, 0) + part
