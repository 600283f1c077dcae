"""Is a size that theory is asked about one that a plant could have, and how exactly is it worked with?

One door, so that every function refuses alike: zero, negative, not a number, a float, and what lies far
beyond any plant, which is a slip of the unit or of the decimal mark. The bounds are our own, wide choice;
they catch slips and judge nothing.
"""

from collections.abc import Callable
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal, localcontext
from functools import wraps
from typing import ParamSpec, TypeVar

from lotroot.errors import Unreadable

Size = Decimal | int

LEAST = Decimal("0.001")
LEAST_WIRE_MM = Decimal("0.01")
MOST_WIRE_MM = Decimal(60)
MOST_SHEET_MM = Decimal(25)
MOST_WIDTH_MM = Decimal(5_000)
MOST_COIL_MM = Decimal(3_000)
MOST_LENGTH_MM = 500_000_000  # 500 km: 20 t of 2.5 mm wire
MOST_MASS_G = 100_000_000
MOST_COAT_G_PER_M2 = Decimal(3_000)
MOST_PIECES = 10_000_000
MOST_SECONDS = 31 * 86_400

MICROMETRE = Decimal("0.001")
DIGITS = 40
"""Digits kept on the way, of which no result shows more than half."""

_LONGEST = 40

_P = ParamSpec("_P")
_R = TypeVar("_R")


def exact(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """The function worked with DIGITS digits, whatever its caller works with."""

    @wraps(function)
    def in_own_context(*given: _P.args, **named: _P.kwargs) -> _R:
        with localcontext() as context:
            context.prec = DIGITS
            return function(*given, **named)

    return in_own_context


def positive(value: Size, field: str, unit: str, most: Size, least: Size = LEAST) -> Decimal:
    """`value` in `unit`, from `least` to `most`. Raises Unreadable, naming the field and what would fit."""
    return _between(value, field, unit, least, most)


def not_negative(value: Size, field: str, unit: str, most: Size) -> Decimal:
    """`value` in `unit`, from 0 to `most`. Raises Unreadable."""
    return _between(value, field, unit, 0, most)


def amount(value: int, field: str, unit: str, most: int, least: int = 1) -> int:
    """`value` in whole base units or pieces, from `least` to `most`. Raises Unreadable."""
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise refused(field, value, unit, f"Expected a whole number from {least} to {most}{_spaced(unit)}.")
    return value


def refused(field: str, value: object, unit: str, expected: str) -> Unreadable:
    """The error of a size that does not fit: `expected` says which one would."""
    shown = str(value)[:_LONGEST]
    return Unreadable(
        f"The {field} cannot be {shown}{_spaced(unit)}.",
        value=shown,
        expected=expected,
        next_step="Measure it again, or type it again.",
    )


def nearest(value: Decimal) -> int:
    """The nearest whole number, halves away from zero."""
    return int(value.to_integral_value(ROUND_HALF_UP))


def whole_within(value: Decimal) -> int:
    """The whole units that fit into `value`."""
    return int(value.to_integral_value(ROUND_FLOOR))


def shown(value: Decimal, places: int = 3, rounding: str = ROUND_HALF_UP) -> str:
    """A figure for a message: rounded, without zeros at its end, never in powers of ten."""
    rounded = value.quantize(Decimal(1).scaleb(-places), rounding)
    return f"{rounded.normalize():f}"


def _between(value: Size, field: str, unit: str, least: Size, most: Size) -> Decimal:
    whole = isinstance(value, int) and not isinstance(value, bool)
    decimal = isinstance(value, Decimal) and value.is_finite()
    if not (whole or decimal) or not least <= value <= most:
        raise refused(field, value, unit, f"Expected from {least} to {most}{_spaced(unit)}.")
    return Decimal(value)


def _spaced(unit: str) -> str:
    return f" {unit}" if unit else ""
