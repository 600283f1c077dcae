"""Is a number given before a disk was lost ever given again from yesterday's backup?"""

from collections.abc import Iterator
from pathlib import Path

import plants
import pytest
from backups import bring_back, reopened
from engines import sqlite_url
from houses import House, a_house
from lotroot.accounts.handling import AddPerson
from lotroot.archive import backup
from lotroot.identity import number_from
from lotroot.ledger import high_water, numbering
from lotroot.ledger.book import events
from lotroot.reserved import LedgerRestored, is_reserved, reserved_ranges

LETTERS = "CRPUDX"


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    yield made
    made.database.close()


@pytest.fixture
def elsewhere(tmp_path: Path) -> str:
    (tmp_path / "elsewhere").mkdir()
    return sqlite_url(tmp_path / "elsewhere")


def a_day(house: House, people: int = 3, lots: int = 30) -> set[str]:
    """All the numbers a day gives: of people by the door, of other families as handlers take them."""
    numbers = {
        house.post(AddPerson(f"Person {number}", ("operator",))).numbers[0] for number in range(people)
    }
    with house.database.writing() as connection:
        for letter in LETTERS:
            first = numbering.take(connection, letter, 2026, lots)
            numbers |= {f"{letter}26{running:06d}" for running in range(first, first + lots)}
    house.clock.forward(days=1)
    return {number[:9] for number in numbers}


def test_yesterdays_backup_never_gives_a_number_twice(house: House, elsewhere: str, tmp_path: Path) -> None:
    before = a_day(house)
    backup(house.database, tmp_path / "yesterday.zip", house.clock)
    lost = a_day(house) | a_day(house)
    bring_back(elsewhere, tmp_path / "yesterday.zip", house.clock)
    back = reopened(elsewhere, house)
    after = a_day(back) | a_day(back)
    assert len(after) == 2 * (3 + 30 * len(LETTERS))
    assert after & (before | lost) == set()
    back.database.close()


def test_also_when_the_backup_of_the_backup_is_restored(house: House, tmp_path: Path) -> None:
    """Restored on Tuesday, lost again on Wednesday: the first gap stays skipped."""
    everything = a_day(house)
    for turn in range(3):
        backup(house.database, tmp_path / f"{turn}.zip", house.clock)
        everything |= a_day(house)
        (tmp_path / f"to-{turn}").mkdir()
        bring_back(sqlite_url(tmp_path / f"to-{turn}"), tmp_path / f"{turn}.zip", house.clock)
        house.database.close()
        house = reopened(sqlite_url(tmp_path / f"to-{turn}"), house)
        after = a_day(house)
        assert after & everything == set()
        everything |= after
    assert len(house.ask(reserved_ranges)) == 3 * 14
    house.database.close()


def test_a_day_busier_than_any_before_is_caught_by_the_high_water_file(tmp_path: Path) -> None:
    house = a_house(tmp_path, plants.SMALL)
    backup(house.database, tmp_path / "yesterday.zip", house.clock)
    lost = a_day(house, people=1, lots=5000)
    house.post(AddPerson("The last one", ("operator",)))
    left = high_water.beside(house.database.path)
    assert left is not None
    new = tmp_path / "plant.db.numbers"
    left.rename(new)
    bring_back(sqlite_url(tmp_path), tmp_path / "yesterday.zip", house.clock)
    back = reopened(sqlite_url(tmp_path), house)
    assert a_day(back) & lost == set()
    for database in (house.database, back.database):
        database.close()


def test_or_by_the_newest_label_somebody_scanned(tmp_path: Path) -> None:
    house = a_house(tmp_path, plants.SMALL)
    backup(house.database, tmp_path / "yesterday.zip", house.clock)
    lost = {number for number in a_day(house, people=1, lots=5000) if number[0] == "C"}
    house.database.close()
    newest = number_from("C2600500058")
    bring_back(sqlite_url(tmp_path), tmp_path / "yesterday.zip", house.clock, newest)
    back = reopened(sqlite_url(tmp_path), house)
    assert a_day(back, people=1, lots=5) & lost == set()
    back.database.close()


def test_what_may_stand_on_labels_is_reserved_and_the_restore_recorded(
    house: House, elsewhere: str, tmp_path: Path
) -> None:
    manifest = backup(house.database, tmp_path / "yesterday.zip", house.clock)
    bring_back(elsewhere, tmp_path / "yesterday.zip", house.clock)
    back = reopened(elsewhere, house)
    with back.reading() as connection:
        gap = {(row.letter, row.year): (row.first, row.last) for row in reserved_ranges(connection)}
    assert gap["C", 2026] == (1, 1000)
    assert gap["H", 2026] == (3, 1002)
    known, lost = house.people["operator"], back.post(AddPerson("New", ("operator",))).numbers[0]
    assert not back.ask(is_reserved, number_from(known))
    assert not back.ask(is_reserved, number_from(lost))
    assert lost.startswith("H26001003")
    assert back.ask(is_reserved, number_from("H2600000360"))
    with back.reading() as connection:
        said = [one.event for one in events(connection) if isinstance(one.event, LedgerRestored)]
    assert [(one.count, one.head, one.taken) for one in said] == [
        (manifest.count, manifest.head, manifest.taken)
    ]
    back.database.close()
