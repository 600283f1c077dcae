"""How much longer does an answer take on ten years of a plant than on its first four days?

After four days nothing has left: a recall says where goods lie. From the eleventh day on it says who has
them, which is more to look up however small the record is. So a month is measured as well, and beside the
plain time of a recall stands the time for each row that it goes by (`visits`).
"""

from collections.abc import Iterable
from contextlib import closing
from pathlib import Path
from random import Random
from statistics import median
from typing import Any

from sqlalchemy import Connection, text

from lotroot.bench import contests
from lotroot.bench.contests import Measured
from lotroot.bench.measuring import RUNS, Times, timed
from lotroot.bench.plants import COILS, OF_KIND, PALLETS, Course, Tell, plant_written, some
from lotroot.bench.report import Goal, Report
from lotroot.bench.scratch import DAY, fill
from lotroot.bench.visits import visited
from lotroot.database import Database
from lotroot.holds.facts import hold, hold_release, hold_root
from lotroot.holds.reach import held_by
from lotroot.tracing.asking import asked
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from lotroot.tracing.upward import up

SHORT_DAYS, MONTH, HOLDS, HELD_DAYS = 4, 37, 5, 30
BY_ROW = "forward, for each row it goes by"

_TREATED = text(f"{OF_KIND} = 'treated pack' ORDER BY lot.id DESC LIMIT 300")
_ALL_TREATED = text(f"{OF_KIND} = 'treated pack'")
_RECENT = text("SELECT number FROM lot WHERE born_at >= :since ORDER BY id")

Ways = dict[str, Times]
"""Each answer and its times on one plant."""


def growth(course: Course, report: Report, tell: Tell) -> None:
    """Measure four days, a month where the long plant is longer, and the long plant.

    They take turns, three times each: a machine that slows down for a minute slows down all of them.
    """
    sizes = [SHORT_DAYS, *([MONTH] if course.long_days > MONTH else []), course.long_days]
    for days in sizes:
        _write(course, days, report, tell)
    tell("Growth ...")
    rounds = [{days: _ways(course, days, report) for days in sizes} for _ in range(RUNS)]
    found = {days: _median([one[days] for one in rounds]) for days in sizes}
    short, long = found[SHORT_DAYS], found[course.long_days]
    for name in short:
        report.measured += _beside(f"growth: {name}", {days: ways[name] for days, ways in found.items()})
        if name != BY_ROW:
            grown = long[name].p50 / short[name].p50
            report.goals.append(Goal("7", f"growth of {name}", grown, 1.6, at_most=True))
    tell("Hold check behind a tank ...")
    with (
        closing(Database(str(_file(course, course.long_days)))) as database,
        database.reading() as connection,
    ):
        _hold_check(connection, report)


def _median(rounds: list[Ways]) -> Ways:
    """Of each answer the median p50 and the median p95."""
    return {
        name: Times(median(one[name].p50 for one in rounds), median(one[name].p95 for one in rounds))
        for name in rounds[0]
    }


def _beside(contest: str, times: dict[int, Times]) -> Iterable[Measured]:
    """One answer on all plants, as ratios to the first."""
    first = times[SHORT_DAYS]
    for days, one in times.items():
        yield Measured(contest, f"{days} days", one, one.p50 / first.p50, one.p95 / first.p95)


def _file(course: Course, days: int) -> Path:
    return course.folder / f"days{days}.db"


def _write(course: Course, days: int, report: Report, tell: Tell) -> None:
    """A plant of so many days, and its holds."""
    tell(f"Writing a plant of {days} days ...")
    file = _file(course, days)
    report.plants.append(plant_written(file, course, days))
    with closing(Database(str(file))) as database, database.writing() as connection:
        _hold_some(connection, Random(course.seed + 2), days)


def _ways(course: Course, days: int, report: Report) -> Ways:
    """Each answer's times on the plant of so many days, of one run after a warm one."""
    random = Random(course.seed + 3)
    plant = next(one for one in reversed(report.plants) if one["days"] == days)
    with closing(Database(str(_file(course, days)))) as database, database.reading() as connection:
        pallets = some(random, connection, PALLETS, course.targets)
        coils = some(random, connection, COILS, course.targets)
        lots = some(random, connection, _RECENT, course.targets, since=(days - SHORT_DAYS) * DAY)
        return {
            "back": timed(lambda pallet: sources_on(connection, pallet), pallets, runs=1),
            **_forward(connection, coils, plant),
            "hold check": timed(lambda lot: held_by(connection, lot), lots, runs=1),
            "page": timed(lambda pallet: up(connection, asked(connection, pallet)), pallets[:100], runs=1),
        }


def _forward(connection: Connection, coils: list[str], plant: dict[str, Any]) -> Ways:
    """A recall's time, and the same for each row; says with the plant what the median coil goes by."""
    times = timed(lambda coil: recall(connection, coil), coils, runs=1)
    visits = [visited(connection, coil) for coil in coils]
    middle, wide = (_at([one.rows for one in visits], part) for part in (0.5, 0.95))
    for name in visits[0]._fields:
        plant[f"forward {name}"] = _at([getattr(one, name) for one in visits], 0.5)
    plant["forward rows"] = middle
    return {"forward": times, BY_ROW: Times(times.p50 / middle, times.p95 / wide)}


def _hold_check(connection: Connection, report: Report) -> None:
    packs = [str(row[0]) for row in connection.execute(_TREATED)]
    found = contests.holds(connection, packs)
    report.measured += found
    report.goals.append(Goal("6", "hold check behind a tank, against the plain walk", found[1].ratio, 50))


def _hold_some(connection: Connection, random: Random, days: int) -> None:
    """Holds of the last 30 days, and the one each treated pack was released from."""
    packs = [str(row[0]) for row in connection.execute(_ALL_TREATED)]
    let_go = list(enumerate(packs, HOLDS + 1))
    fill(connection, hold, ((one, "checks", "proof", "", "", "", "", 1, 0) for one, _ in let_go))
    fill(connection, hold_root, ((one, one, pack, 0, 0, 0) for one, pack in let_go))
    fill(connection, hold_release, ((one, one, pack, 0, 0, "proof", "", 1) for one, pack in let_go))
    recent = some(random, connection, _RECENT, HOLDS, since=max(days - HELD_DAYS, 0) * DAY)
    held = list(enumerate(recent, 1))
    fill(connection, hold, ((one, "hold", "brittle", "", "", "", "", 1, 0) for one, _ in held))
    fill(connection, hold_root, ((one, one, number, 0, 0, 1) for one, number in held))


def _at(counts: list[int], part: float) -> int:
    return sorted(counts)[min(int(len(counts) * part), len(counts) - 1)]
