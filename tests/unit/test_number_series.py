"""Is every number given once, also across a lost database?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from lotroot.database import Database
from lotroot.errors import Refused, Unreadable
from lotroot.ledger import high_water, numbering
from lotroot.ledger.tables import series

C26, R26 = ("C", 2026), ("R", 2026)


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    found = Database(database_url)
    with found.writing() as connection:
        series.create(connection)
    yield found
    found.close()


def test_a_series_begins_at_the_plants_first_number_and_counts_up(database: Database) -> None:
    with database.writing() as connection:
        assert numbering.take(connection, "C", 2026, 1, 500) == 500
        assert numbering.take(connection, "C", 2026, 3, 500) == 501
        assert numbering.take(connection, "C", 2026) == 504
        assert numbering.take(connection, "R", 2026) == 1
        assert numbering.take(connection, "C", 2027) == 1
        assert numbering.levels(connection) == {C26: 504, R26: 1, ("C", 2027): 1}


def test_a_series_that_is_used_up_refuses_and_stays(database: Database) -> None:
    with database.writing() as connection:
        assert numbering.take(connection, "C", 2026, 1, numbering.LARGEST) == 999_999
        with pytest.raises(Refused, match="No number is left"):
            numbering.take(connection, "C", 2026)
        assert numbering.levels(connection) == {C26: 999_999}


def test_lifting_raises_series_and_never_lowers_one(database: Database) -> None:
    with database.writing() as connection:
        numbering.take(connection, "C", 2026, 100)
        numbering.lift(connection, {C26: 50, R26: 7})
        assert numbering.levels(connection) == {C26: 100, R26: 7}
        numbering.lift(connection, {C26: 1100})
        assert numbering.take(connection, "C", 2026) == 1101


def test_the_high_water_file_is_never_below_what_was_given(tmp_path: Path) -> None:
    path = tmp_path / "plant.db.numbers"
    kept = high_water.HighWater(path)
    for last in range(1, 1001):
        kept.keep({C26: last, R26: last // 7 + 1})
        assert high_water.read(path)[C26] >= last


def test_the_high_water_file_is_written_once_in_a_hundred_numbers(tmp_path: Path) -> None:
    path = tmp_path / "plant.db.numbers"
    kept = high_water.HighWater(path)
    seen = set()
    for last in range(1, 1001):
        kept.keep({C26: last})
        seen.add(path.read_text())
    assert len(seen) == 10


def test_another_program_starting_later_does_not_lower_the_file(tmp_path: Path) -> None:
    path = tmp_path / "plant.db.numbers"
    high_water.HighWater(path).keep({C26: 700, R26: 12})
    high_water.HighWater(path).keep({C26: 701, R26: 12})
    assert high_water.read(path) == {C26: 801, R26: 112}


def test_there_is_no_file_for_a_database_without_one() -> None:
    assert high_water.beside(None) is None
    assert high_water.read(None) == {}
    high_water.HighWater(None).keep({C26: 1})


@pytest.mark.parametrize("content", ["", "{", "[1]", '{"C2026": "many"}', '{"": 1}'])
def test_a_spoilt_high_water_file_is_told_in_words(tmp_path: Path, content: str) -> None:
    path = tmp_path / "plant.db.numbers"
    path.write_text(content)
    with pytest.raises(Unreadable, match="highest numbers"):
        high_water.read(path)
