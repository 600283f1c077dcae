"""What is at stake when lots are mixed: how much has to be recalled if one of the heats in them is bad?

A mix is of all heats that went into it, so any of them reaches all of it.
"""

from collections.abc import Iterable, Sequence
from itertools import combinations
from typing import NamedTuple

FEW = 2
"""As many heats as somebody sorting pans on a floor can keep together (ours)."""


class Part(NamedTuple):
    """A lot of a mix: its amount, and the heats it is known to be of."""

    amount: int
    heats: frozenset[str]


class Stake(NamedTuple):
    """The heats of a mix and its amount; `fewer`: what of it is of `FEW` of them alone, None if all is."""

    heats: tuple[str, ...]
    amount: int
    fewer: int | None


def stake_of(parts: Sequence[Part]) -> Stake:
    """What any heat of a mix would reach, and the most that could be mixed of a few heats alone."""
    heats = tuple(sorted(set().union(*(part.heats for part in parts))))
    amount = sum(part.amount for part in parts)
    fewer = _most_of(parts, combinations(heats, FEW)) if len(heats) > FEW else None
    return Stake(heats, amount, fewer)


def _most_of(parts: Sequence[Part], choices: Iterable[tuple[str, ...]]) -> int:
    return max(sum(part.amount for part in parts if part.heats <= set(choice)) for choice in choices)
