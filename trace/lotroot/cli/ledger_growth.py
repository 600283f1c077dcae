"""How much room does the record take as a plant works?

Measured on the ten days of the demo plant, each label printed and scanned. The plant's own text, its people
and firms are entered once in years: what they take is left out.
"""

from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import func, select

from lotroot.bench.plants import megabytes
from lotroot.database import Database
from lotroot.demo.build import begun, build
from lotroot.house import create
from lotroot.ledger.tables import event, posting


class Ledger(NamedTuple):
    """So many postings and events, and what they take with their indexes, in kB of 1,000 bytes."""

    postings: int
    events: int
    kilobytes: float


def ledger_growth(demo: Path, founded: Path) -> Ledger:
    """What the days add to the record; `demo` is left as the plant after them, both are new SQLite files."""
    for file in (demo, founded):
        with closing(Database(str(file))) as database:
            create(database)
            if file == demo:
                build(database)
            else:
                begun(database)
    after, before = _taken(demo), _taken(founded)
    return Ledger(
        after.postings - before.postings,
        after.events - before.events,
        after.kilobytes - before.kilobytes,
    )


def _taken(file: Path) -> Ledger:
    with closing(Database(str(file))) as database, database.reading() as connection:
        postings, events = (
            int(connection.scalar(select(func.count()).select_from(table)) or 0) for table in (posting, event)
        )
    return Ledger(postings, events, megabytes(file, "posting", "event") * 1000)
