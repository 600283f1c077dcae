"""How heavy is a square metre of sheet steel, and how thick is the zinc on it?

Gauge tables give a nominal weight that is 2.4 % more than thickness x density. A balance uses one of
them: here thickness x density, and the nominal one only to read a table.
"""

from decimal import Decimal

from lotroot.theory.constants import constant, steel_kg_per_m3
from lotroot.theory.sizes import (
    MOST_COAT_G_PER_M2,
    MOST_SHEET_MM,
    Size,
    exact,
    not_negative,
    positive,
    refused,
)


def thickness(value_mm: Size, field: str = "sheet thickness") -> Decimal:
    """A sheet's thickness in mm, checked. Raises Unreadable."""
    return positive(value_mm, field, "mm", MOST_SHEET_MM, Decimal("0.01"))


@exact
def steel_g_per_m2(base_mm: Size) -> Decimal:
    """Mass of steel by its thickness: kg/m3 x mm is g/m2."""
    return steel_kg_per_m3() * thickness(base_mm)


@exact
def gauge_table_g_per_m2(thickness_mm: Size) -> Decimal:
    """What the Manufacturers' Standard Gauge calls the weight of that thickness; 41.82 lb/ft2 per inch."""
    return _gauge_g_per_m2_per_mm() * thickness(thickness_mm)


@exact
def gauge_table_zinc_mm(coating_g_per_m2: Size) -> Decimal:
    """What gauge tables add to the thickness for zinc: they convert it at their figure for steel.

    A convention and no measurement: at 7.14 g/m2 per um the same zinc is an eighth thicker.
    """
    return _coating(coating_g_per_m2) / _gauge_g_per_m2_per_mm()


@exact
def g_per_m2_of_oz_per_ft2(oz_per_ft2: Size) -> Decimal:
    """Mass on an area from ounces per square foot; 16 oz are a pound."""
    return positive(oz_per_ft2, "mass", "oz/ft2", 2_000) * constant("ounce per square foot")


@exact
def zinc_um(coating_g_per_m2: Size, zinc_g_per_cm3: Size | None = None) -> Decimal:
    """Thickness of a zinc coat, in um: g/m2 over g/cm3.

    ASTM A653 takes 7.14, EN 10346 7.1 (zinc with 5 % aluminium 6.9); the first where none is given.
    """
    given = zinc_g_per_cm3 is not None
    density = zinc_g_per_cm3 if given else constant("zinc coating mass per thickness, ASTM")
    return _coating(coating_g_per_m2) / positive(density or 0, "density of zinc", "g/cm3", 8, 2)


@exact
def zinc_um_per_side(total_g_per_m2: Size, zinc_g_per_cm3: Size | None = None) -> Decimal:
    """Thickness of the zinc on one side where both sides together carry `total_g_per_m2`."""
    return zinc_um(total_g_per_m2, zinc_g_per_cm3) / 2


@exact
def least_one_side_g_per_m2(single_spot_g_per_m2: Size, part_percent: Size) -> Decimal:
    """The least zinc on one side where the rule is a part of the single-spot figure.

    ASTM A653/A653M-15 Table 1: 40 %.
    """
    part = positive(part_percent, "part on one side", "%", 50)
    return _coating(single_spot_g_per_m2) * part / 100


@exact
def base_mm(total_mm: Size, coating_g_per_m2: Size) -> Decimal:
    """Thickness of the steel under its zinc: coated sheet is ordered with the zinc included (ASTM A924)."""
    total = thickness(total_mm)
    coat = zinc_um(coating_g_per_m2) / 1000
    if coat >= total:
        raise refused("sheet thickness", total_mm, "mm", f"Expected more than its zinc, {coat:.3f} mm.")
    return total - coat


def _coating(g_per_m2: Size) -> Decimal:
    return not_negative(g_per_m2, "zinc coating", "g/m2", MOST_COAT_G_PER_M2)


def _gauge_g_per_m2_per_mm() -> Decimal:
    """lb/ft2 per inch, in g/m2 per mm."""
    pounds = (
        constant("manufacturers' standard gauge, weight per inch") * 16 * constant("ounce per square foot")
    )
    return pounds / constant("inch")
