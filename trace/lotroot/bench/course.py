"""What is run, in which order, on which plants?

The main plant (a month: about a million links at box level; a year: ten million) is asked by everybody.
Growth and the hold check are measured between four days and as many as are asked for, up to ten years.
"""

import os
import platform
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from random import Random
from typing import Any

from lotroot.bench import contests
from lotroot.bench.contests import OURS, Measured
from lotroot.bench.growth import growth
from lotroot.bench.layers import layered
from lotroot.bench.measuring import timed
from lotroot.bench.peers import BoxLevel, OwnSchema
from lotroot.bench.plants import COILS, PALLETS, Course, Tell, plant_written, some
from lotroot.bench.report import Goal, Report
from lotroot.bench.scratch import boxes_written, empty, with_tables, written
from lotroot.database import Database, sqlite_module
from lotroot.tracing.sources import sources_on


def measure(course: Course, tell: Tell) -> Report:
    """Build the plants and measure; `tell` hears what is being done."""
    report = Report(machine())
    _main(course, report, tell)
    _paths(course, report, tell)
    if course.long_days:
        growth(course, report, tell)
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
    report.plants.append(plant_written(own, course))
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
        pallets = some(random, connection, PALLETS, course.targets)
        coils = some(random, connection, COILS, course.targets)
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


@contextmanager
def _opened(file: Path) -> Iterator[sqlite3.Connection]:
    """Raw SQLite, the same engine as ours; one BEGIN, so that no read locks the file anew."""
    raw = sqlite_module().connect(str(file))
    try:
        raw.execute("BEGIN")
        yield raw
    finally:
        raw.close()
