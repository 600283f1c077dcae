"""Do the demo plant's ten days add up, process by process, with scrap that a plant could have?"""

from collections.abc import Iterator

import pytest
from lotroot.balance.reconciling import BEYOND
from lotroot.database import Database
from lotroot.plant.adopted import current_plant
from lotroot.production.runs import find_run
from lotroot.questions import open_questions, questions_of
from lotroot.reconciliation.tables import STANDS, balance_scrap, run_balance
from sqlalchemy import Connection, Row, func, select

SUMS = ("loaded", "returned", "good", "by_product", "scrap", "loss", "difference")


@pytest.fixture(scope="module")
def connection(demo_database: Database) -> Iterator[Connection]:
    with demo_database.reading() as found:
        yield found


def sums(connection: Connection) -> dict[tuple[str, str], Row[tuple[int, ...]]]:
    """What each process used, made, threw away and lost in the ten days, by stream."""
    columns = [func.sum(run_balance.c[name]).label(name) for name in SUMS]
    by = (run_balance.c.process, run_balance.c.stream)
    rows = connection.execute(select(*by, *columns).where(STANDS).group_by(*by))
    return {(row.process, row.stream): row for row in rows}


def test_every_process_adds_up_within_its_tolerance_over_the_ten_days(connection: Connection) -> None:
    plant, found = current_plant(connection), sums(connection)
    assert {process for process, _ in found} == set(plant.processes), "every process closed a run"
    off = {
        by: f"{row.difference} of {row.loaded - row.returned}"
        for by, row in found.items()
        if abs(row.difference) * 1000 > (row.loaded - row.returned) * plant.process(by[0]).tolerance_permille
    }
    assert off == {}
    for row in found.values():
        assert row.loaded == row.returned + row.good + row.by_product + row.scrap + row.loss + row.difference


@pytest.mark.parametrize(
    ("process", "least", "most"),
    [
        # scrap in thousandths of what was used; the bands are from memory, no source: a plant has its own
        ("wire_drawing", 10, 30),
        ("nail_making", 20, 40),
        ("barbed_wire", 10, 20),
        ("chain_link_galvanised", 10, 20),
        ("chain_link_pvc", 10, 20),
        ("fabric_mesh", 10, 30),
        ("roll_forming", 10, 30),
        ("roll_forming_cut", 10, 30),
        ("slitting", 10, 30),
    ],
)
def test_scrap_is_what_such_a_process_throws_away(
    connection: Connection, process: str, least: int, most: int
) -> None:
    rows = [row for (code, _), row in sums(connection).items() if code == process]
    used, scrap = sum(row.loaded - row.returned for row in rows), sum(row.scrap for row in rows)
    assert used * least <= scrap * 1000 <= used * most


def test_most_of_the_scrap_lay_in_a_bin_and_says_so(connection: Connection) -> None:
    known = (
        select(balance_scrap.c.how, func.sum(balance_scrap.c.amount).label("amount"))
        .join(
            run_balance,
            (run_balance.c.event == balance_scrap.c.event) & (run_balance.c.stream == balance_scrap.c.stream),
        )
        .where(STANDS)
        .group_by(balance_scrap.c.how)
    )
    found = {row.how: row.amount for row in connection.execute(known)}
    assert found["apportioned"] > found["weighed"] > 0


def test_some_runs_stay_beyond_and_one_of_them_a_supervisor_has_settled(connection: Connection) -> None:
    beyond = {
        row.run
        for row in connection.execute(
            select(run_balance.c.run).where(STANDS, run_balance.c.verdict == BEYOND)
        )
    }
    waiting = {row.subject for row in open_questions(connection)} & beyond
    settled = beyond - waiting
    assert (len(waiting), len(settled)) == (2, 1)
    *_, asked = questions_of(connection, settled.pop())
    assert "tipped" in asked.settlement
    last = max(find_run(connection, number).row.closed for number in waiting)
    assert last > max(row.at for row in questions_of(connection, asked.subject)), "the newest is of last day"


@pytest.mark.parametrize("process", ["barbed_wire", "chain_link_galvanised", "chain_link_pvc", "pvc_coating"])
def test_what_is_left_is_weighed_so_that_no_run_adds_up_by_construction(
    connection: Connection, process: str
) -> None:
    exact = select(func.count()).where(
        STANDS, run_balance.c.process == process, run_balance.c.difference == 0
    )
    assert connection.scalar(exact) == 0
