"""How is a part known, over all the links that lead to it?"""

from collections.abc import Iterable

BASES = ("weighed", "counted", "theirs", "calculated", "estimated", "apportioned", "bounded")
"""How an amount is known, the surest first (DESIGN.md 2.9); *theirs* is what the supplier's papers say."""


def weakest(asked: Iterable[int], steps: Iterable[tuple[int, int, str]]) -> dict[int, str]:
    """The weakest basis on any way from the asked lots to each lot.

    Steps go from lot to lot; those into a lot come before those out of it.
    """
    found = dict.fromkeys(asked, 0)
    for one, other, basis in steps:
        weak = max(found[one], strength(basis))
        found[other] = max(found.get(other, 0), weak)
    return {lot: BASES[weak] for lot, weak in found.items()}


def strength(basis: str) -> int:
    """How weak a basis is; what is not known to be one counts as the weakest."""
    return BASES.index(basis) if basis in BASES else len(BASES) - 1
