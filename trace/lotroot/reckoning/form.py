"""What is a form that reckons: its fields, the figures it gives, how they are known, whom it fills from?"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from lotroot.errors import LotrootError
from lotroot.processes.definition import Product
from lotroot.reckoning.fields import Field, Values, at_field, read

METRE, PIECE, ITEM, VOLUME = "metre", "piece", "item", "volume"
"""What a figure can be held against in a product: mg a metre, mg a piece, g of a roll, mm3 a piece."""

Rested = tuple[str, Mapping[str, str]]
"""A published table, and the columns that name its row."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: `value` in `unit`, shown with so many `places`; `of` says what of a product it is."""

    name: str
    value: Decimal | int
    unit: str
    places: int = 0
    of: str = ""


@dataclass(frozen=True, slots=True)
class Form:
    """One entry: `reckon` turns values into figures, `formula` says how in a sentence.

    `rests` are the published rows it takes figures from; `practice` what is common practice without a
    source. `fits` says whether a product has sizes for it, `fill` gives them by field.
    """

    code: str
    name: str
    fields: tuple[Field, ...]
    reckon: Callable[[Values], list[Figure]]
    formula: str
    rests: tuple[Rested, ...]
    fits: Callable[[Product], bool]
    fill: Callable[[Product], dict[str, str]]
    practice: str = ""


@dataclass(frozen=True, slots=True)
class Reckoned:
    """The answer: what was read, and the figures."""

    values: Values
    figures: tuple[Figure, ...]


def reckoned(form: Form, asked: Mapping[str, str]) -> Reckoned:
    """What a form gives for what was typed. Raises WrongField."""
    values = read(form.fields, asked)
    try:
        return Reckoned(values, tuple(form.reckon(values)))
    except LotrootError as error:
        raise at_field(form.fields, error, asked) from error


def filled_from(form: Form, product: Product) -> dict[str, str]:
    """The sizes of a product by field; what it does not tell is as usual."""
    usual = {field.name: field.usual for field in form.fields}
    return {**usual, **form.fill(product)}
