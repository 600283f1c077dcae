"""How many tile blanks does a strip give, and what stays as skeleton?

A blank takes its length and the web behind it from the strip. The skeleton is whatever is not blank; it is
scrap, or a by-product that becomes ridge caps. What was pressed is blanks less rejects.
"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.coil import width
from lotroot.theory.sizes import (
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
    whole_within,
)


@dataclass(frozen=True, slots=True)
class Blank:
    """A blank as cut from the strip: its sides, and the web left behind it along the strip, in mm."""

    length_mm: Decimal
    width_mm: Decimal
    web_mm: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        """Raises Unreadable where it could be no blank."""
        positive(self.length_mm, "blank length", "mm", 10_000)
        width(self.width_mm, "blank width")
        not_negative(self.web_mm, "web behind a blank", "mm", 10_000)

    @property
    def pitch_mm(self) -> Decimal:
        """Strip used up by one blank."""
        return self.length_mm + self.web_mm


@dataclass(frozen=True, slots=True)
class Blanking:
    """What a strip gives: blanks, their mass, and the skeleton with the strip's end; together the strip."""

    blanks: int
    blanks_g: int
    skeleton_g: int


@exact
def blanks_per_m(blank: Blank) -> Decimal:
    """Blanks in a metre of strip."""
    return 1000 / blank.pitch_mm


@exact
def blanks_in(strip_mm: int, blank: Blank) -> int:
    """Whole blanks in a length of strip; the last needs no web behind it."""
    length = amount(strip_mm, "strip length", "mm", MOST_LENGTH_MM)
    return whole_within((length + blank.web_mm) / blank.pitch_mm)


@exact
def blank_mg(blank: Blank, strip_g_per_m2: Size) -> Decimal:
    """Mass of one blank: its area x mass of a square metre of the strip with its coats."""
    areal = positive(strip_g_per_m2, "mass of a square metre", "g/m2", 200_000)
    return blank.length_mm * blank.width_mm * areal / 1000


@exact
def blanking(strip_g: int, strip_mm: int, strip_width_mm: Size, blank: Blank) -> Blanking:
    """Blanks and skeleton of a weighed strip, by area; blanks to the nearest gram, skeleton the rest."""
    mass = amount(strip_g, "strip mass", "g", MOST_MASS_G)
    across = width(strip_width_mm, "strip width")
    if blank.width_mm > across:
        expected = f"Expected at most the strip, {strip_width_mm} mm."
        raise refused("blank width", blank.width_mm, "mm", expected)
    count = blanks_in(strip_mm, blank)
    blanks_g = nearest(mass * count * blank.length_mm * blank.width_mm / (strip_mm * across))
    return Blanking(count, blanks_g, mass - blanks_g)


def pressed(blanks: int, rejects: int) -> int:
    """Good tiles: blanks less rejects. Raises Unreadable where more were rejected than there were."""
    made = amount(blanks, "number of blanks", "pcs", MOST_PIECES, least=0)
    return made - amount(rejects, "number of rejects", "pcs", made, least=0)
