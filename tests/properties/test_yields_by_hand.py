"""Is every figure of yields what a pencil makes of the balances behind it, now and as known before?"""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date, timedelta

import balances_by_hand as hand
import pytest
from compiled_once import compiled_once
from hypothesis import given
from hypothesis import strategies as st
from lotroot.database import Database
from lotroot.posting.status import begin_status
from lotroot.production.tables import run
from lotroot.reconciliation.behind import Which, changes, figures_then, runs
from lotroot.reconciliation.knowing import NOW, Then
from lotroot.reconciliation.sums import OF_RUNS, balance_sum
from lotroot.reconciliation.tables import balance_scrap, balance_source, run_balance
from lotroot.reconciliation.yields import GROUPINGS, Asked, periods, scrap, yields
from sqlalchemy import Connection, create_engine

TABLES = (run, run_balance, balance_source, balance_scrap, balance_sum)
ONLY = (
    {},
    {"process": "nails"},
    {"station": "T1"},
    {"shift": "night", "product": "nails_1"},
    {"heat": "H1"},
    {"supplier": "nordhavn", "process": "drawing"},
    {"heat": "(several)", "station": "T0"},
    {"heat": ""},
)


@contextmanager
def tables() -> Iterator[Connection]:
    engine = compiled_once(create_engine("sqlite://"))
    with engine.begin() as connection:
        for table in TABLES:
            table.create(connection)
        yield connection
    engine.dispose()


def agrees(books: hand.Books, asked: Asked, stands: hand.Stands) -> None:
    """Whatever is asked comes out as by hand."""
    only = dict(asked.only)
    there = hand.in_days(books, asked.first, asked.last, stands)
    for by in GROUPINGS:
        found = yields(books.connection, asked, by)
        wanted = hand.by_hand(there, only, by)
        assert {(one.value, one.stream, one.unit): one.figures for one in found} == wanted, (asked, by)
        for line in found:
            behind = runs(books.connection, asked._replace(only={**only, by: line.value}))
            mine = [one for one in behind if (one.row.stream, one.row.unit) == (line.stream, line.unit)]
            assert len(mine) == line.figures.runs, (asked, by, line)
            assert sum(one.figures.used for one in mine) == line.figures.used, (asked, by, line)
            assert sum(one.figures.difference for one in mine) == line.figures.difference
            assert sum(one.beyond for one in mine) == line.figures.beyond
    thrown = {(one.reason, one.how, one.stream, one.unit): one for one in scrap(books.connection, asked)}
    assert {key: one.amount for key, one in thrown.items()} == hand.thrown_by_hand(there, only), asked
    for (reason, how, stream, _), one in thrown.items():
        behind = runs(books.connection, asked, Which(reason=reason, how=how))
        assert len({each.row.run for each in behind if each.row.stream == stream}) == one.runs


def days(random_from: int, length: int) -> tuple[str, str]:
    first = hand.FIRST_DAY + timedelta(days=random_from)
    return str(first), str(first + timedelta(days=length))


@given(
    seed=st.integers(0, 10_000),
    acts=st.integers(0, 25),
    begins=st.integers(-3, hand.DAYS),
    only=st.sampled_from(ONLY),
    then=st.integers(0, 60),
)
def test_figures_are_what_a_pencil_makes_of_the_balances(
    seed: int, acts: int, begins: int, only: dict[str, str], then: int
) -> None:
    with tables() as connection:
        books = hand.worked_on(connection, seed, acts)
        first, last = days(begins, (seed * 7 + then) % 80)
        agrees(books, Asked(first, last, only), hand.now)
        agrees(books, Asked(first, last, only, Then(at=then)), hand.at(then))
        agrees(books, Asked(first, last, only, Then(head=then)), hand.up_to(then))


@given(
    seed=st.integers(0, 10_000),
    acts=st.integers(0, 25),
    then=st.integers(0, 60),
    by_event=st.booleans(),
    only=st.sampled_from([one for one in ONLY if one.keys() <= set(OF_RUNS)]),
)
def test_what_changed_since_leads_from_the_figures_of_now_to_those_of_then(
    seed: int, acts: int, then: int, by_event: bool, only: dict[str, str]
) -> None:
    with tables() as connection:
        books = hand.worked_on(connection, seed, acts)
        first, last = days(5, 40)
        asked = Asked(first, last, only, Then(head=then) if by_event else Then(at=then))
        changed = changes(connection, asked)
        stands = hand.up_to(then) if by_event else hand.at(then)
        for side, state in (("then", stands), ("now", hand.now)):
            there = {
                (one.about["run"], one.balance.stream): one for one in hand.in_days(books, first, last, state)
            }
            for one in changed:
                row, wanted = getattr(one, side), there.get((one.run, one.stream))
                assert (row is None) == (wanted is None or _left_out(wanted, only))
                assert row is None or row.event == wanted.event
        for by in OF_RUNS:
            then_found = figures_then(yields(connection, asked._replace(then=NOW), by), changed, by)
            wanted = hand.by_hand(hand.in_days(books, first, last, stands), only, by)
            assert {(one.value, one.stream, one.unit): one.figures for one in then_found} == wanted


def _left_out(one: hand.Version, only: dict[str, str]) -> bool:
    return any(one.about[name] != value for name, value in only.items())


@pytest.mark.parametrize("seed", [1, 2])
def test_both_engines_give_the_figures_of_the_pencil(database_url: str, seed: int) -> None:
    with closing(Database(database_url)) as database, database.writing() as connection:
        begin_status(connection)
        books = hand.worked_on(connection, seed, 40)
        for only in ONLY:
            asked = Asked("2026-10-30", "2026-12-20", only)
            agrees(books, asked, hand.now)
            agrees(books, asked._replace(then=Then(at=books.at // 2)), hand.at(books.at // 2))
            agrees(books, asked._replace(then=Then(head=20)), hand.up_to(20))
            assert len(changes(connection, asked._replace(then=Then(head=20)))) > 0


@given(begins=st.integers(0, 800), length=st.integers(0, 800))
def test_months_and_days_cover_every_day_once(begins: int, length: int) -> None:
    first = date(2026, 1, 1) + timedelta(days=begins)
    wanted = [str(first + timedelta(days=one)) for one in range(length + 1)]
    found = []
    for span, low, high in periods(wanted[0], wanted[-1]):
        inside = [one for one in wanted if low <= one[: len(low)] <= high]
        assert span == ("month" if len(low) == 7 else "day")
        found += inside
        if span == "month":  # whole ones
            assert inside[0][8:] == "01"
            assert (date.fromisoformat(inside[-1]) + timedelta(days=1)).day == 1
    assert found == wanted
