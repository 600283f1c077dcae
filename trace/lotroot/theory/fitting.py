"""What factor do a plant's own weighed rolls ask for on top of theory?

Theory leaves out what a machine does: bends, knuckles, edges, twist. A plant weighs rolls and lets their
mean ratio to theory be its factor. How many rolls are enough is for the caller to say.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.sizes import MOST_MASS_G, Size, amount, exact, nearest, positive, refused

LEAST_FACTOR, MOST_FACTOR = Decimal("0.3"), Decimal(3)
"""Beyond these it is another product, whatever a plant says; one printed fabric is 1.58 times its theory."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A roll: its mass without tare, and what theory says of the same length."""

    mass_g: int
    theory_g: int

    def __post_init__(self) -> None:
        """Raises Unreadable where one is no mass."""
        amount(self.mass_g, "mass of the roll", "g", MOST_MASS_G)
        amount(self.theory_g, "mass by theory", "g", MOST_MASS_G)


@dataclass(frozen=True, slots=True)
class Fit:
    """Mass over theory, roll by roll: how many, mean, standard deviation (None for one roll), extremes."""

    rolls: int
    mean_ratio: Decimal
    deviation: Decimal | None
    smallest: Decimal
    largest: Decimal


@exact
def fit(rolls: Sequence[Weighed]) -> Fit:
    """The plant's factor from weighed rolls; each counts alike. Raises Unreadable if there are none."""
    if not rolls:
        raise refused("number of weighed rolls", 0, "", "Expected at least one.")
    ratios = [Decimal(roll.mass_g) / roll.theory_g for roll in rolls]
    count = len(ratios)
    mean = sum(ratios) / Decimal(count)
    square = sum((ratio - mean) ** 2 for ratio in ratios)
    deviation = (Decimal(square) / (count - 1)).sqrt() if count > 1 else None
    return Fit(count, mean, deviation, min(ratios), max(ratios))


@exact
def with_factor_g(theory_g: int, factor: Size) -> int:
    """Theory times the plant's factor, to the nearest gram."""
    mass = amount(theory_g, "mass by theory", "g", MOST_MASS_G)
    return nearest(mass * positive(factor, "plant factor", "", MOST_FACTOR, LEAST_FACTOR))
