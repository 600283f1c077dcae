"""Is every change of history found, and where it was made?

The tamperer of these tests owns the file: triggers are dropped first, as they would.
"""

from collections.abc import Iterator
from contextlib import suppress

import plants
import pytest
from houses import House, a_house
from lotroot.ledger.book import chain, head, keep_file
from lotroot.ledger.canonical import canonical, parse, sha256
from lotroot.ledger.proof import Finding, chain_finding
from lotroot.ledger.triggers import create_triggers, standing_triggers
from lotroot.verify import verify
from sqlalchemy import Connection, text


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    with made.database.writing() as connection:
        keep_file(connection, "certificate.pdf", "application/pdf", CONTENT)
    yield made
    made.database.close()


class Undone(Exception):
    """Ends a tampering so that nothing of it is kept."""


def unlock(connection: Connection) -> None:
    for name in standing_triggers(connection):
        on_table = "" if connection.dialect.name == "sqlite" else f" ON {name.partition('_')[0]}"
        connection.execute(text(f"DROP TRIGGER {name}{on_table}"))


def finding_after(house: House, *statements: str) -> Finding | None:
    """What the chain says after history was changed; the change is then undone."""
    found = None
    with suppress(Undone), house.database.writing() as connection:
        unlock(connection)
        for statement in statements:
            connection.execute(text(statement))
        found = chain_finding(connection)
        raise Undone
    return found


def test_an_untouched_ledger_is_whole_up_to_its_head(house: House) -> None:
    assert house.ask(chain_finding) is None
    last = house.ask(head)
    assert str(verify(house.database)) == f"ok {last.count} {last.hash}"


def test_each_hashed_text_is_canonical_and_says_all(house: House) -> None:
    with house.reading() as connection:
        links = list(chain(connection))
    for link in links:
        assert canonical(parse(link.text)) == link.text
        assert sha256(link.text) == link.stored
    said = parse(links[0].text)
    assert said["prev"] == "0" * 64
    assert said["event"]["kind"] == "PlantAdopted"
    assert said["posting"]["command"] == "AdoptPlant"
    assert '"answer":' in links[0].text
    assert [parse(link.text)["prev"] for link in links[1:]] == [link.stored for link in links[:-1]]


CONTENT = b"%PDF- certificate"
TAMPERINGS = [
    # a field of an event, its kind, its version
    ("UPDATE event SET body = replace(body, 'operator', 'manager') WHERE id = 9", "event 9"),
    ("UPDATE event SET body = body || ' ' WHERE id = 9", "event 9"),
    ("UPDATE event SET kind = 'PersonLeft' WHERE id = 4", "event 4"),
    ("UPDATE event SET version = 2 WHERE id = 4", "event 4"),
    # a field of a posting: the first of its events tells
    ("UPDATE posting SET person = 'H2600000200' WHERE id = 3", "event 9"),
    ("UPDATE posting SET happened = happened - 1 WHERE id = 3", "event 9"),
    ("UPDATE posting SET answer = '' WHERE id = 3", "event 9"),
    ("UPDATE posting SET voids = 1 WHERE id = 3", "event 9"),
    ("UPDATE posting SET uuid = 'x' WHERE id = 3", "event 9"),
    ("UPDATE posting SET plant = (SELECT uuid FROM posting WHERE id = 3) WHERE id = 3", "event 9"),
    ("UPDATE posting SET reason = 'a' || chr(7) WHERE id = 3", "event 9"),
    # hashes
    ("UPDATE event SET hash = (SELECT hash FROM event WHERE id = 3) WHERE id = 4", "event 4"),
    ("UPDATE event SET hash = (SELECT hash FROM event WHERE id = 3) WHERE id = 14", "event 14"),
    ("UPDATE event SET hash = 'x' WHERE id = 4", "event 4"),
    ("UPDATE event SET hash = 'x' WHERE id = 14", "event 14"),
    # loss
    ("DELETE FROM event WHERE id = 1", "event 1"),
    ("DELETE FROM event WHERE id = 5", "event 5"),
    ("DELETE FROM posting WHERE id = 3", "event 9"),
    ("DELETE FROM posting WHERE id = 7", "event 14"),
    ("DELETE FROM event WHERE id = 14", "posting 7"),
    # another order, another posting
    ("UPDATE event SET id = 99 WHERE id = 5; UPDATE event SET id = 5 WHERE id = 6", "event 5"),
    ("UPDATE event SET posting = 4 WHERE id = 9", "event 9"),
    # a kept file
    ("UPDATE file SET bytes = 'x'", f"file {sha256(CONTENT)}"),
    ("UPDATE file SET sha = 'beef'", "file beef"),
]


def test_every_tampering_is_found_where_it_was_made(house: House) -> None:
    for change, where in TAMPERINGS:
        sqlite = house.database.on_sqlite
        statements = change.replace("chr(7)", "char(7)" if sqlite else "chr(7)").split("; ")
        found = finding_after(house, *statements)
        assert found is not None, change
        assert found.where == where, change
        assert found.found != found.expected
    assert house.ask(chain_finding) is None


def test_a_change_whose_own_hash_was_made_to_fit_shows_at_the_next_event(house: House) -> None:
    with house.reading() as connection:
        link = list(chain(connection))[10]
        after = list(chain(connection))[11]
    forged = sha256(link.text.replace('"DK"', '"SE"'))
    octets = f"X'{forged}'" if house.database.on_sqlite else f"'\\x{forged}'"
    found = finding_after(
        house,
        "UPDATE event SET body = replace(body, '\"DK\"', '\"SE\"') WHERE id = 11",
        f"UPDATE event SET hash = {octets} WHERE id = 11",
    )
    follows = sha256(after.text.replace(link.stored, forged))
    assert found == Finding("event 12", follows, after.stored)


def test_a_ledger_cut_off_at_its_end_shows_only_against_a_head_kept_elsewhere(house: House) -> None:
    kept = house.ask(head)
    assert finding_after(house, "DELETE FROM event WHERE id = 14", "DELETE FROM posting WHERE id = 7") is None
    assert kept.count == 14


def test_verify_says_where_the_chain_is_broken(house: House) -> None:
    with house.reading() as connection:
        stored = list(chain(connection))[8].stored
    with house.database.writing() as connection:
        unlock(connection)
        connection.execute(text("UPDATE event SET body = replace(body, 'oper', 'Oper') WHERE id = 9"))
        create_triggers(connection)
    said = str(verify(house.database))
    assert said.startswith("fault chain event 9: found ")
    assert said.endswith(f", expected {stored}")
