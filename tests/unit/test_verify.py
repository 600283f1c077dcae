"""Does verify name the first thing that contradicts itself, in the words of CONTRACTS.md?"""

import re
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace

import plants
import pytest
from engines import ENGINES, sqlite_url
from facts_by_hand import PLACE, born, record, undone
from houses import House, a_house
from lotroot.counting.facts import CountFinished, CountOpened, Difference
from lotroot.genealogy.events import LinksWritten, LotLink
from lotroot.ledger.book import head
from lotroot.ledger.proof import Finding
from lotroot.stock.events import BORN, DIFFERENCE, SCRAP, TAKEN, Move, Moved
from lotroot.verify import verdict, verify
from lotroot.verify.conservation import conservation_finding
from lotroot.verify.counts import count_finding
from lotroot.verify.ranks import rank_finding
from lotroot.verify.rebuilt import status_finding
from sqlalchemy import text

ROD, OTHER, WIRE, MORE = "C2600000158", "C2600000255", "R2600000178", "R2600000275"


def taking(child: str, parent: str, taken: int, start: int | None = 0, **more: object) -> LinksWritten:
    """A link of one parent, taken in turn from its outer end."""
    stop = None if start is None else start + taken
    stated = {"end": "outer", "feed": "in_turn", "parent_from": start, "parent_to": stop, **more}
    return LinksWritten(child, "U2600000163", (LotLink(parent, "rod", "steel", taken, taken, **stated),))


@pytest.fixture(scope="module", params=ENGINES)
def house(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A rod of 1,000 g, of which 400 g became wire and 10 g scrap; each test undoes what it does."""
    with ExitStack() as stack:
        url = sqlite_url(tmp_path_factory.mktemp("verify"))
        if request.param == "postgresql":
            url = stack.enter_context(request.getfixturevalue("postgres").database())
        made = a_house(url, plants.SMALL)
        stack.callback(made.database.close)
        with made.database.writing() as connection:
            record(connection, *born(ROD, 1000, 1), *born(WIRE, 400, 2, source=""), taking(WIRE, ROD, 400))
            record(connection, Moved((Move(ROD, PLACE, TAKEN, 400), Move(ROD, PLACE, SCRAP, 10))))
        yield made


def test_what_agrees_with_itself_is_ok_up_to_its_head(house: House) -> None:
    assert re.fullmatch(r"ok \d+ [0-9a-f]{64}", str(verify(house.database)))


@pytest.mark.parametrize(
    ("statement", "where", "found", "expected"),
    [
        pytest.param(
            f"UPDATE lot SET amount = 401 WHERE number = '{WIRE}'",
            "lot ",
            '"amount":401',
            '"amount":400',
            id="changed",
        ),
        pytest.param(
            "DELETE FROM person WHERE number = (SELECT max(number) FROM person)",
            "person H26",
            "nothing",
            '"roles":"operator"',
            id="lost",
        ),
        pytest.param(
            "INSERT INTO alias VALUES ('heat', '4711', 'C2600000158')",
            "alias heat/4711/C2600000158",
            '"value":"4711"',
            "nothing",
            id="too many",
        ),
        # "Z" stands before "a" in byte order, after it in most languages: one order for both engines
        pytest.param(
            "UPDATE party SET code = 'Zed' WHERE code = 'bellmead'",
            "party Zed",
            '"code":"Zed"',
            "nothing",
            id="in byte order",
        ),
    ],
)
def test_status_that_is_not_what_the_events_say_is_found(
    house: House, statement: str, where: str, found: str, expected: str
) -> None:
    with undone(house) as connection:
        connection.execute(text(statement))
        finding = status_finding(connection)
    assert finding is not None
    assert finding.where.startswith(where)
    assert found in finding.found
    assert expected in finding.expected


def test_status_faults_are_said_in_one_line(house: House) -> None:
    with undone(house) as connection:
        connection.execute(text("UPDATE person SET active = 0"))
        said = str(verdict(connection))
    assert re.fullmatch(r"fault status person H\d+: found \{.*\"active\":0.*\}, expected \{.*\}", said)


def test_a_parent_that_does_not_rank_below_its_child_is_found(house: House) -> None:
    with undone(house) as connection:
        record(connection, *born(OTHER, 50, 7), *born(MORE, 0, 7, source=""), taking(MORE, OTHER, 0, None))
        finding, said = rank_finding(connection), str(verdict(connection))
    assert finding == Finding(MORE, "rank 7", f"more than the 7 of its parent {OTHER}")
    assert said == f"fault ranks {MORE}: found rank 7, expected more than the 7 of its parent {OTHER}"


def test_ranks_bind_doubted_links_too(house: House) -> None:
    with undone(house) as connection:
        late = taking(WIRE, OTHER, 400, None).links
        record(connection, *born(OTHER, 400, 9), LinksWritten(WIRE, "U2600000163", late, doubted=True))
        record(connection, LinksWritten(WIRE, "U2600000163", taking(WIRE, ROD, 400).links, doubted=True))
        finding = rank_finding(connection)
    assert finding == Finding(WIRE, "rank 2", f"more than the 9 of its parent {OTHER}")


@pytest.mark.parametrize(
    ("facts", "where", "found"),
    [
        pytest.param((Moved((Move(ROD, PLACE, TAKEN, 5),)),), ROD, "taken 405 g", id="taken by no link"),
        pytest.param((taking(WIRE, ROD, 399),), ROD, "taken 400 g", id="a link that took less"),
        pytest.param(
            (
                *born(MORE, 1, 3),
                taking(MORE, ROD, 1, 399, parent_to=400),
                Moved((Move(ROD, PLACE, TAKEN, 1),)),
            ),
            ROD,
            "a stretch from 399 of the outer end",
            id="stretches overlap",
        ),
        pytest.param((born(OTHER, 70, 3)[0],), OTHER, "born 0 g", id="born without an amount"),
        pytest.param(
            (Moved((Move("C2600000352", PLACE, DIFFERENCE, 3),)),),
            "C2600000352",
            "amounts of no lot",
            id="amounts of no lot",
        ),
        pytest.param(
            (born(OTHER, 70, 3)[0], Moved((Move(ROD, PLACE, TAKEN, 5),))),
            ROD,
            "taken 405 g",
            id="two lots: the lower number first",
        ),
    ],
)
def test_amounts_that_do_not_close_are_found_at_their_lot(
    house: House, facts: tuple[object, ...], where: str, found: str
) -> None:
    with undone(house) as connection:
        record(connection, *facts)
        said = str(verdict(connection))
    assert said.startswith(f"fault conservation {where}: found {found}, expected ")


def test_an_amount_that_left_no_account_is_found(house: House) -> None:
    """Only a fault of the program could do that; the check looks at the tables themselves."""
    with undone(house) as connection:
        connection.execute(text(f"UPDATE standing SET amount = amount - 1 WHERE lot = '{ROD}'"))
        finding = conservation_finding(connection)
    accounts = "born -1000, scrap 10, standing 589, taken 400"
    assert finding == Finding(ROD, f"a sum of -1 g over {accounts}", "0")


@pytest.mark.parametrize(
    ("start", "end", "fits"),
    [(400, "outer", True), (399, "outer", False), (0, "inner", True), (None, "outer", True)],
)
def test_stretches_taken_in_turn_from_one_end_follow_one_another(
    house: House, start: int | None, end: str, fits: bool
) -> None:
    with undone(house) as connection:
        record(connection, *born(MORE, 100, 3, source=""), taking(MORE, ROD, 100, start, end=end))
        record(connection, Moved((Move(ROD, PLACE, TAKEN, 100),)))
        finding = conservation_finding(connection)
    assert (finding is None) is fits


@pytest.mark.parametrize(
    ("rows", "found"),
    [
        (((1, 4, PLACE), (5, 9, "P2600000169"), (10, 12, PLACE)), None),
        (((1, 7, PLACE), (7, 9, "P2600000169")), f"item 7 at {PLACE} and at P2600000169"),
        (((1, 12, PLACE), (2, 3, PLACE), (5, 6, "D2600000168")), f"item 2 at {PLACE} and at {PLACE}"),
        (((1, 12, PLACE), (5, 6, "D2600000168")), f"item 5 at {PLACE} and at D2600000168"),
    ],
    ids=["apart", "one shared", "within another", "on a shipment too"],
)
def test_an_item_that_stands_at_two_spots_is_found(
    house: House, rows: tuple[tuple[int, int, str], ...], found: str | None
) -> None:
    """Only a fault of the program could do that; amounts alone would not tell."""
    with undone(house) as connection:
        lot, _ = born(OTHER, 100 * len(rows), 3, axis="serial", items=12)
        moves = tuple(Move(OTHER, BORN, spot, 100, first, last) for first, last, spot in rows)
        record(connection, lot, Moved(moves))
        finding = conservation_finding(connection)
    assert (finding and finding.found) == found
    assert finding is None or finding.where == OTHER


COUNTED = Difference(1, "missing", ROD, 0, 0, "", PLACE, PLACE, 590)


@pytest.mark.parametrize(
    ("facts", "statement", "found"),
    [
        pytest.param((CountOpened(PLACE), CountOpened(PLACE)), "", "2 open counts", id="two of a place"),
        pytest.param(
            (CountOpened(PLACE), CountFinished(1, PLACE, 1, 0, (COUNTED,))),
            "UPDATE stock_count SET state = 'open'",
            "difference 1 of a count that is open",
            id="differences too early",
        ),
        pytest.param(
            (CountFinished(1, PLACE, 1, 0, (COUNTED,)),),
            "",
            "difference 1 of a count that is not there",
            id="of no count",
        ),
        pytest.param(
            (CountOpened(PLACE), CountFinished(1, PLACE, 1, 0, (replace(COUNTED, lot=MORE),))),
            "",
            f"a difference about {MORE}",
            id="about no goods",
        ),
    ],
)
def test_counts_that_contradict_themselves_are_found(
    house: House, facts: tuple[CountOpened | CountFinished, ...], statement: str, found: str
) -> None:
    with undone(house) as connection:
        opened = head(connection).count + 1
        told = [replace(one, count=opened) if isinstance(one, CountFinished) else one for one in facts]
        record(connection, *told)
        if statement:
            connection.execute(text(statement))
        finding = count_finding(connection)
    assert finding is not None
    assert (finding.where, finding.found) in ((PLACE, found), (f"count {opened}", found))
