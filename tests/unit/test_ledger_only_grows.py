"""Does the database itself refuse every change of the ledger, on either engine?"""

from collections.abc import Iterator

import plants
import pytest
from houses import House, a_house
from lotroot.ledger.tables import APPEND_ONLY, event, file, posting
from lotroot.ledger.triggers import expected_triggers, standing_triggers
from lotroot.verify import verify
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    with made.database.writing() as connection:
        connection.execute(text("INSERT INTO file VALUES ('ab', 'text/plain', 'a.txt', 'a')"))
    yield made
    made.database.close()


def columns(table: str) -> str:
    known = {one.name: one for one in (posting, event, file)}[table]
    return ", ".join(f'"{column.name}"' for column in known.columns)


def inserting(table: str, changes: dict[str, str], verb: str = "INSERT") -> str:
    """A copy of the table's last row with some columns changed."""
    key = "sha" if table == "file" else "id"
    names = columns(table).split(", ")
    values = ", ".join(changes.get(name.strip('"'), name) for name in names)
    return (
        f"{verb} INTO {table} ({columns(table)}) SELECT {values} FROM {table} "
        f"WHERE {key} = (SELECT max({key}) FROM {table})"
    )


CHANGES = [
    *(
        f"UPDATE {table} SET {column} = {column}"
        for table, column in (("posting", "person"), ("event", "body"))
    ),
    "UPDATE file SET name = 'b.txt'",
    *(f"DELETE FROM {table}" for table in APPEND_ONLY),
    # rows in another place than the next
    inserting("posting", {"id": "id + 2", "uuid": "'u'", "key": "'k'"}),
    inserting("posting", {"id": "0", "uuid": "'u'", "key": "'k'"}),
    inserting("event", {"id": "id + 2"}),
    inserting("event", {"id": "0"}),
    # a known key, a known file
    inserting("posting", {"id": "id + 1", "uuid": "'u'"}),
    inserting("file", {"name": "'b.txt'"}),
]

ON_SQLITE = [
    inserting("posting", {"person": "'H2600000000'"}, "INSERT OR REPLACE"),
    inserting("posting", {"id": "id + 1", "uuid": "'u'"}, "INSERT OR REPLACE"),
    inserting("posting", {"id": "id + 1", "uuid": "'u'"}, "REPLACE"),
    inserting("event", {"body": "'{}'"}, "INSERT OR REPLACE"),
    inserting("event", {"body": "'{}'"}, "REPLACE"),
    inserting("file", {"name": "'b.txt'"}, "INSERT OR REPLACE"),
    "UPDATE OR REPLACE posting SET key = 'x' WHERE id = 1",
    inserting("event", {"body": "'{}'"}) + " ON CONFLICT (id) DO UPDATE SET body = '{}'",
]

ON_POSTGRESQL = [
    *(f"TRUNCATE {table}" for table in APPEND_ONLY),
    "TRUNCATE posting, event, file CASCADE",
    inserting("event", {"body": "'{}'"}) + " ON CONFLICT (id) DO UPDATE SET body = '{}'",
]


def refused(house: House, statement: str) -> None:
    with (
        pytest.raises(DBAPIError, match="the ledger only grows"),
        house.database.writing() as connection,
    ):
        connection.execute(text(statement))


def test_no_statement_changes_the_ledger(house: House) -> None:
    before = {table.name: house.rows(table) for table in (posting, event, file)}
    for statement in CHANGES + (ON_SQLITE if house.database.on_sqlite else ON_POSTGRESQL):
        refused(house, statement)
    assert {table.name: house.rows(table) for table in (posting, event, file)} == before


def test_the_next_row_is_accepted(house: House) -> None:
    """Else the refusals above would prove nothing."""
    following = [
        inserting("posting", {"id": "id + 1", "uuid": "'u'", "key": "'k'"}),
        inserting("event", {"id": "id + 1"}),
        inserting("file", {"sha": "'cd'"}),
    ]
    with house.database.writing() as connection:
        for statement in following:
            connection.execute(text(statement))


def test_the_triggers_that_stand_are_word_for_word_those_expected(house: House) -> None:
    with house.reading() as connection:
        standing, expected = standing_triggers(connection), expected_triggers(connection)
    assert standing == expected
    assert len(expected) == (9 if house.database.on_sqlite else 12)


def removals(house: House) -> list[tuple[str, str]]:
    """Ways to unlock a trigger, and its name."""
    if house.database.on_sqlite:
        return [
            (name, f"DROP TRIGGER {name}") for name in ("event_guard", "file_no_delete", "posting_no_update")
        ]
    return [
        ("event_no_update", "DROP TRIGGER event_no_update ON event"),
        ("event_guard", "ALTER TABLE event DISABLE TRIGGER event_guard"),
        ("file_no_truncate", "DROP TRIGGER file_no_truncate ON file"),
        (
            "event_no_delete",
            "CREATE OR REPLACE FUNCTION lotroot_refuse() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RETURN OLD; END $$",
        ),
    ]


def test_a_trigger_that_was_removed_or_weakened_is_found(house: House) -> None:
    for name, statement in removals(house):
        with pytest.raises(ZeroDivisionError), house.database.writing() as connection:
            connection.execute(text(statement))
            found, expected = standing_triggers(connection), expected_triggers(connection)
            assert found.get(name) != expected[name]
            raise ZeroDivisionError  # so that nothing of it is kept


def test_verify_names_a_missing_trigger_first(house: House) -> None:
    name, statement = removals(house)[0]
    with house.database.writing() as connection:
        connection.execute(text(statement))
    assert str(verify(house.database)) == f"fault triggers {name}: found nothing, expected a trigger"
