"""A coil lost its end as scrap, was put back and used again: where does its next stretch begin (RULES 8)?"""

from pathlib import Path

import pytest
from houses import a_house
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.verify import verify
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(a_house(tmp_path))


def stretch(shop: Shop, lot: str) -> tuple[int, int]:
    """What one lot took of its one parent: from and to."""
    [link] = shop.house.ask(links_of, shop.house.ask(find_lot, lot).id)
    return link.parent_from, link.parent_to


def test_what_was_scrapped_on_one_run_has_left_the_coil_on_the_next(shop: Shop) -> None:
    coil = shop.coil(amount=1_000_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", ScrapInput(5_000, "ends"))
    first = shop.at("draw_1", MakeOutput(weight=300_000)).numbers[0]
    shop.at("draw_1", UnloadInput(remainder=695_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    second = shop.drawn(coil, 200_000)[0]
    assert (stretch(shop, first), stretch(shop, second)) == ((5_000, 305_000), (305_000, 505_000))
    assert str(verify(shop.house.database)).startswith("ok ")
    shop.closes()


def test_scrap_told_late_moves_the_stretches_of_the_next_run_too(shop: Shop) -> None:
    coil = shop.coil(amount=1_000_000)
    first = shop.drawn(coil, 300_000)[0]
    shop.at("draw_1", UnloadInput(remainder=700_000, how="weighed"))
    shop.at("draw_2", LoadInput(coil, product="wire_25", end="outer"))
    second = shop.at("draw_2", MakeOutput(weight=200_000)).numbers[0]
    shop.at("draw_1", ScrapInput(4_000, "ends", lot=coil))
    assert stretch(shop, second)[0] >= stretch(shop, first)[1] + 4_000
    assert str(verify(shop.house.database)).startswith("ok ")
    shop.closes()
