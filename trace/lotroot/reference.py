"""Which published figures does the program know, and how far is each to be trusted?

The tables stand in shared/ as CSV, each row with its `source` and its `confidence`: *sourced* (one
published place), *cross-checked* (two agree), *memory* or *ours* (a rule of our own). A row from memory
is unconfirmed: no acceptance decision rests on it until a named person at the plant has confirmed it
(DESIGN.md section 11).
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lotroot.errors import Unknown, Unreadable
from lotroot.settings import data_folder

CONFIDENCE = ("sourced", "cross-checked", "memory", "ours")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a published table: its texts by column, as printed."""

    table: str
    values: Mapping[str, str]
    source: str
    confidence: str

    def __getitem__(self, column: str) -> str:
        if column not in self.values:
            raise Unknown(
                f"Table {self.table} has no column {column!r}.",
                value=column,
                expected="Its columns are " + ", ".join(self.values) + ".",
            )
        return self.values[column]

    @property
    def confirmed(self) -> bool:
        """Whether an acceptance decision may rest on it before anyone at the plant confirmed it."""
        return self.confidence != "memory"


def names() -> tuple[str, ...]:
    """The names of all tables, sorted."""
    return tuple(sorted(path.stem for path in data_folder("shared").glob("*.csv")))


def table(name: str) -> tuple[Row, ...]:
    """All rows of one table, in its order; Unknown where there is none of that name."""
    path = data_folder("shared") / f"{name}.csv"
    if Path(name).name != name or not path.is_file():  # a name from outside leads to no other folder
        raise Unknown(
            f"There is no reference table {name!r}.", value=name, expected="There are " + ", ".join(names())
        )
    return read(path)


def read(path: Path) -> tuple[Row, ...]:
    """All rows of one CSV file; Unreadable where a row is short, without source or without confidence."""
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        return tuple(_row(path, number, values) for number, values in enumerate(reader, start=2))


def row(name: str, /, **wanted: str) -> Row:
    """The one row whose columns hold what is wanted; Unknown where none or several do."""
    found = [one for one in table(name) if all(one[column] == text for column, text in wanted.items())]
    if len(found) != 1:
        asked = ", ".join(f"{column} = {text}" for column, text in wanted.items())
        raise Unknown(
            f"Table {name} has {len(found)} rows with {asked}.", value=asked, expected="Expected one."
        )
    return found[0]


def _row(path: Path, number: int, values: Mapping[str | None, str | None]) -> Row:
    texts = {column: text for column, text in values.items() if column is not None and text is not None}
    whole = len(texts) == len(values)
    source, confidence = texts.get("source", ""), texts.get("confidence", "")
    if not whole or not source or confidence not in CONFIDENCE:
        raise Unreadable(
            f"Row {number} of {path.name} cannot be used.",
            value=", ".join(texts.values())[:80],
            expected="Expected a text for every column, a source, and a confidence of "
            + ", ".join(CONFIDENCE),
        )
    return Row(path.stem, texts, source, confidence)
