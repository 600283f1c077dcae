"""How are amounts read, shown and shared out without a gram going astray?

Amounts are integers in base units: g, mm, ml, cm3, pcs. Readings stay decimal as typed. Nothing here is a
float. Numbers are read strictly: comma and dot both mean the decimal mark, thousands marks are refused,
so "1,5" is 1.5 in every language and never 15. One mark followed by exactly three digits could be meant
either way; the expected value settles it, or the person is asked.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext
from itertools import accumulate, pairwise

from lotroot.errors import Question, Unreadable

MOST_DIGITS = 15
MOST_AMOUNT = 2**53 - 1  # the range of integers in an event
MOST_OF_A_LOT = {
    "g": 100_000_000,
    "pcs": 10_000_000,
    "mm": 500_000_000,
    "ml": 500_000_000,
    "cm3": 500_000_000,
}
"""No one lot or output is 100 t, ten million pieces, 500 km or 500 m3 (our own choice): more is a slip."""
THIN_SPACE = "\u202f"  # narrow and no break: a line never ends inside a number
MINUS = "\u2212"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit amounts are typed or shown in: `size` base units each, shown with at most `decimals`.

    Metric decimals show every base unit; the others are few enough that a typed figure comes back the
    same from its rounded base units.
    """

    base: str
    size: Decimal
    decimals: int


# Exact by definition: 1 lb = 453.59237 g, 1 in = 25.4 mm (international yard and pound agreement, 1959).
UNITS = {
    "g": Unit("g", Decimal(1), 0),
    "kg": Unit("g", Decimal(1_000), 3),
    "t": Unit("g", Decimal(1_000_000), 6),
    "lb": Unit("g", Decimal("453.59237"), 2),
    "mm": Unit("mm", Decimal(1), 0),
    "m": Unit("mm", Decimal(1_000), 3),
    "in": Unit("mm", Decimal("25.4"), 1),
    "ft": Unit("mm", Decimal("304.8"), 2),
    "ml": Unit("ml", Decimal(1), 0),
    "l": Unit("ml", Decimal(1_000), 3),
    "cm3": Unit("cm3", Decimal(1), 0),
    "m3": Unit("cm3", Decimal(1_000_000), 6),
    "pcs": Unit("pcs", Decimal(1), 0),
}
# Liquids are kept in ml, wood in cm3: the same volume, so either may be typed for the other.
_DIMENSIONS = {"g": "mass", "mm": "length", "ml": "volume", "cm3": "volume", "pcs": "count"}
_SPELLINGS = {"kgs": "kg", "lbs": "lb", "pc": "pcs", "m³": "m3", "cm³": "cm3"}

_LONGEST = 60
_NUMBER = re.compile("([0-9]*)(?:[.,]([0-9]+))?")
_GROUPED = re.compile("[0-9]+(?:[.,'’_\\s]+[0-9]+)+")
_UNFINISHED = re.compile("[0-9]*[.,]")
_EXPONENT = re.compile("[0-9.,]+e[+\u2212-]?[0-9]+", re.IGNORECASE)
_WITH_UNIT = re.compile("(.*?)\\s*([^\\W\\d_]\\w*)")
_NO_NUMBERS = ("nan", "inf", "infinity")


def read_number(text: str, expected: Decimal | int | None = None, *, question: str = "number") -> Decimal:
    """The number typed, 0 or more, as typed: "1,50" is Decimal("1.50").

    `expected` settles "1,234": the reading from a tenth of it to ten times it is meant. Else a Question
    named `question` is raised; the choice sent back is the `expected` of the next call. Raises
    Unreadable or Question.
    """
    readings = _readings(text)
    meant = _meant(readings, None if expected is None else Decimal(expected))
    if meant is not None:
        return meant
    raise _asked(question, text, readings, lambda reading: (str(reading), _grouped(reading)))


def read_amount(text: str, unit: str, expected: int | None = None, *, question: str = "amount") -> int:
    """The amount typed, in base units of `unit`, rounded to the nearest (half up).

    `unit` is the field's own and holds where none is typed; one typed along ("12.5 lb") is converted
    exactly. `expected`, in base units, settles "1,234" as in `read_number`; the choices of the Question
    are amounts in base units. Raises Unreadable or Question.
    """
    field = unit_named(unit)
    figure, name = _figure_and_unit(text, unit)
    size = UNITS[name].size
    readings = _readings(figure)
    if name == "pcs":  # pieces are whole, so "1,234 pcs" leaves nothing to ask
        readings = [reading for reading in readings if reading == reading.to_integral_value()] or readings
    meant = _meant(readings, None if expected is None else Decimal(expected) / size)
    if meant is not None:
        return _in_base(meant * size, field.base, text)
    raise _asked(
        question,
        text,
        readings,
        lambda reading: (str(_in_base(reading * size, field.base, text)), _grouped(reading, name)),
    )


def show_amount(amount: int, unit: str, display_unit: str, *, decimals: int | None = None) -> str:
    """`amount` of base unit `unit` as text in `display_unit`: "12 345.678 kg", thin spaces, dot, unit.

    Metric units show every base unit. `decimals` fixes their number, for columns; else trailing zeros
    are left out. Raises Unreadable where the units do not belong together.
    """
    shown = unit_named(display_unit)
    if unit not in _DIMENSIONS or _DIMENSIONS[unit] != _DIMENSIONS[shown.base]:
        raise _refused(f"{unit} cannot be shown in {display_unit}.", unit, _fitting(shown.base))
    places = shown.decimals if decimals is None else decimals
    with localcontext() as context:
        context.prec = 60
        exact = Decimal(abs(amount)) / shown.size
        figure = exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    if decimals is None and places:
        figure = figure.normalize()
    sign = MINUS if amount < 0 and figure else ""
    return sign + _grouped(figure, display_unit)


def base_of(unit: str) -> str:
    """The base unit that amounts in `unit` are kept in. Raises Unreadable."""
    return unit_named(unit).base


def unit_named(name: str) -> Unit:
    """The unit of that name. Raises Unreadable."""
    if name not in UNITS:
        raise _refused(f"{name} is no unit known here.", name, f"Expected one of {', '.join(UNITS)}.")
    return UNITS[name]


def share_out(total: int, weights: Sequence[int]) -> list[int]:
    """`total` shared out by `weights`: each the floor of its due, what is left over one unit each to the
    largest remainders, the earlier first. Sums to `total`; a negative total is shared as its opposite.
    """
    if total < 0:
        return [-share for share in share_out(-total, weights)]
    whole = _sum_of(total, weights)
    dues = [divmod(total * weight, whole) if whole else (0, 0) for weight in weights]
    shares = [due for due, _ in dues]
    by_remainder = sorted(range(len(dues)), key=lambda place: -dues[place][1])
    for place in by_remainder[: total - sum(shares)]:
        shares[place] += 1
    return shares


def split_cumulative(total: int, weights: Sequence[int]) -> list[int]:
    """`total` split by `weights` in their order: each the floor of the running due less what went before
    (RULES 4), so neighbours together are never off by more than one unit. Sums to `total`.
    """
    whole = _sum_of(total, weights)
    if not whole:
        return [0 for _ in weights]
    running = [total * so_far // whole for so_far in accumulate(weights, initial=0)]
    return [after - before for before, after in pairwise(running)]


def _sum_of(total: int, weights: Sequence[int]) -> int:
    whole = sum(weights)
    if any(weight < 0 for weight in weights) or (total and not whole):
        raise _refused(
            f"{total} cannot be shared out by these weights.",
            ", ".join(map(str, weights)),
            "Expected weights of 0 or more, at least one above 0.",
        )
    return whole


def _readings(text: str) -> list[Decimal]:
    """The one or, in doubt, two numbers that `text` can be, the decimal reading first."""
    core = text.strip()
    found = _NUMBER.fullmatch(core[: _LONGEST + 1])
    if found is None or not core:
        raise _refused(_why_no_number(core), core, "Expected a number such as 1234.5, 0 or more.")
    whole, fraction = found[1], found[2] or ""
    if len(whole) + len(fraction) > MOST_DIGITS:
        raise _refused("This number is too long.", core, f"Expected at most {MOST_DIGITS} digits.")
    if not fraction:
        return [Decimal(whole)]
    decimal = Decimal(f"{whole or '0'}.{fraction}")
    # A group of thousands has one to three digits before it and never a leading zero.
    doubtful = len(fraction) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0"
    return [decimal, Decimal(whole + fraction)] if doubtful else [decimal]


def _why_no_number(core: str) -> str:
    if not core:
        return "No number was typed."
    if core[0] in f"-{MINUS}":
        return f"{core[:_LONGEST]} is negative."
    if core.lower().lstrip("+") in _NO_NUMBERS or _EXPONENT.fullmatch(core):
        return f"{core} is not written in digits and one decimal mark."
    if _GROUPED.fullmatch(core):
        return f"{core} has marks or spaces between its digits; thousands are typed without."
    if _UNFINISHED.fullmatch(core):
        return "The digits behind the decimal mark are missing."
    return f"“{core[:_LONGEST]}” is no number."


def _meant(readings: list[Decimal], expected: Decimal | None) -> Decimal | None:
    """The reading that is meant, None where that is open.

    Two readings lie a factor of 1,000 apart, so at most one is between a tenth of the expected value
    and ten times it; the width of that band is our own choice.
    """
    if len(readings) == 1:
        return readings[0]
    near = [each for each in readings if expected and expected <= each * 10 <= expected * 100]
    return near[0] if near else None


def _asked(
    question: str, text: str, readings: list[Decimal], choice: Callable[[Decimal], tuple[str, str]]
) -> Question:
    return Question(
        question, f"{text.strip()} can be read in two ways. Which is meant?", dict(map(choice, readings))
    )


def unit_typed(text: str) -> str:
    """The unit typed along with a figure, under the name it has here; empty for none, and for no unit."""
    found = _WITH_UNIT.fullmatch(text.strip()[: _LONGEST + 1])
    typed = found[2].lower() if found is not None else ""
    name = _SPELLINGS.get(typed, typed)
    return name if name in UNITS else ""


def _figure_and_unit(text: str, unit: str) -> tuple[str, str]:
    """The figure as typed and the name of its unit, `unit` where none was typed."""
    core = text.strip()
    found = _WITH_UNIT.fullmatch(core[: _LONGEST + 1])
    if found is None or _EXPONENT.fullmatch(core) or core.lower() in _NO_NUMBERS:
        return core, unit
    typed = found[2].lower()
    name = _SPELLINGS.get(typed, typed)
    base = UNITS[unit].base
    if name not in UNITS or _DIMENSIONS[UNITS[name].base] != _DIMENSIONS[base]:
        raise _refused(f"{found[2]} is no unit that fits here.", core, _fitting(base))
    return found[1], name


def _fitting(base: str) -> str:
    names = [name for name, unit in UNITS.items() if _DIMENSIONS[unit.base] == _DIMENSIONS[base]]
    return f"Expected {' or '.join(names)}."


def _in_base(exact: Decimal, base: str, typed: str) -> int:
    amount = int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
    if base == "pcs" and exact != amount:
        raise _refused("Pieces are counted whole.", typed, "Expected a whole number.")
    if exact and not amount:
        raise _refused("This is too little to record.", typed, f"Expected 0, or at least 1 {base}.")
    if amount > MOST_AMOUNT:
        raise _refused("This is too much to record.", typed, f"Expected at most {MOST_AMOUNT} {base}.")
    return amount


def _grouped(figure: Decimal, unit: str = "") -> str:
    written = f"{figure:,f}".replace(",", THIN_SPACE)
    return f"{written}{THIN_SPACE}{unit}" if unit else written


def _refused(what: str, value: str, expected: str) -> Unreadable:
    return Unreadable(what, value=value.strip()[:_LONGEST], expected=expected, next_step="Type it again.")
