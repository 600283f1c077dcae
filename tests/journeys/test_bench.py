"""Does the benchmark compare equals, and say what it measured?

Nothing here asserts a time: a test on a busy machine would say nothing about the code.
"""

import json
from contextlib import closing
from pathlib import Path

import pytest
from houses import a_house
from lotroot.bench.contests import contest
from lotroot.bench.course import measure
from lotroot.bench.layers import WIDE, layered
from lotroot.bench.measuring import at
from lotroot.bench.plants import COILS, Course
from lotroot.bench.scratch import with_tables, written
from lotroot.bench.synthetic import Plant
from lotroot.bench.visits import visited
from lotroot.cli import main
from lotroot.cli.dispatch_scans import dispatch_scans
from lotroot.database import Database
from lotroot.errors import Fault
from lotroot.genealogy.tables import edge, lot
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from sqlalchemy import func, select


@pytest.mark.in_ci
def test_all_answer_alike_and_every_goal_that_was_run_is_told(tmp_path: Path) -> None:
    report = measure(Course(tmp_path, days=13, long_days=6, targets=6, layers=2), lambda _: None)
    contests = {one.contest for one in report.measured}
    assert {
        "pallet to coils in kg",
        "coil to customers, kg and stock",
        "hold check behind a tank",
    } <= contests
    assert {"1a", "1b", "2", "4", "5", "6", "7"} <= {goal.number for goal in report.goals}
    assert all(one.times.p50 > 0 for one in report.measured)
    by_row = [one for one in report.measured if one.contest == "growth: forward, for each row it goes by"]
    assert [one.who for one in by_row] == ["4 days", "6 days"], "beside the plain growth, which is the goal"
    assert "growth of forward" in {goal.what for goal in report.goals if goal.number == "7"}
    text, plain = report.as_text(), report.as_json()
    assert all(goal.what in text for goal in report.goals)
    assert json.loads(json.dumps(plain))["machine"]["cores"]


def test_unequal_answers_are_a_fault_and_not_timed() -> None:
    liar = {"a liar": lambda _target: {"C1": 2_000.0}}
    with pytest.raises(Fault, match="differ"):
        contest("any", (lambda _target: {"C1": 1_000}, liar), ["P1"], runs=1)


def test_a_verdict_is_not_nearly_the_same() -> None:
    wrong = {"a hold check that is wrong": lambda _target: {"held": 1}}
    with pytest.raises(Fault, match="differ"):
        contest("held", (lambda _target: {"held": 0}, wrong), ["P1"], runs=1, slack=0)


def test_the_same_seed_makes_the_same_plant_and_nothing_is_lost_in_it() -> None:
    once, again = list(Plant(7).days(12)), list(Plant(7).days(12))
    assert [one.number for day in once for one in day.lots] == [
        one.number for day in again for one in day.lots
    ]
    taken: dict[int, int] = {}
    amounts = {one.id: one.amount for day in once for one in day.lots}
    for link in (link for day in once for one in day.lots for link in one.links if link.stream == "steel"):
        taken[link.parent] = taken.get(link.parent, 0) + link.given
    assert all(much <= amounts[parent] for parent, much in taken.items() if amounts[parent] == 2_000_000)
    assert any(day.leaving for day in once)
    assert any(one.kind == "treated pack" for day in once for one in day.lots)


def test_a_plant_is_written_on_either_engine(database_url: str) -> None:
    with closing(Database(database_url)) as database:
        size, pallets = written(database, 2)
        with database.reading() as connection:
            assert connection.scalar(select(func.count()).select_from(lot)) == size.lots
            assert connection.scalar(select(func.count()).select_from(edge)) == size.edges
            assert sum(part.amount for part in sources_on(connection, pallets[0])) > 0


@pytest.mark.parametrize(
    ("days", "here", "left"),
    [
        (4, True, False),  # nothing leaves before the eleventh day
        (13, True, True),
    ],
)
def test_a_recall_goes_by_what_lies_here_and_by_what_has_left(
    tmp_path: Path, days: int, here: bool, left: bool
) -> None:
    with closing(Database(str(tmp_path / "plant.db"))) as database:
        written(database, days)
        with database.reading() as connection:
            coils = [str(row[0]) for row in connection.execute(COILS)][:12]
            visits = [visited(connection, coil) for coil in coils]
            recalls = [recall(connection, coil) for coil in coils]
    assert [one.lots for one in visits] == [1 + len(one.lots) for one in recalls]
    assert [one.loads > 0 for one in visits] == [bool(one.customers) for one in recalls]
    assert [one.standings > one.gone for one in visits] == [bool(one.places) for one in recalls]
    assert (any(one.places for one in recalls), any(one.customers for one in recalls)) == (here, left)


def test_layers_multiply_paths_and_not_lots(tmp_path: Path) -> None:
    with closing(Database(str(tmp_path / "layers.db"))) as database:
        with_tables(database)
        with database.writing() as connection:
            pallet = layered(connection, 3)
        with database.reading() as connection:
            assert len(sources_on(connection, pallet)) == WIDE


def test_a_dispatch_scan_is_measured_beside_a_route_that_does_nothing(demo_database: Database) -> None:
    scans = dispatch_scans(demo_database, 3)
    assert scans.scan[1] >= scans.scan[0] > 0
    assert scans.nothing[0] > 0


def test_a_database_that_holds_anything_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    house = a_house(tmp_path)
    house.database.close()
    assert main(["bench", "--database", house.database.url]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert "empty database" in said.err


@pytest.mark.parametrize("words", [["--days", "-1"], ["--days", "two"], ["--targets", "99999999"]])
def test_a_number_that_is_none_is_refused(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["bench", *words]) == 2
    assert "no such number" in capsys.readouterr().err


def test_times_are_told_at_a_part_of_all() -> None:
    assert at([4_000_000, 1_000_000, 2_000_000, 3_000_000], 0.5) == 3.0
    assert at([1_000_000], 0.99) == 1.0
