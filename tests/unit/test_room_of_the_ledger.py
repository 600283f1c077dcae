"""Does the record keep nothing twice?"""

from collections.abc import Iterator

import plants
import pytest
from houses import House, a_house
from lotroot.database import Database
from lotroot.ledger.tables import event, posting
from sqlalchemy import func, inspect, select, text


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    yield made
    made.database.close()


def test_hashes_and_uuids_take_half_the_room_of_their_text(house: House) -> None:
    kept = {"hash": "event", "payload_sha": "posting", "plant": "posting", "uuid": "posting"}
    with house.reading() as connection:
        octets = {
            column: connection.scalar(text(f"SELECT max(length({column})) FROM {table}"))
            for column, table in kept.items()
        }
    assert octets == {"hash": 32, "payload_sha": 32, "plant": 32, "uuid": 16}


def test_what_is_kept_as_bytes_reads_as_the_text_it_was(house: House) -> None:
    rows = house.rows(posting)
    assert {len(row["uuid"]) for row in rows} == {36}
    assert rows[0]["plant"] == ""  # the first posting adopts the plant: it is judged by none
    assert {len(row["plant"]) for row in rows[1:]} == {64}
    assert all(int(row["hash"], 16) >= 0 for row in house.rows(event))


def test_an_index_stands_only_where_something_is_looked_up(house: House) -> None:
    """SQLite adds one for every key that is not the row's own number, and says so by its name."""
    with house.reading() as connection:
        names = {
            table.name: {tuple(one["column_names"]) for one in inspect(connection).get_indexes(table.name)}
            for table in (event, posting)
        }
        if house.database.on_sqlite:
            own = "SELECT name FROM sqlite_master WHERE name LIKE 'sqlite_autoindex_%' AND tbl_name IN "
            found = connection.scalars(text(f"{own} ('event', 'posting')")).all()
            assert found == ["sqlite_autoindex_posting_1"]  # a posting's key is unique
    assert names["event"] == {("posting",)}


def test_ten_days_of_the_demo_take_little(demo_database: Database) -> None:
    """Columns alone, without their labels; `lotroot bench` measures pages and indexes, goal 8b."""
    with demo_database.reading() as connection:
        taken = connection.scalar(
            select(func.sum(func.length(event.c.body) + func.length(event.c.kind))).where(event.c.posting > 1)
        )
        events = connection.scalar(select(func.count()).where(event.c.posting > 1))
        answers = connection.scalar(select(func.avg(func.length(posting.c.answer))))
    assert taken / events < 200
    assert answers < 120
