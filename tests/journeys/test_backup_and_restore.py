"""Does a plant's record come back whole on another machine, whichever engine it has?"""

import zipfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from threading import Event, Thread
from typing import Any

import plants
import pytest
from backups import bring_back, in_manifest, reopened, spoilt
from engines import sqlite_url
from houses import Clock, House, a_house
from lotroot.accounts.badges import badge_of, check_pin, person_with
from lotroot.accounts.handling import AddParty, SetPin
from lotroot.archive import backup
from lotroot.database import Database
from lotroot.errors import Fault, LotrootError, Unavailable, Unreadable
from lotroot.house import create, open_house
from lotroot.labelling.handling import PrintAgain
from lotroot.ledger.book import head, keep_file, kept_file
from lotroot.ledger.canonical import sha256
from lotroot.ledger.names import name_of
from lotroot.posting.status import tables
from lotroot.verify import verify
from lotroot.verify.rebuilt import dump
from sqlalchemy import inspect

PDF = b"%PDF-1.4 a certificate \x00\xff"


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    made.post(SetPin(made.people["operator"]), secret="2749")
    made.post(PrintAgain(made.thing("place", "rack"), "torn"))
    with made.database.writing() as connection:
        keep_file(connection, "certificate.pdf", "application/pdf", PDF)
    yield made
    made.database.close()


@pytest.fixture
def elsewhere(house: House, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[str]:
    """An empty database of the other engine."""
    if house.database.on_sqlite:
        with request.getfixturevalue("postgres").database() as url:
            yield url
    else:
        yield sqlite_url(tmp_path)


@pytest.fixture
def monday(house: House, tmp_path: Path) -> Path:
    """A backup of the house."""
    path = tmp_path / "monday.zip"
    backup(house.database, path, house.clock)
    return path


def operational(house: House) -> dict[str, list[dict[str, Any]]]:
    """What is never rebuilt and comes back unchanged: series skip ahead, print jobs are in doubt."""
    kept = [table for table in tables("operational") if table.name not in ("series", "print_job")]
    return {table.name: house.rows(table) for table in kept}


def status(house: House) -> list[Any]:
    """The canonical dump, but for what the restore itself records."""
    with house.reading() as connection:
        return [line for line in dump(connection) if line[0] != "reserved"]


def test_everything_comes_back_also_on_the_other_engine(house: House, elsewhere: str, monday: Path) -> None:
    bring_back(elsewhere, monday, house.clock)
    back = reopened(elsewhere, house)
    assert back.ask(head).count == house.ask(head).count + 1
    assert status(back) == status(house)
    assert operational(back) == operational(house)
    assert back.ask(kept_file, sha256(PDF)).bytes == PDF
    assert verify(back.database).finding is None
    back.database.close()


def test_people_sign_in_as_before(house: House, elsewhere: str, monday: Path) -> None:
    bring_back(elsewhere, monday, house.clock)
    back = reopened(elsewhere, house)
    operator = house.people["operator"]
    assert back.ask(name_of, operator) == "The operator"
    assert back.ask(person_with, house.ask(badge_of, operator)) == operator
    check_pin(back.database, operator, "2749")
    back.database.close()


def test_the_restored_house_goes_on_working_and_can_be_backed_up_again(
    house: House, elsewhere: str, monday: Path, tmp_path: Path
) -> None:
    bring_back(elsewhere, monday, house.clock)
    back = reopened(elsewhere, house)
    back.post(AddParty("oakhill", "Oakhill Timber", "supplier", "GY"))
    back.database.close()
    (tmp_path / "third").mkdir()
    with closing(open_house(elsewhere)) as database:
        backup(database, tmp_path / "tuesday.zip", house.clock)
    bring_back(sqlite_url(tmp_path / "third"), tmp_path / "tuesday.zip", house.clock)
    third = reopened(sqlite_url(tmp_path / "third"), house)
    assert verify(third.database).finding is None
    assert third.ask(name_of, "oakhill") == "Oakhill Timber"
    third.database.close()


def test_labels_that_waited_may_have_been_printed_since(house: House, elsewhere: str, monday: Path) -> None:
    table = next(one for one in tables("operational") if one.name == "print_job")
    assert {row["state"] for row in house.rows(table)} == {"queued"}
    bring_back(elsewhere, monday, house.clock)
    back = reopened(elsewhere, house)
    assert {row["state"] for row in back.rows(table)} == {"unknown"}
    back.database.close()


def test_a_backup_is_for_its_owner_only_and_never_written_over(house: House, monday: Path) -> None:
    assert monday.stat().st_mode & 0o777 == 0o600
    content = monday.read_bytes()
    with pytest.raises(Unreadable, match="of that name already"):
        backup(house.database, monday, house.clock)
    assert monday.read_bytes() == content


def test_a_backup_that_cannot_be_written_leaves_nothing_behind(house: House, tmp_path: Path) -> None:
    with pytest.raises(Unreadable, match="cannot be written"):
        backup(house.database, tmp_path / "no such folder" / "a.zip", house.clock)
    assert not (tmp_path / "no such folder").exists()


def test_a_backup_taken_while_others_write_is_of_one_moment(house: House, tmp_path: Path) -> None:
    enough = Event()

    def write() -> None:
        number = 0
        while not enough.is_set():
            house.post(AddParty(f"firm-{number}", "A firm", "customer"))
            number += 1

    writer = Thread(target=write)
    writer.start()
    try:
        made = [backup(house.database, tmp_path / f"{turn}.zip", house.clock) for turn in range(4)]
    finally:
        enough.set()
        writer.join()
    assert sorted(one.count for one in made) == [one.count for one in made]
    for turn, manifest in enumerate(made):
        (tmp_path / f"to-{turn}").mkdir()
        url = sqlite_url(tmp_path / f"to-{turn}")
        assert bring_back(url, tmp_path / f"{turn}.zip", house.clock).manifest.head == manifest.head


def cut(name: str) -> Any:
    def spoil(members: dict[str, bytes]) -> None:
        members[name] = b"".join(members[name].splitlines(keepends=True)[:-1])

    return spoil


def edited(members: dict[str, bytes]) -> None:
    members["ledger/event.ndjson"] = members["ledger/event.ndjson"].replace(b"nordhavn", b"nordhaven")


def exchanged(members: dict[str, bytes]) -> None:
    members[f"files/{sha256(PDF)}"] = b"%PDF-1.4 another certificate"


def bare(members: dict[str, bytes]) -> None:
    del members["manifest.json"]


SPOILT = [
    pytest.param(edited, False, Unreadable, "event.ndjson was changed", id="an event edited"),
    pytest.param(edited, True, Fault, "contradicts itself at event", id="an event edited, digests fitted"),
    pytest.param(exchanged, False, Unreadable, "was changed", id="a file exchanged"),
    pytest.param(exchanged, True, Fault, "contradicts itself at file", id="a file exchanged, digests fitted"),
    pytest.param(cut("ledger/event.ndjson"), False, Unreadable, "was changed", id="an event lost"),
    pytest.param(cut("ledger/event.ndjson"), True, Fault, "at posting", id="an event lost, digests fitted"),
    pytest.param(in_manifest(head="0" * 64), True, Fault, "does not end where", id="another head"),
    pytest.param(in_manifest(format=99), True, Unreadable, "newer release", id="a later format"),
    pytest.param(in_manifest(revision="9999"), True, Unreadable, "newer release", id="a later schema"),
    pytest.param(in_manifest(taken=2**52), True, Unreadable, "clock", id="taken tomorrow"),
    pytest.param(
        lambda members: members.pop("manifest.json"), False, Unreadable, "manifest", id="no manifest"
    ),
    pytest.param(in_manifest(colour="red"), False, Unreadable, "colour", id="a strange manifest"),
]


@pytest.mark.parametrize(("spoil", "digests", "error", "word"), SPOILT)
def test_a_spoilt_backup_is_refused_and_nothing_is_restored(
    spoil: Any, digests: bool, error: type[LotrootError], word: str, tmp_path: Path
) -> None:
    """On SQLite alone: what is refused is the file."""
    house = a_house(tmp_path, plants.SMALL)
    with house.database.writing() as connection:
        keep_file(connection, "certificate.pdf", "application/pdf", PDF)
    backup(house.database, tmp_path / "monday.zip", house.clock)
    house.database.close()
    with pytest.raises(error, match=word):
        bring_back(sqlite_url(tmp_path), spoilt(tmp_path / "monday.zip", spoil, digests=digests), house.clock)
    left = Database(sqlite_url(tmp_path))
    with left.reading() as connection:
        assert inspect(connection).get_table_names() == []
    left.close()


def test_a_member_said_to_begin_beyond_the_end_of_the_file_is_found(tmp_path: Path) -> None:
    """Its own header says how much stands before its content."""
    house = a_house(tmp_path, plants.SMALL)
    backup(house.database, tmp_path / "monday.zip", house.clock)
    house.database.close()
    spoilt_file = bytearray((tmp_path / "monday.zip").read_bytes())
    spoilt_file[29] = 255  # 64 KiB on
    (tmp_path / "spoilt.zip").write_bytes(spoilt_file)
    (tmp_path / "to").mkdir()
    with pytest.raises(Unreadable, match="no backup that can be restored"):
        bring_back(sqlite_url(tmp_path / "to"), tmp_path / "spoilt.zip", house.clock)


def test_every_flipped_bit_is_found_or_without_effect(tmp_path: Path) -> None:
    """A few hundred places over the whole file; the release soak takes more."""
    house = a_house(tmp_path, plants.SMALL)
    backup(house.database, tmp_path / "monday.zip", house.clock)
    whole, kept = (tmp_path / "monday.zip").read_bytes(), house.ask(head)
    house.database.close()
    spoilt_file, unseen = tmp_path / "flipped.zip", 0
    for turn, place in enumerate(range(7, len(whole), max(1, len(whole) // 60))):
        flipped = bytearray(whole)
        flipped[place] ^= 1 << turn % 8
        spoilt_file.write_bytes(flipped)
        (tmp_path / f"to-{turn}").mkdir()
        try:
            done = bring_back(sqlite_url(tmp_path / f"to-{turn}"), spoilt_file, house.clock)
        except (Unreadable, Fault):
            continue
        unseen += 1
        assert (done.manifest.count, done.manifest.head) == (kept.count, kept.hash)
    assert unseen < 20, "only dates and such in the zip's own lists may change unseen"


def test_what_is_no_backup_is_told_in_words(tmp_path: Path) -> None:
    (tmp_path / "notes.zip").write_text("Dear diary")
    with zipfile.ZipFile(tmp_path / "holiday.zip", "w") as archive:
        archive.writestr("beach.txt", "sand")
    for name, word in (("absent.zip", "no such file"), ("notes.zip", "zip"), ("holiday.zip", "manifest")):
        with pytest.raises(Unreadable, match=word):
            bring_back(sqlite_url(tmp_path), tmp_path / name, Clock())
    assert not (tmp_path / "plant.db").exists()


def test_nothing_is_restored_over_a_record(house: House, elsewhere: str, monday: Path) -> None:
    occupied = Database(elsewhere)
    create(occupied)
    with pytest.raises(Unavailable, match="not empty"):
        bring_back(elsewhere, monday, house.clock)
    occupied.close()


def test_nothing_is_restored_into_a_database_in_use(house: House, monday: Path) -> None:
    held = open_house(house.database.url)
    with pytest.raises(Unavailable, match="Another program"):
        bring_back(house.database.url, monday, house.clock)
    held.close()
