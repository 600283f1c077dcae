"""Does verify see a balance that is not what its run comes to?"""

from collections.abc import Iterator

import pytest
from houses import House, a_house
from lotroot.ledger.proof import Finding
from lotroot.production.loading import UnloadInput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.reconciliation.earlier import never_added_up
from lotroot.reconciliation.tables import run_balance
from lotroot.verify.balances import balance_findings
from shop import Shop
from sqlalchemy import delete, text, update


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    """Two closed runs and an open one."""
    made = a_house(database_url)
    shop = Shop(made)
    for _ in range(2):
        shop.drawn(shop.coil(), 500_000, 400_000)
        shop.at("draw_1", ScrapInput(5_000, "ends"))
        shop.at("draw_1", UnloadInput(remainder=1_080_000, how="weighed"))
        shop.at("draw_1", CloseRun())
    shop.drawn(shop.coil(), 400_000)
    yield made
    made.database.close()


def findings(house: House) -> list[Finding]:
    return house.ask(lambda connection: list(balance_findings(connection)))


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        ({"loaded": 2_000_001}, "loaded 2000001 g"),
        ({"returned": 1_080_002}, "returned 1080002 g"),
        ({"good": 900_003}, "made 900003 g"),
        ({"scrap": 0}, "scrap 0 g"),
        ({"by_product": 7}, "made 900007 g"),
        ({"loss": 0}, "difference"),
        ({"difference": 1}, "difference 1 g"),
    ],
)
def test_each_amount_is_held_against_the_run(house: House, changed: dict[str, int], found: str) -> None:
    assert findings(house) == []
    first = min(str(row["run"]) for row in house.rows(run_balance))
    with house.database.writing() as connection:
        connection.execute(update(run_balance).where(run_balance.c.run == first).values(**changed))
    [one] = findings(house)
    assert one.where == f"{first} steel"
    assert one.found.startswith(found)


def test_a_run_that_is_open_has_no_balance(house: House) -> None:
    with house.database.writing() as connection:
        connection.execute(text("UPDATE run SET closed = NULL"))
    assert [one.expected for one in findings(house)] == ["none", "none"]


def test_a_closed_run_without_a_balance_is_found_and_one_from_before_balances_waits(house: House) -> None:
    first, second = sorted({str(row["run"]) for row in house.rows(run_balance)})
    with house.database.writing() as connection:
        connection.execute(delete(run_balance).where(run_balance.c.run == second))
    [one] = findings(house)
    assert one == Finding(f"{second} steel", "no balance", "one, as the run is closed")
    with house.database.writing() as connection:
        connection.execute(delete(run_balance).where(run_balance.c.run == first))
    assert findings(house) == []  # with none at all the next start adds up both
    assert house.ask(never_added_up) == [first, second]
