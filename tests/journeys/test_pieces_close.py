"""Do goods told in pieces close to the piece, although their process closes in grams?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from houses import a_house
from lotroot.errors import Question
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.receiving.commands import OpenStock
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    yield opened
    opened.house.database.close()


def blanks(shop: Shop, count: int) -> str:
    command = OpenStock(product="blank_tile", amount=count, place=shop.place("tile_floor"))
    return shop.at("receiving", command, "supervisor").numbers[0]


def press(shop: Shop, count: int, weight: int = 0) -> str:
    command = MakeOutput(count=count, weight=weight, product="tile_wave")
    try:
        return shop.at("tile_press", command).numbers[0]
    except Question as question:
        answers = {question.identifier: "yes"}
        return shop.at("tile_press", command, answers=answers).numbers[0]


@pytest.mark.parametrize("counts", [(50, 50, 50), (33, 33, 34), (7, 61, 29, 44), (99, 1, 49)])
def test_blanks_pressed_in_batches_are_taken_by_the_piece(shop: Shop, counts: tuple[int, ...]) -> None:
    first, second = blanks(shop, 100), blanks(shop, 50)
    for lot in (first, second):
        shop.at("tile_press", LoadInput(lot))
    for count in counts:
        press(shop, count)
        shop.closes()
    taken = shop.account(first)["taken"] + shop.account(second).get("taken", 0)
    assert taken == sum(counts)


@pytest.mark.parametrize("weights", [(86_001, 85_999, 87_777), (10_001, 20_003, 30_007, 40_009)])
def test_batches_that_were_weighed_close_as_well(shop: Shop, weights: tuple[int, ...]) -> None:
    lot = blanks(shop, 151)
    shop.at("tile_press", LoadInput(lot))
    for weight in weights:
        made = press(shop, weight // 1_733, weight)
        [link] = shop.house.ask(lambda c, number=made: links_of(c, find_lot(c, number).id))
        assert link.given == weight
        shop.closes()
    try:
        shop.at("tile_press", CloseRun())
    except Question as question:
        shop.at("tile_press", CloseRun(), answers={question.identifier: "ended"})
    shop.closes()
