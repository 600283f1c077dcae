"""What is run, in which order, on which plants?

The main plant (a month: about a million links at box level; a year: ten million) is asked by everybody.
Growth and the hold check are measured between four days and as many as are asked for, up to ten years.
"""

import os
import platform
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from sqlalchemy import Connection, text

from lotroot.bench import contests
from lotroot.bench.contests import OURS, Measured
from lotroot.bench.layers import layered
from lotroot.bench.measuring import Times, timed
from lotroot.bench.peers import BoxLevel, OwnSchema
from lotroot.bench.report import Goal, Report
from lotroot.bench.scratch import DAY, boxes_written, empty, fill, with_tables, written
from lotroot.database import Database, sqlite_module
from lotroot.holds.facts import hold, hold_release, hold_root
from lotroot.holds.reach import held_by
from lotroot.tracing.asking import asked
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from lotroot.tracing.upward import up

SHORT_DAYS, HOLDS, HELD_DAYS = 4, 5, 30
YEAR = 366

_COILS = text("SELECT number FROM lot WHERE kind IN ('coil', 'coated coil') ORDER BY id")
_PALLETS = text("SELECT number FROM carrier ORDER BY number")
_TREATED = text("SELECT number FROM lot WHERE kind = 'treated pack' ORDER BY id DESC LIMIT 300")
_ALL_TREATED = text("SELECT number FROM lot WHERE kind = 'treated pack'")
_RECENT = text("SELECT number FROM lot WHERE born_at >= :since ORDER BY id")

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


def measure(course: Course, tell: Tell) -> Report:
    """Build the plants and measure; `tell` hears what is being done."""
    report = Report(machine())
    _main(course, report, tell)
    _paths(course, report, tell)
    if course.long_days:
        _growth(course, report, tell)
    report.goals.sort(key=lambda goal: int(goal.number.rstrip("ab")))
    return report


def machine() -> dict[str, Any]:
    """What it was measured on."""
    return {
        "cores": os.cpu_count(),
        "processor": platform.machine(),
        "Python": platform.python_version(),
        "SQLite": sqlite_module().sqlite_version,
    }


def _main(course: Course, report: Report, tell: Tell) -> None:
    own, box = course.folder / "own.db", course.folder / "box.db"
    tell(f"Writing a plant of {course.days} days ...")
    report.plants.append(_plant(own, course))
    tell("Writing the same with a node for every box ...")
    with _opened(box) as file:
        report.plants[-1]["box-level links"] = boxes_written(file, course.days, course.seed)
    if course.database:
        tell("Writing the same into the database named ...")
        with closing(Database(course.database)) as database:
            empty(database)
            written(database, course.days, course.seed)
    random = Random(course.seed + 1)
    with (
        closing(Database(course.database or str(own))) as database,
        database.reading() as connection,
        _opened(own) as own_file,
        _opened(box) as box_file,
    ):
        pallets = _some(random, connection, _PALLETS, course.targets)
        coils = _some(random, connection, _COILS, course.targets)
        tell("Pallet to coils ...")
        report.measured += contests.back(connection, pallets, box_file, own_file)
        tell("Coil to customers ...")
        report.measured += contests.forward(connection, coils, box_file)
        report.measured += contests.whole(connection, pallets[:100])
    report.goals += _main_goals(report)


def _main_goals(report: Report) -> Iterator[Goal]:
    back, forward = "pallet to coils", "coil to customers"
    wanted = (
        ("1a", "back, against path products at box level, p50", back, BoxLevel.name, False, 5),
        ("1b", "back, against path products at box level, p95", back, BoxLevel.name, True, 10),
        ("2", "forward, against path products at box level", forward, BoxLevel.name, False, 15),
        ("3", "back, against networkx in memory", back, "networkx", False, 1.3),
    )
    for number, what, contest, who, at95, least in wanted:
        found = _ratio(report, contest, who, at95=at95)
        if found is not None:
            yield Goal(number, what, found, least)
    own = _ratio(report, back, OwnSchema.name)
    if own is not None:
        yield Goal("4", "back, times raw sqlite3 on our schema", 1 / own, 2.5, at_most=True)
    rustworkx = _ratio(report, back, "rustworkx")
    if rustworkx is not None:
        yield Goal("9", "rustworkx in memory, published as it is", rustworkx, 0)


def _ratio(report: Report, contest: str, who: str, *, at95: bool = False) -> float | None:
    names = {one.contest for one in report.measured if one.contest.startswith(contest)}
    return report.ratio(names.pop(), who, at95=at95) if names else None


def _paths(course: Course, report: Report, tell: Tell) -> None:
    tell(f"{course.layers} layers of 8-way mixing ...")
    file = course.folder / "layers.db"
    with closing(Database(str(file))) as database:
        with_tables(database)
        with database.writing() as connection:
            pallet = layered(connection, course.layers, course.seed)
        with database.reading() as connection, _opened(file) as raw:
            mine = timed(lambda spot: sources_on(connection, spot), [pallet] * 100)
            other = timed(OwnSchema(raw).sources, [pallet], runs=1)
    name = f"{course.layers} layers of 8-way mixing"
    ratio = other.p50 / mine.p50
    report.measured += [
        Measured(name, OURS, mine, 1.0, 1.0),
        Measured(name, OwnSchema.name, other, ratio, other.p95 / mine.p95),
    ]
    report.goals.append(Goal("5", f"{name}, against path products", ratio, 2000))


def _growth(course: Course, report: Report, tell: Tell) -> None:
    short = _ways(course, SHORT_DAYS, report, tell)
    long = _ways(course, course.long_days, report, tell)
    for name in short:
        growth = long[name].p50 / short[name].p50
        contest = f"growth: {name}"
        report.measured += [
            Measured(contest, f"{SHORT_DAYS} days", short[name], 1.0, 1.0),
            Measured(
                contest, f"{course.long_days} days", long[name], growth, long[name].p95 / short[name].p95
            ),
        ]
        report.goals.append(Goal("7", f"growth of {name}", growth, 1.6, at_most=True))


def _ways(course: Course, days: int, report: Report, tell: Tell) -> dict[str, Times]:
    """The p50 of each answer on a plant of so many days; on the long one the hold check's contest too."""
    tell(f"Writing a plant of {days} days ...")
    file = course.folder / f"days{days}.db"
    report.plants.append(_plant(file, course, days))
    random = Random(course.seed + 2)
    with closing(Database(str(file))) as database:
        with database.writing() as connection:
            _hold_some(connection, random, days)
        with database.reading() as connection:
            tell("Growth ...")
            pallets = _some(random, connection, _PALLETS, course.targets)
            coils = _some(random, connection, _COILS, course.targets)
            lots = _some(random, connection, _RECENT, course.targets, since=(days - SHORT_DAYS) * DAY)
            if days == course.long_days:
                tell("Hold check behind a tank ...")
                packs = [str(row[0]) for row in connection.execute(_TREATED)]
                found = contests.holds(connection, packs)
                report.measured += found
                report.goals.append(
                    Goal("6", "hold check behind a tank, against the plain walk", found[1].ratio, 50)
                )
            return {
                "back": timed(lambda pallet: sources_on(connection, pallet), pallets),
                "forward": timed(lambda coil: recall(connection, coil), coils),
                "hold check": timed(lambda lot: held_by(connection, lot), lots),
                "page": timed(lambda pallet: up(connection, asked(connection, pallet)), pallets[:100]),
            }


def _hold_some(connection: Connection, random: Random, days: int) -> None:
    """Holds of the last 30 days, and the one each treated pack was released from."""
    packs = [str(row[0]) for row in connection.execute(_ALL_TREATED)]
    let_go = list(enumerate(packs, HOLDS + 1))
    fill(connection, hold, ((one, "checks", "proof", "", "", "", "", 1, 0) for one, _ in let_go))
    fill(connection, hold_root, ((one, one, pack, 0, 0, 0) for one, pack in let_go))
    fill(connection, hold_release, ((one, one, pack, 0, 0, "proof", "", 1) for one, pack in let_go))
    recent = _some(random, connection, _RECENT, HOLDS, since=max(days - HELD_DAYS, 0) * DAY)
    held = list(enumerate(recent, 1))
    fill(connection, hold, ((one, "hold", "brittle", "", "", "", "", 1, 0) for one, _ in held))
    fill(connection, hold_root, ((one, one, number, 0, 0, 1) for one, number in held))


def _plant(file: Path, course: Course, days: int = 0) -> dict[str, Any]:
    days = days or course.days
    with closing(Database(str(file))) as database:
        empty(database)
        size, _ = written(database, days, course.seed)
    graph = megabytes(file, "lot", "edge")
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


def _some(random: Random, connection: Connection, query: Any, count: int, **values: Any) -> list[str]:
    numbers = [str(row[0]) for row in connection.execute(query, values)]
    return random.sample(numbers, min(count, len(numbers)))


@contextmanager
def _opened(file: Path) -> Iterator[sqlite3.Connection]:
    """Raw SQLite, the same engine as ours; one BEGIN, so that no read locks the file anew."""
    raw = sqlite_module().connect(str(file))
    try:
        raw.execute("BEGIN")
        yield raw
    finally:
        raw.close()
