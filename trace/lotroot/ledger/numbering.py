"""Which number is given next, and how is none ever given twice?

A series for each letter and year only counts up; `ledger.high_water` keeps it from starting again lower
when an older backup is restored (RULES 22).
"""

from collections.abc import Mapping

from sqlalchemy import Connection, select, update
from sqlalchemy.dialects import postgresql, sqlite

from lotroot.database import Statement
from lotroot.errors import Refused
from lotroot.ledger.tables import series

_levels = Statement("SELECT letter, year, last FROM series")

LARGEST = 999_999
Levels = Mapping[tuple[str, int], int]
"""The last number given in each series, by letter and year of four digits."""


def take(connection: Connection, letter: str, year: int, count: int = 1, start: int = 1) -> int:
    """Reserve `count` running numbers of a letter and year; returns the first of them.

    `start` is the plant's first number, used when the series begins.
    """
    where = (series.c.letter == letter, series.c.year == year)
    last = connection.scalar(select(series.c.last).where(*where))
    first = start if last is None else last + 1
    if first + count - 1 > LARGEST:
        raise Refused(
            "No number is left in this series.",
            value=f"{letter}{year % 100:02d}",
            expected=f"At most {LARGEST:,} numbers a letter and year.",
            next_step="Call the administrator: the plant needs a second letter.",
        )
    if last is None:
        connection.execute(series.insert(), [{"letter": letter, "year": year, "last": first + count - 1}])
    else:
        connection.execute(update(series).where(*where).values(last=first + count - 1))
    return first


def levels(connection: Connection) -> dict[tuple[str, int], int]:
    """The last number given in every series."""
    return {(letter, year): last for letter, year, last in _levels.rows(connection, {})}


def lift(connection: Connection, to: Levels) -> None:
    """Raise series to at least the given last numbers; none is ever lowered."""
    dialect = sqlite if connection.dialect.name == "sqlite" else postgresql
    for (letter, year), last in sorted(to.items()):
        statement = dialect.insert(series).values(letter=letter, year=year, last=last)
        keep_higher = statement.on_conflict_do_update(
            index_elements=["letter", "year"],
            set_={"last": statement.excluded.last},
            where=series.c.last < statement.excluded.last,
        )
        connection.execute(keep_higher)
