"""A coil that was taken off in part was another one: what stands where after the correction?"""

from pathlib import Path

import pytest
from houses import a_house
from lotroot.genealogy.lots import find_lot
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.stock.tables import standing
from lotroot.verify import verify
from lotroot.verify.runs import load_findings
from shop import Shop
from sqlalchemy import update


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(a_house(tmp_path))


def left_on(shop: Shop, run: str) -> list[int]:
    """What stands on a run."""
    return [row["amount"] for row in shop.house.status()["standing"] if row["spot"] == run and row["amount"]]


def test_what_was_put_back_stays_with_the_wrong_coil_and_is_no_stock_of_the_right_one(shop: Shop) -> None:
    right, wrong = shop.coil(heat="R 1"), shop.coil(heat="W 1")
    lot = shop.drawn(wrong, 500_000)[0]
    shop.at("draw_1", UnloadInput(remainder=1_480_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    run = shop.house.ask(find_lot, lot).run
    shop.house.post(CorrectInput(run, 1, right), "supervisor")
    assert sum(amount for *_, amount in shop.stands(right)) == 1_500_000
    assert shop.account(right).get("difference", 0) == 0
    assert left_on(shop, run) == []
    assert str(verify(shop.house.database)).startswith("ok ")
    shop.closes()


def test_a_coil_recorded_twice_on_a_run_stays_on_when_one_of_them_is_corrected(shop: Shop) -> None:
    second, first = shop.coil(amount=20_000), shop.coil(amount=20_000)
    run = shop.house.ask(find_lot, shop.drawn(first, 20_000)[0]).run
    shop.asked(LoadInput(second, product="wire_25", end="outer"), "ended", "draw_1")
    shop.house.post(CorrectInput(run, 1, second), "supervisor")
    shop.house.post(CorrectInput(run, 1, first), "supervisor")
    assert left_on(shop, run) == [20_000]
    shop.at("draw_1", MakeOutput(weight=20_000))
    shop.asked(CloseRun(), "off", "draw_1")
    assert left_on(shop, run) == []
    assert str(verify(shop.house.database)).startswith("ok ")
    shop.closes()


def test_goods_that_stand_on_a_closed_run_are_a_fault(shop: Shop) -> None:
    lot = shop.drawn(shop.coil(), 500_000)[0]
    shop.at("draw_1", UnloadInput(remainder=1_480_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    run = shop.house.ask(find_lot, lot).run
    with shop.house.database.writing() as connection:
        connection.execute(update(standing).where(standing.c.lot == lot).values(spot=run))
        found = list(load_findings(connection))
    assert [str(one) for one in found if one.where == run]
