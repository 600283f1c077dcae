"""Do the values that a plant puts in place of a figure fit where they are to stand?"""

from collections.abc import Mapping
from decimal import Decimal

from lotroot.confirmed.figures import Figure
from lotroot.errors import Question, Unreadable
from lotroot.plant.figures import LIMITS, OF_THE_PLANT, figures_of, titled
from lotroot.quality.taking_along import may_be_empty, taken_along
from lotroot.quantities import read_number
from lotroot.work import Work

BELOW = 10**9
LONGEST = 200
WHOLE = 1000
"""Thousandths: nothing loses more than all that was used."""

BOUNDS = (("low", "high"), ("low_percent", "high_percent"), ("mass_min_g_per_m", "mass_max_g_per_m"))
"""Columns of which the first may not be above the second."""
SPANS = ("qn_up_to",)
"""Columns that say for which goods a row is: moved in one row, they would leave some without any."""


def values_given(work: Work, figure: Figure, values: tuple[str, ...]) -> dict[str, str]:
    """The columns that are another, each a text that fits where it stands, and those that change with them.

    Raises Unreadable, or Question where a number can be read in two ways.
    """
    given = {}
    for one in values:
        column, sign, text = one.partition("=")
        if not sign or column.strip() not in figure.values:
            raise Unreadable(
                f"{titled(work.plant, figure)} has no value {column.strip()[:40]!r}.",
                value=one[:60],
                expected=f"One of {', '.join(figure.values)}, as {next(iter(figure.values))}=...",
                next_step="Name the column and give its value.",
            )
        given[column.strip()] = _fitting(work, figure, column.strip(), " ".join(text.split()))
    if not given:
        raise Unreadable(
            "No other value was given.",
            expected=f"At least one of {', '.join(figure.values)}.",
            next_step="Give what the plant goes by instead.",
        )
    along = taken_along(figure, given)
    _check_bounds(work, figure, {**figure.values, **along})
    return along


def _fitting(work: Work, figure: Figure, column: str, text: str) -> str:
    """A value that may stand in a column: a number where one stands there, or may."""
    if column in SPANS:
        says = f"{figure.called} up to {figure.values[column] or 'any amount'} is what this row is for."
        raise _unfit(column, says, text, "Another value of this row, or another row.")
    if not text and (figure.table == LIMITS or may_be_empty(column)):
        return ""
    if figure.table == LIMITS or _holds_numbers(work, figure, column):
        return format(_number(work, figure, column, text), "f")
    if not text or len(text) > LONGEST:
        raise _unfit(
            column, f"{text[:40] or 'nothing'} cannot be.", text, f"A text of at most {LONGEST} characters."
        )
    return text


def _number(work: Work, figure: Figure, column: str, text: str) -> Decimal:
    fits = f"A number above 0 and below {BELOW}."
    near = Decimal(figure.values[column]) if _is_number(figure.values[column]) else None
    try:
        number = read_number(text, near, question=column)
    except Unreadable as refusal:
        raise _unfit(column, refusal.what, text, fits) from None
    except Question as doubt:
        number = Decimal(work.ask(doubt.identifier, doubt.what, doubt.choices))
    if column == "loss_permille" and (number != number.to_integral_value() or number > WHOLE):
        what = "is no whole number" if number <= WHOLE else "is more than all of it"
        raise _unfit(column, f"{text} {what}.", text, f"Whole thousandths up to {WHOLE}, such as 8.")
    if number >= BELOW or (number == 0 and not _may_be_zero(figure, column)):
        raise _unfit(column, f"{text} cannot be.", text, fits)
    return number


def _unfit(column: str, what: str, text: str, expected: str) -> Unreadable:
    return Unreadable(f"{column}: {what}", value=text[:60], expected=expected, next_step="Type it again.")


def _holds_numbers(work: Work, figure: Figure, column: str) -> bool:
    """Whether a number stands in a column: in this row, or in all others that say something there."""
    if figure.values[column] or figure.table in OF_THE_PLANT:
        return _is_number(figure.values[column])
    others = [one.values[column] for one in figures_of(work.plant, figure.table)]
    return all(_is_number(text) for text in others if text)


def _is_number(text: str) -> bool:
    return bool(text) and text.replace(".", "", 1).isdecimal()


def _may_be_zero(figure: Figure, column: str) -> bool:
    """A share may be nothing, and so may a limit of what was found; a size or a mass may not."""
    return figure.table == LIMITS or column.endswith(("percent", "permille", "percent_of_qn"))


def _check_bounds(work: Work, figure: Figure, values: Mapping[str, str]) -> None:
    for low, high in BOUNDS:
        bounds = values.get(low, ""), values.get(high, "")
        if all(bounds) and Decimal(bounds[0]) > Decimal(bounds[1]):
            raise Unreadable(
                f"{low} {bounds[0]} is above {high} {bounds[1]}.",
                value=bounds[0],
                expected=f"At most {bounds[1]}.",
                next_step="Correct one of them.",
            )
    if figure.table == LIMITS and not (values["low"] or values["high"]):
        raise Unreadable(
            f"{titled(work.plant, figure)} would have no limit at all.",
            expected="A low or a high limit.",
            next_step="To check without limits, change plant.toml and adopt it.",
        )
