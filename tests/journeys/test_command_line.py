"""Does the command line do what CONTRACTS.md promises, with its exit codes, and explain itself?"""

import json
import re
import subprocess
import sys
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

import plants
import pytest
from goods_by_hand import LayDown, by_hand
from houses import House, a_house
from lotroot.accounts.handling import SetPin
from lotroot.cli import MODULES, main, parser
from lotroot.database import Database
from lotroot.house import open_house
from lotroot.identity import number_from
from lotroot.ledger.book import head
from lotroot.ledger.canonical import canonical, parse, sha256
from lotroot.ledger.tables import event
from lotroot.worker import drain
from sqlalchemy import text, update

NOWHERE = "postgresql://nobody@127.0.0.1:1/plant"


class Said(NamedTuple):
    """What a command line answered."""

    code: int
    out: str
    err: str


Lotroot = Callable[..., Said]


@pytest.fixture
def lotroot(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Iterator[Lotroot]:
    """The command line, called in a folder of its own with nothing at the keyboard."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("LOTROOT_DATABASE", raising=False)
    (tmp_path / "pin").write_text("2749\n")
    (tmp_path / "plant.toml").write_text(plants.SMALL)

    def run(*words: object) -> Said:
        capsys.readouterr()
        try:
            code = main([str(word) for word in words])
        except SystemExit as end:
            code = int(end.code or 0)
        return Said(code, *capsys.readouterr())

    return run


INIT = ("init", "--administrator", "Marva Joseph", "--pin-file", "pin")


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    made.post(SetPin(made.people["administrator"]), secret="2749")
    yield made
    made.database.close()


# ---------------------------------------------------------------- set-up and people


def test_a_new_plant_is_set_up_with_its_first_administrator(lotroot: Lotroot, tmp_path: Path) -> None:
    said = lotroot(*INIT)
    assert said.code == 0, said.err
    assert re.search(r"Marva Joseph administers it: number H\d\d-000001-\d\d, badge H\d{16}\.", said.out)
    assert lotroot("people").out.endswith("\tadministrator\tMarva Joseph\n")
    assert re.fullmatch(r"ok \d+ [0-9a-f]{64}\n", lotroot("verify").out)
    assert (tmp_path / "lotroot.db").stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    ("words", "word"),
    [
        (("init", "--plant", "absent.toml", *INIT[1:]), "absent.toml"),
        (("init", "--plant", "pin", *INIT[1:]), "TOML"),
        (("init", "--administrator", "Marva Joseph"), "PIN of Marva Joseph is missing"),
        (("init", "--pin-file", "pin"), "no name"),
        ((*INIT[:-1], "plant.toml"), "PIN cannot be used"),
    ],
)
def test_what_cannot_be_set_up_leaves_no_database(
    lotroot: Lotroot, words: tuple[str, ...], word: str, tmp_path: Path
) -> None:
    said = lotroot(*words)
    assert (said.code, said.out) == (2, "")
    assert word in said.err
    assert not list(tmp_path.glob("lotroot.db*"))


def test_a_plant_is_not_set_up_over_another_or_its_remains(lotroot: Lotroot, tmp_path: Path) -> None:
    assert lotroot(*INIT).code == 0
    again = lotroot(*INIT)
    assert (again.code, again.out) == (3, "")
    assert "not empty" in again.err
    (tmp_path / "lotroot.db").unlink()
    remains = lotroot(*INIT)
    assert remains.code == 3
    assert "Another database stood here" in remains.err


def test_people_are_added_by_an_administrator_who_proves_it(house: House, lotroot: Lotroot) -> None:
    add = ("people", "add", "Kern Ali", "--role", "operator", "--database", house.database.url)
    by = number_from(house.people["administrator"]).shown
    said = lotroot(*add, "--by", by, "--by-pin-file", "pin", "--pin-file", "pin")
    assert said.code == 0, said.err
    assert re.search(r"Number H26-000003-\d\d, badge H\d{16}\.", said.out)
    listed = lotroot("people", "list", "--database", house.database.url).out.splitlines()
    assert "\toperator\tKern Ali" in listed[-1]
    assert len(listed) == 3


@pytest.mark.parametrize(
    ("who", "pin", "word"),
    [
        ("administrator", "8316", "PIN does not fit"),
        ("operator", "2749", "No PIN is set"),
        ("H26-000009-42", "2749", "No PIN is set"),
        ("C26-000001-58", "2749", "damaged or mistyped"),
    ],
)
def test_nobody_else_adds_people(house: House, lotroot: Lotroot, who: str, pin: str, word: str) -> None:
    Path("their-pin").write_text(pin)
    by = house.people.get(who, who)
    add = ("people", "add", "Kern Ali", "--role", "operator", "--database", house.database.url)
    said = lotroot(*add, "--by", by, "--by-pin-file", "their-pin")
    assert (said.code, said.out) == (2, "")
    assert word in said.err


# ---------------------------------------------------------------- verify, export, backup, restore


def test_verify_says_ok_events_and_head(house: House, lotroot: Lotroot) -> None:
    last = house.ask(head)
    said = lotroot("verify", "--database", house.database.url)
    assert said == Said(0, f"ok {last.count} {last.hash}\n", "")


def test_verify_says_which_check_found_what_where(house: House, lotroot: Lotroot) -> None:
    with house.database.writing() as connection:
        connection.execute(text("UPDATE person SET active = 0"))
    said = lotroot("verify", "--database", house.database.url)
    assert (said.code, said.err) == (1, "")
    assert re.fullmatch(r"fault status person H\d+: found .*, expected .*\n", said.out)


def test_export_writes_each_hashed_text_with_its_hash_and_the_head(house: House, lotroot: Lotroot) -> None:
    said = lotroot("export", "--database", house.database.url)
    *lines, last = said.out.splitlines()
    assert json.loads(last) == {"head": house.ask(head).hash, "count": len(lines)}
    previous = "0" * 64
    for number, line in enumerate(lines, 1):
        fields = parse(line)
        stored = fields.pop("hash")
        assert fields["event"]["id"] == number
        assert fields["prev"] == previous
        assert sha256(canonical(fields)) == stored
        assert line == canonical(fields)[:-1] + f',"hash":"{stored}"}}'
        previous = stored
    assert previous == json.loads(last)["head"]


def test_export_of_a_broken_chain_still_shows_what_is_stored(house: House, lotroot: Lotroot) -> None:
    with house.database.writing() as connection:
        trigger = "event_no_update" if house.database.on_sqlite else "event_no_update ON event"
        connection.execute(text(f"DROP TRIGGER {trigger}"))
        connection.execute(update(event).where(event.c.id == 2).values(body='{"code":"forged"}'))
    said = lotroot("export", "--database", house.database.url)
    assert '"code":"forged"' in said.out.splitlines()[1]


def test_a_backup_is_restored_elsewhere(house: House, lotroot: Lotroot) -> None:
    kept = lotroot("backup", "monday.zip", "--database", house.database.url)
    assert kept == Said(0, f"monday.zip: {house.ask(head).count} events, head {house.ask(head).hash}\n", "")
    back = lotroot("restore", "monday.zip", "--newest", "C26-001204-97", "--database", "new.db")
    assert back.code == 0, back.err
    assert "reserved C26 1 to 1204\n" in back.out
    assert lotroot("verify", "--database", "new.db").out.startswith(f"ok {house.ask(head).count + 1} ")


@pytest.mark.parametrize(
    ("words", "code", "word"),
    [
        # 2: number, option or file unusable
        ((), 2, "required: COMMAND"),
        (("dance",), 2, "dance"),
        (("verify", "--bogus"), 2, "--bogus"),
        (("verify", "--data", "here.db"), 2, "--data"),  # no shortened options
        (("verify", "--database", "mysql://plant"), 2, "no address"),
        (("restore",), 2, "FILE"),
        (("restore", "absent.zip"), 2, "no such file"),
        (("restore", "pin"), 2, "no backup"),
        (("restore", "pin", "--newest", "C26-000001-59"), 2, "damaged or mistyped"),
        (("backup", "pin", "--database", "here.db"), 2, "of that name already"),
        (("backup", "no/such/folder.zip", "--database", "here.db"), 2, "cannot be written"),
        (("trace", "T2600000160", "--json", "--database", "here.db"), 2, "no goods"),
        (("trace", "C2600000158", "--json", "--database", "here.db"), 2, "C26-000001-58"),
        (("trace", "C2600000159", "--json", "--database", "here.db"), 2, "mistyped"),
        (("trace", "C2600000158", "--up", "--down", "--database", "here.db"), 2, "--down"),
        (("label", "T2600000160", "--database", "here.db"), 2, "No such label"),
        (("label", "T2600000160", "--output", "a.gif", "--database", "here.db"), 2, ".png"),
        (("serve", "--port", "70000", "--database", "here.db"), 2, "no port"),
        (("serve", "--host", "192.0.2.1", "--database", "here.db"), 2, "cannot be served on"),  # RFC 5737
        # 3: database absent, not empty, not ours
        (("verify",), 3, "no Lotroot database here"),
        (("export",), 3, "no Lotroot database here"),
        (("backup", "new.zip"), 3, "no Lotroot database here"),
        (("people",), 3, "no Lotroot database here"),
        (("serve",), 3, "no Lotroot database here"),
        (("trace", "C2600000158"), 3, "no Lotroot database here"),
        (("verify", "--database", "pin"), 3, "not a database"),
        (("verify", "--database", NOWHERE), 3, "cannot be reached"),
        ((*INIT, "--database", "here.db"), 3, "not empty"),
        (("restore", "good.zip", "--database", "here.db"), 3, "not empty"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_an_exit_code(
    lotroot: Lotroot, here: Path, words: tuple[str, ...], code: int, word: str
) -> None:
    said = lotroot(*words)
    assert (said.code, said.out) == (code, ""), said
    assert said.err.startswith("lotroot: ")
    assert said.err.count("\n") == 1
    assert word in said.err


@pytest.fixture
def here(lotroot: Lotroot, tmp_path: Path) -> Path:
    """A folder with a house in here.db and a good backup of it."""
    made = a_house(tmp_path, plants.SMALL)
    made.database.close()
    (tmp_path / "house.db").rename(tmp_path / "here.db")
    assert lotroot("backup", "good.zip", "--database", "here.db").code == 0
    return tmp_path


def test_the_environment_names_the_database_too(
    lotroot: Lotroot, here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LOTROOT_DATABASE", "here.db")
    assert lotroot("verify").out.startswith("ok ")


# ---------------------------------------------------------------- trace and label


def test_a_lineage_is_one_json_object_or_a_table(lotroot: Lotroot, tmp_path: Path) -> None:
    house = a_house(tmp_path, plants.SMALL)
    with by_hand():
        number = house.post(LayDown("rod_55", 1000, house.thing("place", "rack"), heat="4711")).numbers[0]
        drain(house.door)
    url = house.database.url
    house.database.close()
    said = lotroot("trace", number, "--json", "--database", url)
    assert said.out.count("\n") == 1
    found = json.loads(said.out)
    assert (found["lot"], found["direction"], found["amount"]) == (number, "up", 1000)
    assert lotroot("trace", number_from(number).shown, "--up", "--json", "--database", url).out == said.out
    down = json.loads(lotroot("trace", number, "--down", "--json", "--database", url).out)
    assert [place["amount"] for place in down["on_hand"]] == [1000]
    table = lotroot("trace", number, "--down", "--database", url).out
    assert number_from(number).shown in table
    picture = lotroot("label", number, "--database", url)
    assert picture.out == f"{number}.png: {number}\n", picture
    assert (tmp_path / f"{number}.png").read_bytes().startswith(b"\x89PNG")
    assert lotroot("label", number, "--database", url).code == 2, "nothing is written over"
    assert lotroot("label", number, "--output", "a.pdf", "--database", url).code == 0
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")


# ---------------------------------------------------------------- a running server, help


def test_the_server_serves_and_keeps_other_writers_out(here: Path, lotroot: Lotroot) -> None:
    words = ["serve", "--database", "here.db", "--port", "0"]
    with subprocess.Popen(
        [sys.executable, "-m", "lotroot.cli", *words], cwd=here, stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        said = server.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+", said)
        assert address is not None, said
        with urllib.request.urlopen(f"{address[0]}/signin", timeout=30) as page:
            assert page.status == 200
        assert lotroot("verify", "--database", "here.db").code == 0
        assert lotroot("backup", "beside.zip", "--database", "here.db").code == 0
        second = lotroot("serve", "--database", "here.db", "--port", "0")
        assert (second.code, second.out) == (3, "")
        assert "Another program is working on this database" in second.err
        server.terminate()
        assert server.wait(10) == 0
    with closing(open_house("here.db")) as database:
        assert isinstance(database, Database)


SCRATCH_ALONE = ("bench-labels", "bench-yields", "label-damage")
"""Commands that work on what they make themselves."""


@pytest.mark.parametrize("command", [None, *MODULES, ("people", "add")])
def test_each_command_explains_itself(lotroot: Lotroot, command: object) -> None:
    words = () if command is None else (command,) if isinstance(command, str) else command
    said = lotroot(*words, "--help")
    assert (said.code, said.err) == (0, "")
    assert "usage: lotroot" in said.out
    if words:
        assert ("--database URL" in said.out) == (command not in SCRATCH_ALONE)
    else:
        assert all(re.search(rf"\n    {name}\s", said.out) for name in MODULES)


@pytest.mark.parametrize(
    ("command", "database", "told"),
    [
        ("demo", "demo/lotroot-demo.db", "demo/lotroot-demo.db in this folder; LOTROOT_DATABASE does"),
        ("bench", "", "scratch files; LOTROOT_DATABASE does not count here"),
        ("verify", "here.db", "the environment's LOTROOT_DATABASE, else lotroot.db in this folder"),
    ],
)
def test_help_tells_the_database_that_is_taken_where_none_is_named(
    lotroot: Lotroot, monkeypatch: pytest.MonkeyPatch, command: str, database: str, told: str
) -> None:
    monkeypatch.setenv("LOTROOT_DATABASE", "here.db")
    assert Path(parser([command]).parse_args([command]).database) == Path(database)
    said = " ".join(lotroot(command, "--help").out.split())
    assert f"(default: {told}" in said
