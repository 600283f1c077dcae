"""How heavy and how long is a round wire, and what do its coats add?

A diameter that is 1 % off is 2 % in mass; within the +/-0.08 mm of IS 278:1978, wire of 2.5 mm weighs 6 %
more or less than theory. So a stripper is weighed, and theory asks whether the counter can be right.
"""

from decimal import Decimal

from lotroot.theory.constants import PI, steel_kg_per_m3
from lotroot.theory.sizes import (
    LEAST_WIRE_MM,
    MOST_COAT_G_PER_M2,
    MOST_LENGTH_MM,
    MOST_MASS_G,
    MOST_WIRE_MM,
    Size,
    amount,
    exact,
    nearest,
    not_negative,
    positive,
    refused,
)


def diameter(value_mm: Size, field: str = "wire diameter") -> Decimal:
    """A wire's diameter in mm, checked. Raises Unreadable."""
    return positive(value_mm, field, "mm", MOST_WIRE_MM, LEAST_WIRE_MM)


@exact
def area_mm2(diameter_mm: Size) -> Decimal:
    """Cross-section of a round wire: pi d^2 / 4."""
    return PI * diameter(diameter_mm) ** 2 / 4


@exact
def diameter_of_area_mm(area_mm2: Size) -> Decimal:
    """Diameter of the round wire with that cross-section; wire for fabric is also named by its area."""
    area = positive(area_mm2, "wire area", "mm2", MOST_WIRE_MM**2)
    return (4 * area / PI).sqrt()


@exact
def mg_per_m(diameter_mm: Size, density_kg_per_m3: Size | None = None) -> Decimal:
    """Mass of a metre of round wire: density x pi d^2 / 4, for kg/m3 x mm2 is mg/m.

    Steel where no density is given. The same as 1273.24 / (7.85 d^2) metres in a kilogram.
    """
    density = steel_kg_per_m3() if density_kg_per_m3 is None else _density(density_kg_per_m3)
    return density * area_mm2(diameter_mm)


@exact
def mass_g(diameter_mm: Size, length_mm: int) -> int:
    """Mass of a length of steel wire, to the nearest gram: twice the length is twice it, to one gram."""
    length = amount(length_mm, "wire length", "mm", MOST_LENGTH_MM)
    return nearest(mg_per_m(diameter_mm) * length / 1_000_000)


@exact
def length_mm(diameter_mm: Size, mass_g: int) -> int:
    """Length of a stripper or coil of steel wire from its mass, to the nearest mm."""
    mass = amount(mass_g, "mass of wire", "g", MOST_MASS_G)
    return nearest(mass * 1_000_000 / mg_per_m(diameter_mm))


@exact
def m_per_kg(diameter_mm: Size) -> Decimal:
    """Metres of steel wire in a kilogram."""
    return 1_000_000 / mg_per_m(diameter_mm)


@exact
def counter_off_percent(counter_mm: int, mass_g: int, diameter_mm: Size) -> Decimal:
    """How far a length counter is from the length that the mass gives, in percent of the latter."""
    counted = amount(counter_mm, "length by counter", "mm", MOST_LENGTH_MM)
    by_mass = amount(mass_g, "mass of wire", "g", MOST_MASS_G) * m_per_kg(diameter_mm)
    return 100 * (counted - by_mass) / by_mass


@exact
def break_load_n(diameter_mm: Size, tensile_mpa: Size) -> Decimal:
    """Load at which a wire of that strength breaks, in newtons: MPa x mm2."""
    return positive(tensile_mpa, "tensile strength", "MPa", 5_000) * area_mm2(diameter_mm)


# ---------------------------------------------------------------- coats


@exact
def zinc_mg_per_m(diameter_mm: Size, coating_g_per_m2: Size) -> Decimal:
    """Zinc on a metre of wire: pi d x coating, for mm x g/m2 is mg/m. It is an input of its own."""
    coating = not_negative(coating_g_per_m2, "zinc coating", "g/m2", MOST_COAT_G_PER_M2)
    return PI * diameter(diameter_mm) * coating


@exact
def strip_test_g_per_m2(coated_mg: int, stripped_mg: int, stripped_mm: Size) -> Decimal:
    """Zinc coating by weighing a piece before and after stripping, in g/m2.

    (W1 - W2) / W2 x d x density / 4, for W2 = density x pi d^2 / 4 x L and the area is pi d L. ASTM A90
    has 1960 (from memory), within 0.2 % of ours.
    """
    coated = amount(coated_mg, "mass before stripping", "mg", MOST_MASS_G)
    stripped = amount(stripped_mg, "mass after stripping", "mg", MOST_MASS_G)
    if stripped > coated:
        raise refused("mass after stripping", stripped, "mg", f"Expected at most {coated} mg, as before.")
    return Decimal(coated - stripped) / stripped * strip_test_factor() * diameter(stripped_mm)


@exact
def strip_test_factor() -> Decimal:
    """g/m2 of zinc on a wire of 1 mm that loses as much as is left: steel density / 4."""
    return steel_kg_per_m3() / 4


@exact
def over_coat_mm(core_mm: Size, coat_mm: Size) -> Decimal:
    """Diameter over a coat of that thickness: core + 2 x coat."""
    return diameter(core_mm, "core diameter") + 2 * positive(coat_mm, "coat thickness", "mm", 10)


@exact
def pvc_mg_per_m(core_mm: Size, over_mm: Size, pvc_kg_per_m3: Size) -> Decimal:
    """PVC on a metre of wire: density x pi/4 (D^2 - d^2), an input of its own.

    The density is the compound's own: published figures for soft PVC run from 1100 to 1700 kg/m3.
    """
    core, over = diameter(core_mm, "core diameter"), diameter(over_mm, "diameter over the coat")
    if over <= core:
        raise refused("diameter over the coat", over_mm, "mm", f"Expected more than the core, {core_mm} mm.")
    return _density(pvc_kg_per_m3) * PI / 4 * (over**2 - core**2)


def _density(kg_per_m3: Size) -> Decimal:
    return positive(kg_per_m3, "density", "kg/m3", 25_000, 100)
