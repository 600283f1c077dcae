"""How many nails are in a kilogram or a box, and what wire do they need?

A nail counts as a plain cylinder of its shank: the head adds what the point takes. Published counts of
common nails from 2d to 20d agree within 3 %, thin short nails within 7 %; nails with large heads do not,
so give head and point where they are known. IS 723:1972 itself warns that counts vary.
"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.constants import PI
from lotroot.theory.sizes import (
    MOST_MASS_G,
    MOST_PIECES,
    MOST_SECONDS,
    Size,
    amount,
    exact,
    nearest,
    not_negative,
    positive,
    refused,
)
from lotroot.theory.wire import area_mm2, diameter, mg_per_m


@dataclass(frozen=True, slots=True)
class HeadAndPoint:
    """A flat round head above the length, and a point within it, in mm; 0 where there is none."""

    head_mm: Decimal
    head_thickness_mm: Decimal
    point_mm: Decimal


@dataclass(frozen=True, slots=True)
class Nail:
    """Shank diameter and length in mm; `ends` where head and point are known."""

    shank_mm: Decimal
    length_mm: Decimal
    ends: HeadAndPoint | None = None

    def __post_init__(self) -> None:
        """Raises Unreadable where it could be no nail."""
        shank = diameter(self.shank_mm, "shank diameter")
        positive(self.length_mm, "nail length", "mm", 1_000, Decimal(1))
        if self.length_mm <= shank:
            raise refused("nail length", self.length_mm, "mm", f"Expected more than its shank, {shank} mm.")
        if self.ends:
            _check_ends(self.ends, self)


def _check_ends(ends: HeadAndPoint, nail: Nail) -> None:
    not_negative(ends.head_thickness_mm, "head thickness", "mm", 20)
    not_negative(ends.head_mm, "head diameter", "mm", 100)
    not_negative(ends.point_mm, "point length", "mm", nail.length_mm)
    if ends.head_thickness_mm and ends.head_mm < nail.shank_mm:
        expected = f"Expected at least its shank, {nail.shank_mm} mm."
        raise refused("head diameter", ends.head_mm, "mm", expected)


@exact
def mg_per_piece(nail: Nail) -> Decimal:
    """Mass of one nail: shank x length, plus the head and less the point where they are known.

    The head is a flat cylinder; a point keeps a third of its length's steel, as a cone does (geometry,
    not tried against weighed nails).
    """
    return mg_per_m(nail.shank_mm) * wire_mm_per_piece(nail) / 1000


@exact
def wire_mm_per_piece(nail: Nail) -> Decimal:
    """Length of wire of the shank's size that has the nail's mass; whiskers at the point come on top."""
    length = Decimal(nail.length_mm)
    if nail.ends:
        head = PI / 4 * nail.ends.head_mm**2 * nail.ends.head_thickness_mm
        length += head / area_mm2(nail.shank_mm) - nail.ends.point_mm * 2 / 3
    return length


@exact
def count_per_kg(nail: Nail) -> Decimal:
    """Nails in a kilogram."""
    return 1_000_000 / mg_per_piece(nail)


@exact
def pieces_in(mass_g: int, nail: Nail) -> int:
    """Nails in a box or lot of that net mass, to the nearest."""
    return nearest(amount(mass_g, "mass of nails", "g", MOST_MASS_G) * count_per_kg(nail) / 1000)


@exact
def mass_g(pieces: int, nail: Nail) -> int:
    """Mass of so many nails, to the nearest gram."""
    return nearest(amount(pieces, "number of nails", "pcs", MOST_PIECES) * mg_per_piece(nail) / 1000)


@exact
def wire_needed_g(pieces: int, nail: Nail, scrap_percent: Size = 0) -> int:
    """Wire for so many nails where that part of the wire ends as whiskers and rejects, in g."""
    scrap = not_negative(scrap_percent, "scrap", "%", 50)
    made = amount(pieces, "number of nails", "pcs", MOST_PIECES) * mg_per_piece(nail)
    return nearest(made / (1 - scrap / 100) / 1000)


@exact
def fits_wire(nail: Nail, wire_mm: Size, either_mm: Size) -> bool:
    """Whether wire of that size makes this nail: its shank, give or take the tolerance.

    GSA A-A-1963: +/-0.002 in at 0.076 in and under, +/-0.004 in over.
    """
    either = positive(either_mm, "shank tolerance", "mm", 1)
    return abs(diameter(wire_mm) - nail.shank_mm) <= either


@exact
def pieces_per_minute(mass_g: int, nail: Nail, seconds: int) -> Decimal:
    """Pace of a nail machine from the mass made in a time: plausibility and nothing else."""
    made = amount(mass_g, "mass of nails", "g", MOST_MASS_G) * count_per_kg(nail) / 1000
    return made * 60 / amount(seconds, "time", "s", MOST_SECONDS)
