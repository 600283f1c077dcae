"""Is a weight or count what theory, the counter and the outputs before lead one to expect?

Pure arithmetic on whole base units (g, mm, mg a metre or piece). Nothing here refuses: what is implausible is
asked about once and recorded (DESIGN.md section 2.2).
"""

from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from statistics import median_low

from lotroot.processes.definition import Limits
from lotroot.theory.sheet import steel_g_per_m2

FAR = 3
"""Times above or below the usual weight, from which one is asked about (our own choice, as at receiving)."""
SOME = 3
"""Fewer outputs make no habit: one of two may be the odd one itself (our own choice)."""
HURRY_PERCENT = 150
"""Of the most a machine makes, for entries come in bunches (our own choice)."""
TWICE = 2
_PERCENT, _PERMILLE, _MG, _MINUTE = 100, 1000, 1000, 60_000_000
_TENTH, _WHOLE, _TENTHS_UP_TO = Decimal("0.1"), Decimal(1), 1000


def length_of(mass: int, mass_per_metre_mg: int) -> int:
    """Millimetres of a product that weigh `mass` grams."""
    return mass * 1_000_000 // mass_per_metre_mg


def pieces_of(mass: int, mass_per_piece_mg: int) -> int:
    """Whole pieces that weigh `mass` grams."""
    return mass * _MG // mass_per_piece_mg


def apart(one: int, other: int, tolerance_permille: Decimal) -> bool:
    """Whether two measures of the same thing differ by more than so many thousandths of the second."""
    return abs(one - other) * _PERMILLE > tolerance_permille * other


def wire_permille(wire_mm: str, limits: Sequence[Limits]) -> Decimal:
    """How far a wire's mass a metre may be from theory, in thousandths, where its diameter is within limits.

    Of all limits, those are the diameter's that lie on both sides of it. An error of the diameter counts
    twice, since mass goes by its square.
    """
    if not wire_mm or not Decimal(wire_mm):
        return Decimal(0)
    wire = Decimal(wire_mm)
    pairs = [(Decimal(one.low), Decimal(one.high)) for one in limits if one.low and one.high]
    widest = max(
        (max(wire - low, high - wire) for low, high in pairs if low <= wire <= high), default=Decimal(0)
    )
    return TWICE * widest * _PERMILLE / wire


def sheet_permille(thickness_mm: str, thick: Sequence[Limits], coats: Sequence[Limits]) -> Decimal:
    """How far a sheet's mass a metre may be from theory, in thousandths, by its limits.

    `thick` are limits in mm, of which those count that lie on both sides of its thickness; `coats` are its
    coat's in g/m2: from the least to the most counts against the steel under it, one limit alone does not.
    """
    if not thickness_mm or not Decimal(thickness_mm):
        return Decimal(0)
    thickness = Decimal(thickness_mm)
    pairs = [(Decimal(one.low), Decimal(one.high)) for one in thick if one.low and one.high]
    widest = max(
        (max(thickness - low, high - thickness) for low, high in pairs if low <= thickness <= high),
        default=Decimal(0),
    )
    spread = max((Decimal(one.high) - Decimal(one.low) for one in coats if one.low and one.high), default=0)
    return _PERMILLE * (widest / thickness + spread / steel_g_per_m2(thickness))


def usual_of(weights: Sequence[int]) -> int:
    """What the outputs before weighed, as one number: the median, 0 where they are too few to tell."""
    return median_low(weights) if len(weights) >= SOME else 0


def far_off(weight: int, usual: int) -> bool:
    """Whether a weight is beyond three times the usual one, or below a third of it."""
    return bool(usual) and (weight > usual * FAR or weight * FAR < usual)


def too_fast(pieces: int, per_minute: int, microseconds: int) -> bool:
    """Whether so many pieces in that time are more than the machine can have made."""
    return pieces * _PERCENT * _MINUTE > per_minute * HURRY_PERCENT * microseconds


def tolerable_deficiency(nominal: int, percent: str, absolute: str) -> Decimal:
    """Grams by which one prepackage of `nominal` grams may be light: so many, else so many percent of it.

    OIML R 87: a percentage is rounded up to the next 0.1 g, above 1000 g to the next whole one.
    """
    if absolute:
        return Decimal(absolute)
    step = _TENTH if nominal <= _TENTHS_UP_TO else _WHOLE
    return (Decimal(percent) * nominal / _PERCENT).quantize(step, rounding=ROUND_CEILING)


def light(weight: int, nominal: int, tolerable: Decimal) -> bool:
    """Whether a package lacks more than twice its tolerable deficiency."""
    return weight < nominal - TWICE * tolerable


def heavy(weight: int, nominal: int, tolerable: Decimal) -> bool:
    """Whether a package holds more than that too much: give-away."""
    return weight > nominal + TWICE * tolerable
