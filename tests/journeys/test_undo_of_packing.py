"""Is packing, bringing back and checking taken back without a trace in any account?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from houses import a_house
from lotroot.errors import Refused
from lotroot.production.blocks import PrintBlock, ReturnLabels
from lotroot.production.bringing_back import BringBack
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.packing import PackItems
from lotroot.production.parting import SplitLot
from lotroot.production.serials import block_account
from lotroot.quality.checks import checks_of
from lotroot.quality.handling import RecordCheck
from lotroot.voiding.handling import Undo
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    opened.in_the_hopper()
    yield opened
    opened.house.database.close()


def account(shop: Shop, lot: str) -> tuple[int, int, int, int]:
    found: Any = shop.house.ask(block_account, lot)
    return len(found.printed), len(found.used), len(found.spoiled), len(found.returned)


def test_each_step_of_a_block_is_taken_back_in_turn(shop: Shop) -> None:
    lot = shop.at("packing", PrintBlock(10)).numbers[0]
    shop.at("packing", PackItems(shop.item(lot, 6), shop.item(lot, 10), (8,)))
    shop.at("packing", PackItems(shop.item(lot, 1), shop.item(lot, 3)))
    shop.at("packing", ReturnLabels(shop.item(lot, 4)))
    shop.at("packing", Undo())
    assert account(shop, lot) == (10, 7, 1, 0)
    shop.at("packing", Undo(), answers=_yes(shop))
    assert account(shop, lot) == (10, 4, 1, 0)
    assert shop.stands(lot) == [(6, 7, 50_000), (9, 10, 50_000)]
    shop.closes()
    shop.at("packing", PackItems(shop.item(lot, 1), shop.item(lot, 2)))
    shop.closes()


def test_an_unused_block_is_taken_back(shop: Shop) -> None:
    lot = shop.at("packing", PrintBlock(10)).numbers[0]
    shop.at("packing", Undo())
    assert account(shop, lot) == (0, 0, 0, 0)
    with pytest.raises(Refused, match="not printed in a block"):
        shop.at("packing", PackItems(shop.item(lot, 1)))
    assert shop.at("packing", MakeOutput(count=1)).numbers[0] != lot
    shop.closes()


def test_boxes_brought_back_by_mistake_stand_again(shop: Shop) -> None:
    lot = shop.at("packing", MakeOutput(count=4)).numbers[0]
    shop.at("packing", BringBack(shop.item(lot, 2), "torn", to=shop.item(lot, 3), weight=49_000))
    shop.at("packing", Undo())
    assert sum(amount for _, _, amount in shop.stands(lot)) == 100_000
    assert shop.account(lot) == {"born": -100_000, "taken": 0, "difference": 0}
    shop.closes()


def test_a_part_is_put_back(shop: Shop) -> None:
    lot = shop.at("nail_1", MakeOutput(weight=10_000, carrier=shop.pan("pan_09"))).numbers[0]
    shop.at("nail_1", SplitLot(lot, 4_000))
    shop.at("nail_1", Undo())
    assert shop.stands(lot) == [(0, 0, 10_000)]
    shop.closes()


def test_a_check_of_the_wrong_lot_is_taken_back(shop: Shop) -> None:
    lot = shop.at("packing", MakeOutput(count=4)).numbers[0]
    shop.at("packing", RecordCheck(shop.item(lot, 1), "box_mass", ("25.02",)))
    shop.at("packing", Undo())
    assert shop.house.ask(checks_of, lot) == []
    shop.closes()


def _yes(shop: Shop) -> dict[str, str]:
    return {shop.question(Undo()).identifier: "yes"}


def test_the_number_of_a_box_taken_back_is_on_no_other_box(shop: Shop) -> None:
    lot = shop.at("packing", MakeOutput(count=5)).numbers[0]
    shop.at("packing", MakeOutput(count=1))
    shop.at("packing", Undo())
    shop.at("packing", MakeOutput(count=2))
    assert shop.stands(lot) == [(1, 5, 125_000), (7, 8, 50_000)]
    with pytest.raises(Refused, match="stands nowhere"):
        shop.at("packing", LoadInput(shop.item(lot, 6)))
    shop.at("packing", PrintBlock(2))
    shop.at("packing", PackItems(shop.item(lot, 9), shop.item(lot, 10)))
    shop.closes()
