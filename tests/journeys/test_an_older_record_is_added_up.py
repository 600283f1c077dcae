"""Is a record of a release without balances added up once when the program starts on it, and never again?"""

from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from houses import MONDAY, House, a_house
from lotroot import house as program
from lotroot.database import Database
from lotroot.house import open_house
from lotroot.ledger import book
from lotroot.ledger.book import head
from lotroot.posting.door import Door
from lotroot.posting.status import remake
from lotroot.production.loading import UnloadInput
from lotroot.production.marking import CloseRun
from lotroot.questions import open_questions
from lotroot.reconciliation.earlier import AddUpRuns, never_added_up
from lotroot.reconciliation.facts import RunBalanced
from lotroot.reconciliation.knowing import Then
from lotroot.reconciliation.tables import run_balance
from lotroot.reconciliation.yields import Asked, yields
from lotroot.verify import verify
from lotroot.work import Envelope
from shop import Shop
from sqlalchemy import select

EVER = Asked("2026-01-01", "2026-12-31")
OF_THE_EVENT = ("event", "known")


@pytest.fixture
def house(tmp_path: Path) -> House:
    """A house with three closed runs, one of them far off, and one that is open."""
    made = a_house(tmp_path)
    shop = Shop(made)
    for remainder in (1_480_000, 1_500_000, 1_000_000):
        shop.drawn(shop.coil(), 500_000)
        shop.at("draw_1", UnloadInput(remainder=remainder, how="weighed"))
        shop.at("draw_1", CloseRun())
    shop.drawn(shop.coil(), 400_000)
    return made


def as_written_before(house: House, url: str) -> None:
    """The same record as a release would have written it that added nothing up."""
    with closing(Database(url)) as database:
        program.create(database)
        with house.reading() as connection, database.writing() as target:
            recorded = list(book.events(connection))
            for posting in dict.fromkeys(one.posting for one in recorded):
                mine = [one.event for one in recorded if one.posting.id == posting.id]
                if RunBalanced in map(type, mine):  # and what follows from it
                    mine = mine[: [type(one) for one in mine].index(RunBalanced)]
                book.append(target, posting, mine)
            remake(target)


def balances(url: str) -> list[dict[str, Any]]:
    with closing(Database(url)) as database, database.reading() as connection:
        rows = connection.execute(select(run_balance).order_by(run_balance.c.run)).mappings()
        return [{name: value for name, value in row.items() if name not in OF_THE_EVENT} for row in rows]


def test_every_closed_run_is_added_up_when_the_program_starts(house: House, database_url: str) -> None:
    as_written_before(house, database_url)
    assert balances(database_url) == []
    with closing(open_house(database_url)) as database:
        assert verify(database).finding is None
        with database.reading() as connection:
            assert len(never_added_up(connection)) == 0
            assert open_questions(connection) == []
            [line] = yields(connection, EVER, "process")
            assert line.figures.runs == 3
            assert yields(connection, EVER._replace(then=Then(at=MONDAY)), "process") == []
    own = [
        {name: value for name, value in row.items() if name not in OF_THE_EVENT}
        for row in sorted(house.rows(run_balance), key=lambda row: str(row["run"]))
    ]
    assert balances(database_url) == own


def test_what_was_stopped_halfway_goes_on_and_nothing_is_added_up_twice(
    house: House, database_url: str
) -> None:
    as_written_before(house, database_url)
    with closing(Database(database_url)) as database:
        with database.reading() as connection:
            first = tuple(never_added_up(connection, most=1))
        Door(database).post(AddUpRuns(first), Envelope(key="add-up-the-first-one", person=""))
        with database.reading() as connection:
            assert len(never_added_up(connection)) == 2
    open_house(database_url).close()
    assert [row["replaced"] for row in balances(database_url)] == [None, None, None]
    with closing(open_house(database_url)) as database, database.reading() as connection:
        once = head(connection)
    with closing(open_house(database_url)) as database, database.reading() as connection:
        assert head(connection) == once


def test_a_record_that_was_added_up_all_along_gets_nothing(house: House) -> None:
    assert house.ask(never_added_up) == []
    before = house.ask(head)
    house.database.close()
    with closing(open_house(house.database.url)) as database, database.reading() as connection:
        assert head(connection) == before
