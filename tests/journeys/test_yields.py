"""Is the yield of a step what was made of what was used up, and can a manager find it?"""

import csv
import io
from pathlib import Path

import pytest
from houses import House
from lotroot.production.loading import UnloadInput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.tracing.yields import permille, yields
from offices import an_office_house, office
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def drawn(shop: Shop, remainder: int, scrap: int = 0) -> str:
    """A run that made 500 kg of a coil of 2 000 kg, threw some away, and weighed what was left."""
    lot = shop.drawn(shop.coil(), 500_000)[0]
    if scrap:
        shop.at("draw_1", ScrapInput(scrap, "ends"))
    shop.at("draw_1", UnloadInput(remainder=remainder, how="weighed"))
    shop.at("draw_1", CloseRun())
    return lot


def test_a_yield_is_what_was_made_of_what_was_used_up_and_not_of_what_came_off_again(
    house: House, shop: Shop
) -> None:
    drawn(shop, 1_470_000, scrap=10_000)
    [one] = house.ask(yields, 0)
    assert (one.process, one.product, one.role, one.runs) == ("wire_drawing", "wire_25", "rod", 1)
    assert (one.made, one.scrap, one.missing, one.used) == (500_000, 10_000, 20_000, 530_000)
    assert one.permille == 943


def test_runs_of_a_step_add_up_and_only_closed_ones_of_the_time_count(house: House, shop: Shop) -> None:
    drawn(shop, 1_480_000)
    house.clock.forward(days=2)
    later = house.clock.at
    drawn(shop, 1_500_000)
    shop.drawn(shop.coil(), 400_000)  # still open
    [both] = house.ask(yields, 0)
    assert (both.runs, both.made, both.missing) == (2, 1_000_000, 20_000)
    [last] = house.ask(yields, later)
    assert (last.runs, last.made, last.permille) == (1, 500_000, 1000)


@pytest.mark.parametrize(
    ("made", "used", "found"), [(0, 0, None), (1, 3, 333), (2, 3, 667), (1, 1, 1000), (11, 10, 1100)]
)
def test_a_part_is_rounded_half_up_and_there_is_none_of_nothing(
    made: int, used: int, found: int | None
) -> None:
    assert permille(made, used) == found


def test_a_manager_gets_there_from_search_and_each_run_tells_its_own(house: House, shop: Shop) -> None:
    lot = drawn(shop, 1_470_000, scrap=10_000)
    client = office(house, "manager").client
    assert 'href="/yields"' in client.get("/find").text
    page = client.get("/yields").text
    assert "Wire drawing" in page
    assert ">94.3<" in page
    assert "94.3 %" in client.get(f"/lots/{lot}").text
    rows = list(csv.DictReader(io.StringIO(client.get("/yields?format=csv").data.decode("utf-8-sig"))))
    assert [(row["made"], row["scrap"], row["missing"]) for row in rows] == [("500000", "10000", "20000")]
    assert client.get("/yields?format=json").get_json()["yields"][0]["unit"] == "g"
    assert client.get("/yields?days=never").status_code == 422
