"""What does a profiled sheet weigh, and what does a bundle of a cut list come to?

kg/m = width of the flat strip x (base steel + zinc + paint); the profile takes nothing away. Cover width
gives square metres of roof and nothing else. Take the coating of the coil that runs, not a usual one:
one published table is 1.3 to 2.8 % heavier than 275 g/m2 of zinc would make it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.coil import width
from lotroot.theory.sheet import steel_g_per_m2
from lotroot.theory.sizes import (
    MOST_COAT_G_PER_M2,
    MOST_LENGTH_MM,
    MOST_MASS_G,
    MOST_PIECES,
    Size,
    amount,
    exact,
    nearest,
    not_negative,
    positive,
    refused,
)


@dataclass(frozen=True, slots=True)
class Strip:
    """The flat strip that runs in: width and base steel in mm, zinc and paint of both sides in g/m2."""

    width_mm: Decimal
    base_mm: Decimal
    zinc_g_per_m2: Decimal = Decimal(0)
    paint_g_per_m2: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a cut list: so many sheets of one length."""

    length_mm: int
    count: int

    def __post_init__(self) -> None:
        """Raises Unreadable where it could be no sheet."""
        amount(self.length_mm, "sheet length", "mm", 50_000)
        amount(self.count, "number of sheets", "pcs", MOST_PIECES)


@dataclass(frozen=True, slots=True)
class Bundle:
    """What a cut list comes to: sheets, their length together, mass, and roof covered."""

    pieces: int
    running_mm: int
    mass_g: int
    cover_cm2: int


@exact
def mg_per_m(strip: Strip) -> Decimal:
    """Mass of a metre, flat or profiled: mm x g/m2 is mg/m."""
    coats = _coat(strip.zinc_g_per_m2, "zinc coating") + _coat(strip.paint_g_per_m2, "paint")
    return width(strip.width_mm, "strip width") * (steel_g_per_m2(strip.base_mm) + coats)


@exact
def roof_g_per_m2(sheet_mg_per_m: Size, cover_mm: Size) -> Decimal:
    """Mass of a square metre of roof: mass of a metre over the width it covers."""
    return _running(sheet_mg_per_m) / width(cover_mm, "cover width")


@exact
def bundle(lines: Sequence[Line], sheet_mg_per_m: Size, cover_mm: Size) -> Bundle:
    """A bundle from the order's cut list, its mass to the nearest gram."""
    if not lines:
        raise refused("cut list", 0, "lines", "Expected at least one line.")
    cover = width(cover_mm, "cover width")
    running = amount(sum(line.length_mm * line.count for line in lines), "length", "mm", MOST_LENGTH_MM)
    mass = nearest(running * _running(sheet_mg_per_m) / 1_000_000)
    return Bundle(sum(line.count for line in lines), running, mass, nearest(running * cover / 100))


@exact
def end_scrap_g(lengths_mm: Sequence[int], sheet_mg_per_m: Size) -> int:
    """Mass of head and tail pieces by their lengths, to the nearest gram."""
    for length in lengths_mm:
        amount(length, "scrap length", "mm", MOST_LENGTH_MM)
    return nearest(sum(lengths_mm) * _running(sheet_mg_per_m) / 1_000_000)


@exact
def weighed_mg_per_m(mass_g: int, length_mm: int) -> Decimal:
    """Mass of a metre of a sheet that was weighed."""
    mass = amount(mass_g, "mass of the sheet", "g", MOST_MASS_G)
    return Decimal(mass) * 1_000_000 / amount(length_mm, "sheet length", "mm", MOST_LENGTH_MM)


def _coat(g_per_m2: Size, field: str) -> Decimal:
    return not_negative(g_per_m2, field, "g/m2", MOST_COAT_G_PER_M2)


def _running(mg_per_m: Size) -> Decimal:
    return positive(mg_per_m, "mass of a metre", "mg", 1_000_000_000)
