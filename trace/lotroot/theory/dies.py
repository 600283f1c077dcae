"""How much has gone through a die since it was recut, and when will it draw too thick?

A die wears open. Readings of the wire against the mass drawn since the recut lie near a line; where that
line meets the upper limit of the wire, the next change is due. A forecast and no verdict: readings judge.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.sizes import MOST_MASS_G, Size, amount, exact, nearest
from lotroot.theory.wire import diameter, mg_per_m

MOST_THROUGH_G = 1_000 * MOST_MASS_G
_TONNE_G = 1_000_000


@dataclass(frozen=True, slots=True)
class Through:
    """What went through a die since its recut: g, and mm of wire of the die's own size."""

    mass_g: int
    length_mm: int


@dataclass(frozen=True, slots=True)
class Reading:
    """A checked diameter of the wire, and what had gone through the die by then."""

    through_g: int
    diameter_mm: Decimal

    def __post_init__(self) -> None:
        """Raises Unreadable where one is no such amount or size."""
        amount(self.through_g, "mass through the die", "g", MOST_THROUGH_G, least=0)
        diameter(self.diameter_mm, "diameter read")


@dataclass(frozen=True, slots=True)
class Drift:
    """The line through the readings: diameter at recut, mm a tonne, and how far readings lie from it.

    `spread_mm` is the standard deviation about the line, None for two readings, which are always on it.
    """

    readings: int
    at_recut_mm: Decimal
    mm_per_tonne: Decimal
    spread_mm: Decimal | None


@exact
def through(outputs_g: Sequence[int], die_mm: Size) -> Through:
    """Mass and length through one die, from the masses drawn since its recut.

    The length is that behind this die, so it is shorter at the first die than at the last.
    """
    for mass in outputs_g:
        amount(mass, "mass drawn", "g", MOST_MASS_G)
    total = amount(sum(outputs_g), "mass through the die", "g", MOST_THROUGH_G, least=0)
    return Through(total, nearest(total * 1_000_000 / mg_per_m(die_mm)))


@exact
def drift(readings: Sequence[Reading]) -> Drift | None:
    """The line through the readings by least squares; None unless two differ in what went through."""
    if len({reading.through_g for reading in readings}) < 2:
        return None
    count = len(readings)
    tonnes = [Decimal(reading.through_g) / _TONNE_G for reading in readings]
    sizes = [reading.diameter_mm for reading in readings]
    middle, mean = _mean(tonnes), _mean(sizes)
    square = _sum((tonne - middle) ** 2 for tonne in tonnes)
    slope = _sum((t - middle) * (s - mean) for t, s in zip(tonnes, sizes, strict=True)) / square
    start = mean - slope * middle
    off = _sum((s - start - slope * t) ** 2 for t, s in zip(tonnes, sizes, strict=True))
    spread = (off / (count - 2)).sqrt() if count > 2 else None
    return Drift(count, start, slope, spread)


@exact
def due_g(line: Drift, upper_mm: Size) -> int | None:
    """What will have gone through when the line meets the wire's upper limit, in g since the recut.

    0 where it was above from the start; None where the line does not rise, so no change is in sight.
    """
    limit = diameter(upper_mm, "upper limit of the wire")
    if line.at_recut_mm >= limit:
        return 0
    if line.mm_per_tonne <= 0:
        return None
    return nearest((limit - line.at_recut_mm) / line.mm_per_tonne * _TONNE_G)


def _sum(values: Iterable[Decimal]) -> Decimal:
    return sum(values, Decimal(0))


def _mean(values: Sequence[Decimal]) -> Decimal:
    return _sum(values) / len(values)
