"""What stands in the cells of a table: numbers that lead to their story, amounts under each other, tags?

Amounts of one column share a unit wherever they can: it then stands in the head once, and all of them have
the same decimals.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from flask import get_template_attribute
from markupsafe import Markup

from lotroot.identity.families import LOT_FAMILIES, Family
from lotroot.identity.showing import shown
from lotroot.processes.definition import Plant
from lotroot.quantities import THIN_SPACE, show_amount

WITH_A_STORY = frozenset({*LOT_FAMILIES, Family.RUN, Family.CARRIER, Family.SHIPMENT})

Amount = tuple[int, str]
"""An integer and its base unit."""

Row = Mapping[str, Any]


class Table(NamedTuple):
    """A table as the macro `table` takes it: columns, rows by key, and what stands for no rows."""

    caption: str
    columns: Sequence[Mapping[str, Any]]
    rows: Sequence[Row]
    empty: str = ""
    note: str = ""


class Column(NamedTuple):
    """Amounts of one column; `unit` is empty where they differ and each carries its own."""

    unit: str
    texts: list[str]


def link(number: str, name: str = "") -> Markup | str:
    """What a number is called, leading to its story where it has one."""
    if not number:
        return ""
    words = name or shown(number)
    if number[0] == Family.CASE:
        return Markup('<a href="/complaints/{}">{}</a>').format(number, words)
    if len(number) not in (11, 17) or number[0] not in WITH_A_STORY:
        return words
    lot: Markup = get_template_attribute("_macros.html", "lot")(words, f"/lots/{number}")
    return lot


def tag(text: str, look: str = "plain") -> Markup:
    """How something stands: plain, good or stop."""
    found: Markup = get_template_attribute("_macros.html", "tag")(text, look)
    return found


def together(parts: Iterable[Markup | str], between: str = " ") -> Markup:
    """Some parts in one cell; empty ones are left out."""
    return Markup(between).join(part for part in parts if part)


def amounts(some: Sequence[Amount], plant: Plant | None) -> Column:
    """Amounts as a column shows them."""
    units = {unit for _, unit in some}
    if len(units) != 1:
        return Column("", [_shown(amount, unit, plant) for amount, unit in some])
    base = next(iter(units))
    unit = plant.units.get(base, base) if plant else base
    places = max((_places(_bare(amount, base, unit)) for amount, _ in some), default=0)
    return Column(unit, [_bare(amount, base, unit, places) for amount, _ in some])


def several(some: Sequence[Sequence[Amount]], plant: Plant | None) -> Column:
    """A column where a cell may hold several amounts, each then with its unit."""
    if all(len(each) == 1 for each in some):
        return amounts([each[0] for each in some], plant)
    return Column("", [", ".join(_shown(amount, unit, plant) for amount, unit in each) for each in some])


def plain(amount: int, unit: str, plant: Plant | None) -> str:
    """An amount as a field begins with it, without its unit and the gaps between digits: 2013.4."""
    display = plant.units.get(unit, unit) if plant else unit
    return _bare(amount, unit, display).replace(THIN_SPACE, "")


def _shown(amount: int, unit: str, plant: Plant | None) -> str:
    return show_amount(amount, unit, plant.units.get(unit, unit) if plant else unit)


def _bare(amount: int, base: str, unit: str, places: int | None = None) -> str:
    return show_amount(amount, base, unit, decimals=places).removesuffix(unit).rstrip()


def _places(figure: str) -> int:
    return len(figure.partition(".")[2])


def column(label: str, key: str, unit: str | None = None) -> dict[str, Any]:
    """A column of words; with a `unit`, also an empty one, a column of numbers."""
    return {"label": label, "key": key, "unit": unit or "", "number": unit is not None}
