"""What is a figure that somebody may confirm, and when is it still the same one?

A figure is one row of a published table, or one value of plant.toml. It is bound to all it says, source and
confidence included: when any of that changes, it is another figure, and nobody has confirmed it yet.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lotroot.errors import Unknown
from lotroot.ledger.canonical import canonical, sha256
from lotroot.reference import Row, table

BETWEEN = " | "
"""Stands between the texts that name a row; no text of a table holds it."""

ORIGIN = ("source", "confidence")
OWN = "_confidence"
"""Ends the name of a column that says how sure a part of the row is by itself."""
UNITS = ("mm", "in", "m", "percent", "permille")
"""Last words of a column that are its unit."""
MASSES = ("g", "kg")
"""Of a unit such as g/m, which a column ends with as g_per_m."""
MEMORY = "memory"


@dataclass(frozen=True, slots=True)
class Figure:
    """One row by column; `keys` are the leading columns that name it in its table."""

    table: str
    keys: tuple[str, ...]
    texts: Mapping[str, str]

    @property
    def row(self) -> str:
        """Its name in its table: the texts of its leading columns."""
        return BETWEEN.join(self.texts[column] for column in self.keys)

    @property
    def called(self) -> str:
        """Its name for people: metric round, 60.00."""
        return ", ".join(self.texts[column] for column in self.keys if self.texts[column])

    @property
    def values(self) -> dict[str, str]:
        """What it says, by column: neither its name nor where it is from."""
        return {
            column: text
            for column, text in self.texts.items()
            if column not in self.keys and column not in ORIGIN and not column.endswith(OWN)
        }

    @property
    def doubtful(self) -> tuple[str, ...]:
        """The parts of it that are from memory though the row is not: mass, blank, head ..."""
        return tuple(
            column.removesuffix(OWN)
            for column, text in self.texts.items()
            if column.endswith(OWN) and text == MEMORY and not self.from_memory
        )

    def said(self, values: Mapping[str, str] | None = None) -> str:
        """Its values, or others in their place, for a sentence: low 2.45, high 2.55 mm."""
        words = in_words(self.values if values is None else values)
        return f"{words} {self.texts['unit']}".strip() if "unit" in self.keys else words

    @property
    def confidence(self) -> str:
        """How sure it is without anybody at the plant: sourced, cross-checked, memory, ours or plant."""
        return self.texts["confidence"]

    @property
    def source(self) -> str:
        """Where it is from."""
        return self.texts["source"]

    @property
    def from_memory(self) -> bool:
        """Whether nothing may be accepted by it before somebody has confirmed it."""
        return self.confidence == MEMORY

    @property
    def digest(self) -> str:
        """Hash of all it says, in hex: another text is another figure."""
        return sha256(canonical({"table": self.table, "row": dict(self.texts)}))


def in_words(values: Mapping[str, str]) -> str:
    """Values by column: shank 2.500 mm, low 2.45; what is not given is left out."""
    said = []
    for column, text in values.items():
        words, unit = column_words(column)
        said += [f"{words} {text} {unit}".strip()] if text else []
    return ", ".join(said) or "no value"


def column_words(column: str) -> tuple[str, str]:
    """What a column is called and its unit, if its last word is one: shank_mm is shank, in mm."""
    *first, last = column.replace("us_steel", "US_steel").split("_")
    if first[-2:-1] and first[-2] in MASSES and first[-1] == "per":
        return " ".join(first[:-2]), f"{first[-2]}/{last}"
    has_unit = bool(first) and last in UNITS
    return (" ".join(first), last) if has_unit else (" ".join([*first, last]), "")


def figure_of(row: Row) -> Figure:
    """The figure that a row of a published table is."""
    return Figure(row.table, leading(table(row.table)), row.values)


def figures_in(name: str) -> tuple[Figure, ...]:
    """All rows of a published table as figures. Raises Unknown for a table that is not there."""
    rows = table(name)
    keys = leading(rows)
    return tuple(Figure(name, keys, row.values) for row in rows)


def leading(rows: Sequence[Row]) -> tuple[str, ...]:
    """The fewest leading columns that tell all rows of a table apart."""
    columns = list(rows[0].values) if rows else []
    for count in range(1, len(columns)):
        if len({tuple(row[column] for column in columns[:count]) for row in rows}) == len(rows):
            return tuple(columns[:count])
    return tuple(columns)


def named(figures: Sequence[Figure], name: str, row: str) -> Figure:
    """The figure of a table with this name, as `Figure.row` writes it. Raises Unknown."""
    wanted = " ".join(row.split()).casefold()
    for one in figures:
        if " ".join(one.row.split()).casefold() == wanted:
            return one
    raise Unknown(
        f"Table {name} has no row {row[:60]!r}.",
        value=row[:60],
        expected=f"One of its rows, such as {figures[0].row!r}." if figures else "It has no rows.",
        next_step=f"Look it up: lotroot tables {name}",
    )
