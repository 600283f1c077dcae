"""Is a database set up whole, opened only when it fits, and by one program at a time?"""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import plants
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from engines import sqlite_url
from houses import a_house
from lotroot import house as program
from lotroot.database import Database, metadata
from lotroot.errors import Unavailable
from lotroot.house.schema import SCHEMA, configuration, revision
from lotroot.ledger.tables import event
from lotroot.ledger.triggers import expected_triggers, standing_triggers
from lotroot.posting.status import is_current, status_version, tables
from sqlalchemy import inspect, text, update


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    made = Database(database_url)
    program.create(made)
    yield made
    made.close()


def change(database: Database, statement: str) -> None:
    with database.writing() as connection:
        connection.execute(text(statement))


def test_a_new_database_has_the_newest_schema_and_all_triggers(database: Database) -> None:
    with database.reading() as connection:
        assert revision(connection) == SCHEMA
        assert standing_triggers(connection) == expected_triggers(connection)
    assert is_current(database)


def test_the_revisions_lead_to_the_tables_the_program_declares(database: Database) -> None:
    """The status tables are made by the program itself; of all others, the revisions must know."""
    with database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_every_table_declared_is_made(database: Database) -> None:
    with database.reading() as connection:
        there = set(inspect(connection).get_table_names())
    assert there == {"alembic_version"} | {table.name for table in metadata.sorted_tables}


def test_the_newest_revision_is_the_one_the_program_expects() -> None:
    assert ScriptDirectory.from_config(configuration()).get_heads() == [SCHEMA]


def test_every_table_belongs_to_a_layer() -> None:
    layers = {table.name: table.info.get("layer") for table in metadata.sorted_tables}
    assert set(layers.values()) == {"ledger", "operational", "status"}
    assert [table.name for table in tables("ledger")].sort() == ["event", "file", "posting"].sort()


def test_a_database_that_is_not_empty_is_not_set_up_again(database: Database) -> None:
    with pytest.raises(Unavailable, match="not empty"):
        program.create(database)


def test_a_new_sqlite_file_is_for_its_owner_only(tmp_path: Path) -> None:
    database = Database(sqlite_url(tmp_path))
    program.create(database)
    with database.reading():
        modes = {path.name: path.stat().st_mode & 0o777 for path in tmp_path.iterdir()}
    database.close()
    assert {name: mode for name, mode in modes.items() if name.startswith("plant.db")} == dict.fromkeys(
        modes, 0o600
    )


def test_an_absent_sqlite_file_is_neither_opened_nor_made(tmp_path: Path) -> None:
    for opening in (program.open_house, program.look_into):
        with pytest.raises(Unavailable, match="no Lotroot database here"):
            opening(sqlite_url(tmp_path))
    assert list(tmp_path.iterdir()) == []


def test_an_empty_database_is_none_of_ours(database_url: str) -> None:
    empty = Database(database_url)
    with empty.writing():
        pass
    empty.close()
    for opening in (program.open_house, program.look_into):
        with pytest.raises(Unavailable, match="no Lotroot database here"):
            opening(database_url)


def test_a_database_of_another_schema_is_refused(database: Database) -> None:
    change(database, "UPDATE alembic_version SET version_num = '0999'")
    for opening in (program.open_house, program.look_into):
        with pytest.raises(Unavailable, match=f"Revision {SCHEMA}, found 0999"):
            opening(database.url)


def test_a_database_without_its_triggers_is_not_served(database: Database) -> None:
    target = "" if database.on_sqlite else " ON event"
    change(database, f"DROP TRIGGER event_no_delete{target}")
    with pytest.raises(Unavailable, match="event_no_delete"):
        program.open_house(database.url)


def test_status_of_another_version_is_made_anew_before_serving(database_url: str) -> None:
    house = a_house(database_url, plants.SMALL)
    status = house.status()
    with house.database.writing() as connection:
        connection.execute(update(status_version).values(version=0))
        connection.execute(text("DELETE FROM person"))
    with pytest.raises(Unavailable, match="another release"):
        program.look_into(database_url)
    program.look_into(database_url, status=False).close()
    program.open_house(database_url).close()
    assert house.status() == status
    program.look_into(database_url).close()
    house.database.close()


def test_a_second_program_may_not_write_but_may_read(database: Database) -> None:
    held = program.open_house(database.url)
    with pytest.raises(Unavailable, match="Another program is working"):
        program.open_house(database.url)
    program.look_into(database.url).close()
    held.close()
    program.open_house(database.url).close()


def test_a_refused_opening_lets_the_lock_go(database: Database) -> None:
    change(database, "UPDATE alembic_version SET version_num = '0999'")
    with pytest.raises(Unavailable):
        program.open_house(database.url)
    change(database, f"UPDATE alembic_version SET version_num = '{SCHEMA}'")
    program.open_house(database.url).close()


HOLDING = """
import sys
from lotroot.house import open_house
held = open_house(sys.argv[1])
print("held", flush=True)
sys.stdin.read()
"""


def test_the_lock_ends_with_the_program_that_holds_it_however_it_ends(database: Database) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLDING, database.url],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    with holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        with pytest.raises(Unavailable, match="Another program is working"):
            program.open_house(database.url)
        holder.kill()
    if not database.on_sqlite:
        wait_for_release(database)
    program.open_house(database.url).close()


def wait_for_release(database: Database) -> None:
    """PostgreSQL notices a moment later that the other end is gone."""
    query = text("SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND granted")
    for _ in range(100):
        with database.reading() as connection:
            if connection.scalar(query) == 0:
                return
            connection.execute(text("SELECT pg_sleep(0.05)"))


def test_only_kept_files_hold_bytes() -> None:
    """A backup writes rows as JSON, Octets by their digits, this one column as members of their own."""
    kinds = {column.type.__class__.__name__ for table in metadata.sorted_tables for column in table.columns}
    assert kinds - {"Octets", "RunNumber"} <= {"BigInteger", "Integer", "Text", "LargeBinary"}
    binary = [
        f"{table.name}.{column.name}"
        for table in metadata.sorted_tables
        for column in table.columns
        if column.type.__class__.__name__ == "LargeBinary"
    ]
    assert binary == ["file.bytes"]
    assert event.info["layer"] == "ledger"
