"""How much wood is in a pack of lumber, of posts or of poles?

Retention goes by the wood that is there: actual sizes, and full ones for rough-sawn. Board feet go by
nominal sizes and are shown beside, for trade alone: 1,000 board feet of dressed 2x4 are a third less wood
than their name says.
"""

from decimal import Decimal

from lotroot.theory.constants import PI, constant
from lotroot.theory.sizes import MOST_PIECES, Size, amount, exact, nearest, positive, refused

MOST_PIECE_MM = 30_000
_MM3_PER_CM3 = 1_000


@exact
def piece_mm3(thick_mm: Size, wide_mm: Size, length_mm: Size) -> Decimal:
    """Volume of a piece by its actual sizes."""
    return _side(thick_mm, "thickness") * _side(wide_mm, "width") * _length(length_mm)


@exact
def full_mm(nominal_in: Size) -> Decimal:
    """A side of rough-sawn lumber of full size: the nominal inches, in mm."""
    return positive(nominal_in, "nominal size", "in", 40) * constant("inch")


@exact
def pole_mm3(middle_mm: Size, length_mm: Size) -> Decimal:
    """Volume of a round post or pole from its diameter in the middle: Huber's formula.

    pi/4 dm^2 L, as in textbooks of forest mensuration (Husch et al. 1972, as named by Goulding, New Zealand
    Forest Service, 1977, who ranks it before Smalian's).
    """
    return PI / 4 * _side(middle_mm, "middle diameter") ** 2 * _length(length_mm)


@exact
def tapered_pole_mm3(butt_mm: Size, top_mm: Size, length_mm: Size) -> Decimal:
    """Volume of a round post or pole from the diameters of both ends: Smalian's formula.

    (A1 + A2) / 2 x L, from the same textbooks. Never less than the frustum of a cone, and too much where
    a pole flares at its butt; where its middle can be reached, measure there.
    """
    butt, top = _side(butt_mm, "butt diameter"), _side(top_mm, "top diameter")
    if top > butt:
        raise refused("top diameter", top_mm, "mm", f"Expected at most that of the butt, {butt_mm} mm.")
    return PI / 8 * (butt**2 + top**2) * _length(length_mm)


@exact
def pack_cm3(pieces: int, volume_mm3: Size) -> int:
    """Wood in a pack of like pieces, to the nearest cm3; rounded once, for the whole pack."""
    count = amount(pieces, "number of pieces", "pcs", MOST_PIECES)
    volume = positive(volume_mm3, "volume of a piece", "mm3", Decimal(10) ** 11)
    return nearest(count * volume / _MM3_PER_CM3)


@exact
def board_feet(pieces: int, thick_in: Size, wide_in: Size, length_ft: Size) -> Decimal:
    """Board feet by nominal sizes: inches x inches x feet / 12. Never for retention."""
    count = amount(pieces, "number of pieces", "pcs", MOST_PIECES)
    thick, wide = (positive(side, "nominal size", "in", 40) for side in (thick_in, wide_in))
    return count * thick * wide * positive(length_ft, "length", "ft", 100) / 12


def _side(value_mm: Size, field: str) -> Decimal:
    return positive(value_mm, field, "mm", 1_000, 1)


def _length(value_mm: Size) -> Decimal:
    return positive(value_mm, "length", "mm", MOST_PIECE_MM, 1)
