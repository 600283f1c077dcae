"""How many stacks do ridge caps make, what do they weigh, and is the pace usual?

Stacks of ten and at least eight pieces a minute are common practice without a source, so both are the
plant's values and come with the call.
"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.sizes import MOST_PIECES, MOST_SECONDS, Size, amount, exact, nearest, positive


@dataclass(frozen=True, slots=True)
class Stacks:
    """Full stacks, and the pieces that make none."""

    full: int
    loose: int


def stacked(pieces: int, per_stack: int) -> Stacks:
    """Pieces in stacks of that many."""
    counted = amount(pieces, "number of caps", "pcs", MOST_PIECES, least=0)
    return Stacks(*divmod(counted, amount(per_stack, "caps in a stack", "pcs", 1_000)))


@exact
def mass_g(pieces: int, mg_per_piece: int) -> int:
    """Mass of so many caps, to the nearest gram."""
    counted = amount(pieces, "number of caps", "pcs", MOST_PIECES, least=0)
    return nearest(Decimal(counted) * amount(mg_per_piece, "mass of a cap", "mg", 100_000_000) / 1000)


@exact
def pieces_per_minute(pieces: int, seconds: int) -> Decimal:
    """Pace: plausibility and nothing else."""
    counted = amount(pieces, "number of caps", "pcs", MOST_PIECES, least=0)
    return Decimal(counted) * 60 / amount(seconds, "time", "s", MOST_SECONDS)


@exact
def longest_s(pieces: int, least_per_minute: Size) -> Decimal:
    """Seconds that so many caps take at the plant's least pace."""
    counted = amount(pieces, "number of caps", "pcs", MOST_PIECES, least=0)
    return counted * 60 / positive(least_per_minute, "least pace", "pcs/min", 1_000)
