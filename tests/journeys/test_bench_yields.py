"""Does the benchmark of yields measure what it says, on balances whose sums are theirs?

Nothing here asserts a time: a test on a busy machine would say nothing about the code.
"""

import json
from collections.abc import Iterator
from contextlib import closing
from datetime import date

import pytest
from lotroot.bench.report import Report
from lotroot.bench.statements import Watch, watched
from lotroot.bench.year import FIRST_EVENT, Year
from lotroot.cli.yield_pace import closing_times, page_times
from lotroot.database import Database
from lotroot.plant.adopted import things
from lotroot.reconciliation.knowing import Then
from lotroot.reconciliation.yields import GROUPINGS, Asked, scrap, yields
from sqlalchemy import text

LAST, DAYS = date(2025, 6, 10), 12


@pytest.fixture(scope="module")
def measured(demo_database: Database) -> Iterator[tuple[Database, Watch, Year]]:
    """The demo plant, watched, with some days of balances of another year."""
    database, watch = watched(str(demo_database.path))
    with closing(database):
        with database.writing() as connection:
            stations = {row.code: row.number for row in things(connection) if row.kind == "station"}
            year = Year(LAST, stations, DAYS)
            year.write(connection)
        yield database, watch, year


@pytest.mark.parametrize("by", GROUPINGS)
def test_sums_of_the_year_are_those_of_its_balances(measured: tuple[Database, Watch, Year], by: str) -> None:
    asked = Asked("2025-05-30", "2025-06-10")
    with measured[0].reading() as connection:
        found = yields(connection, asked, by)
        assert found == yields(connection, asked._replace(then=Then(head=2 * FIRST_EVENT)), by)
        assert sum(one.figures.runs for one in found) >= measured[2].runs
        thrown = scrap(connection, asked)
        assert thrown == scrap(connection, asked._replace(then=Then(head=2 * FIRST_EVENT)))
    assert measured[2].coils == 66 * DAYS


def test_every_grouping_and_both_closings_are_told(measured: tuple[Database, Watch, Year]) -> None:
    database, watch, _ = measured
    report = Report({})
    closing_times(report, database, watch, 4)
    page_times(report, database, watch, (date(2025, 5, 30), LAST), 1)
    contests = " ".join(one.contest for one in report.measured)
    assert all(f"yields by {by}, " in contests for by in GROUPINGS)
    assert "4 outputs that adds up" in contests
    assert "4 outputs that is beyond tolerance" in contests
    assert all(one.times.p50 > 0 for one in report.measured)
    assert [goal.wanted for goal in report.goals] == [50, 50, 150, 150]
    assert json.loads(json.dumps(report.as_json()))["goals"][0]["what"].startswith("ms of database work")


def test_a_watch_counts_what_is_sent_and_nothing_from_before(
    measured: tuple[Database, Watch, Year],
) -> None:
    database, watch, _ = measured
    with database.reading() as connection:
        with watch.on():
            for _ in range(3):
                connection.execute(text("SELECT 1")).all()
        assert watch.statements == 3
        assert 0 < watch.spent < watch.whole
        with watch.on():
            pass
        assert (watch.statements, watch.spent) == (0, 0)
