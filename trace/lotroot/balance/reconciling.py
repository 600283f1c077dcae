"""What is left over when all that a run used is set against what it made, threw away and lost?

RULES 3: loaded = returned + good + by-products + named scrap + named loss + difference. A difference is
signed, and is never hidden: it is judged against what the scales can see, then against the tolerance.
"""

from collections.abc import Iterable
from math import isqrt
from typing import NamedTuple

WITHIN_SCALES, WITHIN_TOLERANCE, BEYOND = "within the scales", "within tolerance", "beyond tolerance"


class Sides(NamedTuple):
    """What went into a run and what became of it, in the base unit of one stream."""

    loaded: int
    returned: int
    good: int
    by_product: int
    scrap: int

    @property
    def used(self) -> int:
        """What went in and did not come off again as it was."""
        return self.loaded - self.returned


class Known(NamedTuple):
    """What was made, as one way of knowing it has it, and how far that may be off."""

    basis: str
    amount: int
    spread: int


def named_loss(used: int, permille: int) -> int:
    """The loss that a plant has named and confirmed: so many thousandths of what was used, rounded down."""
    return max(used, 0) * permille // 1000


def difference(sides: Sides, loss: int) -> int:
    """What does not add up: missing above zero, too much below."""
    return sides.used - sides.good - sides.by_product - sides.scrap - loss


def combined(weighings: Iterable[tuple[int, int]], shares: Iterable[int]) -> int:
    """How far a sum of amounts may be off, in their unit, rounded up.

    `weighings` are (how often, how far each may be off), independent of each other, so their squares add;
    `shares` are whole groups that are off alike, one square each (JCGM 100:2008, 5.1.2 and 5.2.2).
    """
    squares = sum(times * off * off for times, off in weighings) + sum(off * off for off in shares)
    root = isqrt(squares)
    return root if root * root == squares else root + 1


def chosen(ways: Iterable[Known]) -> Known:
    """The way of knowing that is off by least; of equals the first."""
    return min(ways, key=lambda way: way.spread)


def verdict(left_over: int, spread: int, tolerance: int) -> str:
    """Whether a difference is what the scales cannot tell, what the plant accepts, or more than that."""
    if abs(left_over) <= spread:
        return WITHIN_SCALES
    return WITHIN_TOLERANCE if abs(left_over) <= tolerance else BEYOND


def permille(part: int, whole: int) -> int | None:
    """`part` of `whole` in thousandths, rounded half up; None for a part of nothing."""
    return (2000 * part + whole) // (2 * whole) if whole > 0 else None


def percent(thousandths: int | None) -> str:
    """96.2 for 962; nothing where there is no part of anything."""
    return "" if thousandths is None else f"{thousandths // 10}.{thousandths % 10}"
