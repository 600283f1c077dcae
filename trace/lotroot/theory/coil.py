"""How long and how heavy is a coil of strip, by its diameters and by its mass, and do both agree?

A thickness that is 2 % off is 2 % in length. Thickness includes coats, and a loosely wound coil is thicker
still by the gaps between its laps; where the coil was weighed, length by mass is the better one.
"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.constants import PI, steel_kg_per_m3
from lotroot.theory.sheet import thickness
from lotroot.theory.sizes import (
    MOST_COIL_MM,
    MOST_LENGTH_MM,
    MOST_MASS_G,
    MOST_WIDTH_MM,
    Size,
    amount,
    exact,
    nearest,
    positive,
    refused,
)


@dataclass(frozen=True, slots=True)
class Agreement:
    """Length of a coil by its diameters and by its mass, in mm; the difference in percent of the latter."""

    by_diameters_mm: int
    by_mass_mm: int
    difference_percent: Decimal


@exact
def face_mm2(outer_mm: Size, inner_mm: Size) -> Decimal:
    """Area of a coil's face: pi/4 (OD^2 - ID^2)."""
    outer = positive(outer_mm, "outer diameter", "mm", MOST_COIL_MM)
    inner = positive(inner_mm, "inner diameter", "mm", MOST_COIL_MM)
    if inner >= outer:
        raise refused("inner diameter", inner_mm, "mm", f"Expected less than the outer one, {outer_mm} mm.")
    return PI / 4 * (outer**2 - inner**2)


@exact
def length_by_diameters_mm(outer_mm: Size, inner_mm: Size, thickness_mm: Size) -> int:
    """Length of strip in a coil: face over thickness, to the nearest mm."""
    face, thick = face_mm2(outer_mm, inner_mm), thickness(thickness_mm)
    wall = (Decimal(outer_mm) - Decimal(inner_mm)) / 2
    if thick > wall:
        raise refused("sheet thickness", thickness_mm, "mm", f"Expected at most the coil's wall, {wall} mm.")
    return nearest(face / thick)


@exact
def mass_by_diameters_g(outer_mm: Size, inner_mm: Size, width_mm: Size) -> int:
    """Mass of a coil as if wound without gaps, all of it steel: density x width x face; nearest gram."""
    mg = steel_kg_per_m3() * width(width_mm) * face_mm2(outer_mm, inner_mm) / 1000
    return nearest(mg / 1000)


@exact
def length_by_mass_mm(mass_g: int, width_mm: Size, thickness_mm: Size) -> int:
    """Length of strip from its mass: mass / (density x width x thickness), to the nearest mm."""
    mg_per_m = steel_kg_per_m3() * width(width_mm) * thickness(thickness_mm)
    return nearest(amount(mass_g, "coil mass", "g", MOST_MASS_G) * 1_000_000 / mg_per_m)


@exact
def agreement(by_diameters_mm: int, by_mass_mm: int) -> Agreement:
    """How far the length by diameters lies above (+) the one by mass: gaps, or a wrong size or mass."""
    by_diameters = amount(by_diameters_mm, "length by diameters", "mm", MOST_LENGTH_MM)
    by_mass = amount(by_mass_mm, "length by mass", "mm", MOST_LENGTH_MM)
    return Agreement(by_diameters, by_mass, Decimal(100) * (by_diameters - by_mass) / by_mass)


def width(value_mm: Size, field: str = "width") -> Decimal:
    """A coil's or strip's width in mm, checked. Raises Unreadable."""
    return positive(value_mm, field, "mm", MOST_WIDTH_MM)
