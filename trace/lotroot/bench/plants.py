"""Which plants are measured, how large did they come out, and whom of them is asked?"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from sqlalchemy import Connection, text

from lotroot.bench.scratch import empty, written
from lotroot.database import Database
from lotroot.genealogy.tables import GRAPH

YEAR = 366

OF_KIND = "SELECT number FROM lot JOIN lot_words w ON w.id = lot.words WHERE w.kind"
COILS = text(f"{OF_KIND} IN ('coil', 'coated coil') ORDER BY lot.id")
PALLETS = text("SELECT number FROM carrier ORDER BY number")

_PAGES = """
SELECT m.tbl_name, SUM(s.pgsize) FROM dbstat s JOIN sqlite_master m ON m.name = s.name GROUP BY m.tbl_name
"""


@dataclass(frozen=True)
class Course:
    """How much is measured: days of the main plant, of the long one (0: none), targets, and where."""

    folder: Path
    days: int = 37
    long_days: int = 0
    targets: int = 300
    seed: int = 1
    database: str = ""
    layers: int = 6


Tell = Callable[[str], None]


def plant_written(file: Path, course: Course, days: int = 0) -> dict[str, Any]:
    """Write a plant into a new file; returns how large it came out."""
    days = days or course.days
    with closing(Database(str(file))) as database:
        empty(database)
        size, _ = written(database, days, course.seed)
    graph = megabytes(file, *(table.name for table in GRAPH))
    return {
        **size._asdict(),
        "MB": round(file.stat().st_size / 1e6, 1),
        "graph MB a year": round(graph * YEAR / days, 1),
        "events a year": size.events * YEAR // days,
    }


def megabytes(file: Path, *tables: str) -> float:
    """What some tables and their indexes take, by the page statistics of Python's own SQLite."""
    with closing(sqlite3.connect(file)) as raw:
        taken = raw.execute(_PAGES).fetchall()
    return sum(float(size) for table, size in taken if table in tables) / 1e6


def some(random: Random, connection: Connection, query: Any, count: int, **values: Any) -> list[str]:
    """Numbers at random of those a query finds."""
    numbers = [str(row[0]) for row in connection.execute(query, values)]
    return random.sample(numbers, min(count, len(numbers)))
