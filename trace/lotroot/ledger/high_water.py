"""How does a database that was lost leave word of the highest numbers it gave?

Beside an SQLite file stands a high-water file. It is written before the numbers are given, some way
ahead, so that it is never below them and not written at every posting (RULES 22).
"""

import json
import os
from pathlib import Path

from lotroot.errors import Unreadable
from lotroot.ledger.numbering import LARGEST, Levels

AHEAD = 100
"""Numbers a series may go on before the file is written again; a restore skips ten times as many."""


class HighWater:
    """The high-water file of one database; without a path nothing is kept."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._kept: dict[tuple[str, int], int] = {}

    def keep(self, given: Levels) -> None:
        """See that the file stands at or above `given`; called before the commit, by one writer."""
        behind = {series: last for series, last in given.items() if last > self._kept.get(series, 0)}
        if self._path is None or not behind:
            return
        self._kept |= {series: min(last + AHEAD, LARGEST) for series, last in behind.items()}
        write(self._path, self._kept)


def beside(database_path: str | None) -> Path | None:
    """Where the high-water file of a database stands; None where it has no file of its own."""
    return Path(database_path + ".numbers") if database_path and database_path != ":memory:" else None


def write(path: Path, levels: Levels) -> None:
    """Replace the file in one step that also holds through a power cut."""
    content = {f"{letter}{year}": last for (letter, year), last in sorted(levels.items())}
    scratch = path.with_name(path.name + ".new")
    with scratch.open("w", encoding="utf-8") as file:
        json.dump(content, file)
        file.flush()
        os.fsync(file.fileno())
    scratch.replace(path)


def read(path: Path | None) -> dict[tuple[str, int], int]:
    """The levels kept beside a database; empty where there is no file. Raises Unreadable."""
    if path is None or not path.exists():
        return {}
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        return {(name[0], int(name[1:])): int(last) for name, last in kept.items()}
    except (ValueError, AttributeError, TypeError, IndexError) as error:
        raise Unreadable(
            "The file that keeps the highest numbers cannot be read.",
            value=str(path),
            expected='JSON such as {"C2026": 1234}.',
            next_step="Move it away, and name the newest labels with --newest.",
        ) from error
