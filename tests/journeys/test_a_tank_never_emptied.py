"""Is what comes of a tank that is never emptied told soon and to the last gram, and every hold found?"""

import csv
import io
import json
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import long_chain
import pytest
from houses import House
from lineage_shape import check_lineage
from long_chain import AMOUNT, HOUR, PACK
from lotroot import house as program
from lotroot.cli import main
from lotroot.database import Database
from lotroot.holds.facts import hold, hold_root
from lotroot.holds.reach import held_by
from lotroot.tracing import as_json, trace
from lotroot.tracing.picture import picture
from lotroot.tracing.window import DAYS, MOST
from offices import an_office_house, office
from query_plans import plans, read_whole
from sqlalchemy import Connection, insert

FEW, MANY = 4_000, 8_000
"""Hours of a tank that is told whole, and of one that is not."""
BACK = DAYS * 24 + 1
"""Solutions that an answer over many goes back to; the last of them is reached and not followed."""


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    made = Database(database_url)
    program.create(made)
    yield made
    made.close()


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """An office with a pack behind eight thousand solutions, of which the first drum is on hold."""
    made = an_office_house(tmp_path_factory.mktemp("tank"))
    with made.database.writing() as connection:
        long_chain.lay_down(connection, MANY)
        hold_first_drum(connection)
    yield made
    made.database.close()


def hold_first_drum(connection: Connection) -> None:
    row = {"id": 1, "kind": "hold", "reason": "too weak", "at": 0}
    connection.execute(insert(hold), [{**row, **_blank(hold, row)}])
    root = {"hold": 1, "lot": long_chain.drum(0), "event": 1, "live": 1}
    connection.execute(insert(hold_root), [{**root, **_blank(hold_root, root)}])


def _blank(table: Any, known: dict[str, Any]) -> dict[str, Any]:
    """Nothing in every other column of a table."""
    others = [column for column in table.columns if column.name not in known and not column.nullable]
    return {column.name: "" if column.type.python_type is str else 0 for column in others}


def ends(found: dict[str, Any]) -> int:
    """What the contract says adds up to the asked amount."""
    return sum(one["part"]["solution"] for one in found["lots"] if one["source"] or one["gap"])


def upward(database: Database) -> dict[str, Any]:
    with database.reading() as connection:
        found = as_json(trace(connection, PACK, "up"))
    check_lineage(found)
    return found


def test_a_tank_of_half_a_year_is_told_whole(database: Database) -> None:
    with database.writing() as connection:
        long_chain.lay_down(connection, FEW)
    found = upward(database)
    assert "older" not in found
    assert len(found["lots"]) == 1 + FEW + FEW // long_chain.PER_DRUM <= MOST
    assert ends(found) == AMOUNT


def test_a_longer_one_looks_back_and_counts_what_is_older_as_one(database: Database) -> None:
    with database.writing() as connection:
        long_chain.lay_down(connection, MANY)
    found = upward(database)
    assert ends(found) == AMOUNT
    last = long_chain.solution(MANY - BACK)
    assert found["older"]["lots"] == [last]
    older = Fraction(AMOUNT - long_chain.ADDED, AMOUNT) ** (BACK - 1) * AMOUNT
    assert abs(found["older"]["part"]["solution"] - older) <= 1
    [told] = [one for one in found["lots"] if one["lot"] == last]
    assert (told["gap"], told["part"]) == (True, found["older"]["part"])
    assert len(found["lots"]) < MOST


@pytest.mark.in_ci
def test_lots_born_fast_are_looked_back_at_for_a_shorter_time(database: Database) -> None:
    """However many a day holds, an answer has no more than so many lots."""
    with database.writing() as connection:
        long_chain.lay_down(connection, MANY, every=HOUR // 60)
    found = upward(database)
    assert MOST // 3 < len(found["lots"]) <= MOST
    assert ends(found) == AMOUNT


def test_no_table_of_goods_is_read_whole_to_look_back(database: Database) -> None:
    with database.writing() as connection:
        long_chain.lay_down(connection, MOST)
    with database.reading() as connection:
        assert read_whole(plans(connection, lambda: trace(connection, PACK, "up"))) == []


def test_a_hold_is_found_however_old_what_it_names_is(house: House) -> None:
    found = house.ask(trace, PACK, "up")
    assert [one.reason for one in house.ask(held_by, PACK)] == ["too weak"]
    assert found.older is not None
    assert found.older.held
    assert long_chain.drum(0) not in {one.lot.number for one in found.lots}
    below = house.ask(trace, long_chain.drum(0), "down")
    assert PACK in {one.lot.number for one in below.lots}, "a recall is never cut"


def test_page_picture_files_and_command_say_what_was_not_followed(
    house: House, capsys: pytest.CaptureFixture[str]
) -> None:
    desk = office(house, "qa").client
    page = desk.get(f"/lots/{PACK}").text
    assert "is not followed further and counts as one. Holds always are." in page
    sources = page.partition("<caption>Sources")[2].partition("</table>")[0]
    assert "Made before" in sources
    assert "not followed further" in sources
    told = desk.get(f"/lots/{PACK}/lineage.json").get_json()
    rows = list(csv.DictReader(io.StringIO(desk.get(f"/lots/{PACK}/lineage.csv").data.decode("utf-8-sig"))))
    [row] = [row for row in rows if row["kind"] == "older"]
    assert (row["lot"], row["product"]) == ("", f"made before {told['older']['before']}")
    assert (int(row["part"]), row["held"]) == (told["older"]["part"]["solution"], "yes")
    assert not {row["lot"] for row in rows} & set(told["older"]["lots"])
    capsys.readouterr()
    assert main(["trace", PACK, "--database", house.database.url]) == 0
    said = f"made before {told['older']['before']}, not followed: part solution {row['part']}"
    assert said in capsys.readouterr().out.splitlines()
    assert main(["trace", PACK, "--json", "--database", house.database.url]) == 0
    assert json.loads(capsys.readouterr().out) == told


@pytest.mark.in_ci
def test_the_picture_goes_back_as_far(house: House) -> None:
    found = house.ask(picture, PACK)
    assert found.older is not None
    assert found.visited < MOST
    assert "is not followed further" in office(house, "qa").client.get(f"/lots/{PACK}/picture").text
    assert not any(node.gap for node in found.nodes)
