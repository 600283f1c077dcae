"""Which values of a row say the same as another one, in another unit?

Told by the names of columns: shank_mm and shank_in. Pure: texts in, texts out.
"""

from collections.abc import Callable, Iterator, Mapping
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import NamedTuple

from lotroot.confirmed.figures import Figure, column_words
from lotroot.errors import Unreadable
from lotroot.theory.constants import constant

_HALF = Decimal("0.5")

Way = Callable[[Decimal], Decimal]


class Twin(NamedTuple):
    """A column, the one that says the same in another unit, and how the first becomes the second."""

    column: str
    other: str
    way: Way


@cache
def _ways() -> Mapping[tuple[str, str], Way]:
    """What a value comes to in another unit, by the ends of both columns' names; both directions."""
    pound, foot_m = constant("pound"), constant("foot") / 1000
    factors = {
        ("_in", "_mm"): constant("inch"),
        ("_oz_ft2", "_g_m2"): constant("ounce per square foot"),
        ("_pcf", "_kg_m3"): pound / foot_m**3,
        ("_per_lb", "_per_kg"): 1 / pound,
    }
    ways: dict[tuple[str, str], Way] = {}
    for (one, other), factor in factors.items():
        ways[one, other], ways[other, one] = _times(factor), _times(1 / factor)
    ways["steel_kg_per_km", "m_per_kg"] = ways["m_per_kg", "steel_kg_per_km"] = lambda value: 1000 / value
    return ways


def _times(factor: Decimal) -> Way:
    return lambda value: value * factor


def twins(figure: Figure) -> Iterator[Twin]:
    """All pairs of a row, in both directions."""
    for column in figure.texts:
        for (end, other_end), way in _ways().items():
            other = column.removesuffix(end) + other_end
            if column.endswith(end) and other != column and other in figure.texts:
                yield Twin(column, other, way)


def in_both(figure: Figure, given: Mapping[str, str]) -> dict[str, str]:
    """What the values given come to in the other units of their row; where it says nothing, it stays so.

    Raises Unreadable where a value was given in both, and they are not the same.
    """
    along = {}
    for twin in twins(figure):
        text, beside = given.get(twin.column, ""), given.get(twin.other, "")
        fixed = figure.texts[twin.other] if twin.other in figure.keys else beside
        if not text:
            continue
        if fixed:
            _check_same(figure, twin, text, fixed)
        elif figure.texts[twin.other]:
            along[twin.other] = _told(twin, text, figure.texts[twin.other])
    return along


def _check_same(figure: Figure, twin: Twin, text: str, beside: str) -> None:
    span, half = _span(twin, text), _HALF * _step(beside)
    if span[0] - half <= Decimal(beside) <= span[1] + half:
        return
    (name, unit), (_, other_unit) = column_words(twin.column), column_words(twin.other)
    right = f"{_told(twin, text, beside)} {other_unit}".strip()
    stands = f"this row is for {beside}" if twin.other in figure.keys else f"{beside} stands beside it"
    raise Unreadable(
        f"{twin.column}: {f'{name} {text} {unit}'.strip()} is {right}; {stands}.",
        value=beside,
        expected=right,
        next_step="Correct one of them, or give one alone: the other is taken along.",
    )


def _told(twin: Twin, text: str, model: str) -> str:
    """What a text comes to, with the places of a model; with more where those would lose what was typed."""
    low, high = _span(twin, text)
    step = _step(model)
    while step > high - low:
        step /= 10
    return format(twin.way(Decimal(text)).quantize(step, rounding=ROUND_HALF_UP), "f")


def _span(twin: Twin, text: str) -> tuple[Decimal, Decimal]:
    """The least and the most that a text, as it is rounded, may come to."""
    half = _HALF * _step(text)
    ends = [twin.way(Decimal(text) - half), twin.way(Decimal(text) + half)]
    return min(ends), max(ends)


def _step(text: str) -> Decimal:
    """One in the last place of a text."""
    return Decimal(1).scaleb(min(int(Decimal(text).as_tuple().exponent), 0))
