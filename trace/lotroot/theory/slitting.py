"""How do knives divide a coil across its width, and what does each strip weigh?

Lanes are counted in mm from the operator side; trim lies at both edges. Shares of the mass go by width and
add up to the coil exactly, to the gram. A mother coil with a crown gives lighter edge strips (from memory).
Each strip is as long as the coil; `coil.length_by_mass_mm` gives the length of a strip that was weighed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate, pairwise

from lotroot.quantities import share_out
from lotroot.theory.coil import width
from lotroot.theory.sizes import MICROMETRE, MOST_MASS_G, Size, amount, exact, not_negative, refused, shown

MOST_STRIPS = 100


@dataclass(frozen=True, slots=True)
class Lane:
    """A strip's place across the coil, in mm from the operator side."""

    from_mm: Decimal
    to_mm: Decimal

    @property
    def width_mm(self) -> Decimal:
        """Width of the strip."""
        return self.to_mm - self.from_mm


@dataclass(frozen=True, slots=True)
class Pattern:
    """A knife pattern that fits its coil: one lane a strip, and the trim on either side, 0 if none."""

    coil_mm: Decimal
    lanes: tuple[Lane, ...]
    operator_trim_mm: Decimal
    drive_trim_mm: Decimal


@dataclass(frozen=True, slots=True)
class Masses:
    """What the strips and the trim weigh, in g; together exactly the coil."""

    strips_g: tuple[int, ...]
    operator_trim_g: int
    drive_trim_g: int

    @property
    def total_g(self) -> int:
        """The coil's mass."""
        return sum(self.strips_g) + self.operator_trim_g + self.drive_trim_g


@exact
def pattern(coil_mm: Size, strips_mm: Sequence[Size], operator_trim_mm: Size | None = None) -> Pattern:
    """The lanes of these strips, in order from the operator side; trim is even where none is given.

    Raises Unreadable where strips and trim are wider than the coil, or a width is finer than a micrometre.
    """
    if not 1 <= len(strips_mm) <= MOST_STRIPS:
        raise refused("number of strips", len(strips_mm), "", f"Expected from 1 to {MOST_STRIPS}.")
    coil = _in_micrometres(width(coil_mm, "coil width"), "coil width")
    strips = [
        _in_micrometres(width(strip_mm, f"width of strip {place}"), f"width of strip {place}")
        for place, strip_mm in enumerate(strips_mm, start=1)
    ]
    together = sum(strips, Decimal(0))
    left = coil - together
    if left < 0:
        raise refused("sum of the strips", shown(together), "mm", f"Expected at most the coil, {coil} mm.")
    trim = (left / 2).quantize(MICROMETRE) if operator_trim_mm is None else _trim(operator_trim_mm, left)
    edges = list(accumulate(strips, initial=trim))
    lanes = tuple(Lane(low, high) for low, high in pairwise(edges))
    return Pattern(coil, lanes, trim, coil - edges[-1])


@exact
def masses_g(cut: Pattern, coil_g: int) -> Masses:
    """The coil's mass shared out by width: strip = coil x width / coil width. Sums to the gram."""
    mass = amount(coil_g, "coil mass", "g", MOST_MASS_G)
    widths = [*(lane.width_mm for lane in cut.lanes), cut.operator_trim_mm, cut.drive_trim_mm]
    *strips, operator, drive = share_out(mass, [int(one / MICROMETRE) for one in widths])
    return Masses(tuple(strips), operator, drive)


def lane_at(cut: Pattern, from_operator_mm: Size) -> int | None:
    """Which strip, counted from 0, a fault at that place across the coil is in; None in the trim."""
    place = not_negative(from_operator_mm, "place across the coil", "mm", cut.coil_mm)
    for number, lane in enumerate(cut.lanes):
        if lane.from_mm <= place < lane.to_mm:
            return number
    return None


def _trim(operator_trim_mm: Size, left: Decimal) -> Decimal:
    """The trim on the operator side. Raises Unreadable where there is not that much left."""
    trim = not_negative(operator_trim_mm, "trim on the operator side", "mm", left)
    return _in_micrometres(trim, "trim on the operator side")


def _in_micrometres(value_mm: Decimal, field: str) -> Decimal:
    if value_mm % MICROMETRE:
        raise refused(field, value_mm, "mm", "Expected at most three decimals.")
    return value_mm
