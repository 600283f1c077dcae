"""What can a lot have given at least and at most, once vessels, pans, welds and scales had their say?

Answers worked out on paper; acts through the door, on both engines.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from houses import a_house
from lineage_shape import check_lineage
from lotroot.genealogy.lots import find_lot
from lotroot.moving.pallets import OpenPallet, PutOn
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.tracing import as_json, trace
from shop import Shop

Known = tuple[int, int, str]
"""At least, at most, and what kind of bound that is."""


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    opened = Shop(a_house(database_url))
    yield opened
    opened.house.database.close()


def known(shop: Shop, number: str, direction: str = "up", stream: str = "steel") -> dict[str, Known]:
    """Least and most of every lot of a lineage."""
    found = as_json(shop.house.ask(trace, number, direction))
    check_lineage(found)
    return {one["lot"]: told(one, stream) for one in found["lots"] if stream in one["part"]}


def told(one: dict[str, Any], stream: str = "steel") -> Known:
    return one["least"][stream], one["most"][stream], one["bound"][stream]


def pans(shop: Shop, *weights: int) -> list[str]:
    """Nail lots, each of a coil of its own."""
    lots = []
    for pan, weight in zip(("pan_01", "pan_02", "pan_03"), weights, strict=False):
        stripper = shop.drawn(shop.coil(), 640_000)[0]
        shop.asked(CloseRun(), "off", "draw_1")
        lots.append(shop.nails(stripper, weight, pan))
        shop.asked(CloseRun(), "off", "nail_1")
    return lots


def tumble(shop: Shop, *lots: str) -> None:
    for lot in lots:
        shop.at("tumbler_1", LoadInput(lot, product="tumbled_25x50"))


def tap(shop: Shop, weight: int, pan: str) -> str:
    made = shop.at("tumbler_1", MakeOutput(weight=weight, carrier=shop.pan(pan)))
    return made.numbers[0]


def test_half_the_boxes_of_a_lot_are_half_of_it_and_no_quarter(shop: Shop) -> None:
    """300 kg of boxes out of 250 kg of nails: of 150 kg on a pallet 100 at least are of their wire."""
    shop.in_the_hopper(250_000)
    boxes = shop.asked(MakeOutput(count=12), "yes").numbers[0]
    [wire] = [number for number in known(shop, boxes) if number.startswith("R")]
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(boxes, 7), shop.item(boxes, 12)))
    assert known(shop, pallet)[wire] == (100_000, 150_000, "exact")
    assert known(shop, boxes)[wire][0] == 250_000


def test_two_taps_of_one_tumbler_load(shop: Shop) -> None:
    """500 kg in, of 240 and 260: the first could be of the greater pan alone, or as little as 40 of it."""
    great, small = pans(shop, 300_000, 200_000)
    tumble(shop, great, small)
    first, second = tap(shop, 240_000, "pan_17"), tap(shop, 260_000, "pan_18")
    up = known(shop, first)
    assert (up[great], up[small]) == ((40_000, 240_000, "exact"), (0, 200_000, "exact"))
    down = known(shop, great, "down")
    assert down[first] == up[great]
    assert down[second] == known(shop, second)[great] == (60_000, 260_000, "exact")
    run = shop.house.ask(find_lot, first).run
    assert known(shop, run)[great] == (300_000, 300_000, "exact"), "of both there is nothing to wonder about"


def test_a_tumbler_that_was_loaded_again_before_it_was_empty(shop: Shop) -> None:
    """400 in, 300 out, 300 more in: what is left for the second pan is 100 of the first filling."""
    first, second, third = pans(shop, 250_000, 150_000, 300_000)
    tumble(shop, first, second)
    before = tap(shop, 300_000, "pan_17")
    tumble(shop, third)
    after = tap(shop, 400_000, "pan_18")
    assert known(shop, before)[first] == (150_000, 250_000, "exact")
    up = known(shop, after)
    assert up[first] == (0, 100_000, "exact")
    assert up[second] == (0, 100_000, "exact")
    assert up[third] == (300_000, 300_000, "exact")


def test_more_came_out_than_went_in(shop: Shop) -> None:
    """505 out of 500: all that went in is in it, and five are nobody's for sure."""
    great, small = pans(shop, 300_000, 200_000)
    tumble(shop, great, small)
    made = tap(shop, 505_000, "pan_17")
    up = known(shop, made)
    assert up[great] == (300_000, 303_000, "outer"), "by proportion 303 are expected of it"
    assert up[small] == (200_000, 202_000, "outer")


def test_what_went_to_scrap_was_of_what_went_in(shop: Shop) -> None:
    """98 in the pan and 5 in the bin out of 100: the three that nobody knows may all be in the pan."""
    coil = shop.coil()
    stripper = shop.drawn(coil, 100_000)[0]
    shop.at("nail_1", LoadInput(stripper, product="nail_25x50"))
    shop.at("nail_1", ScrapInput(5_000, "ends"))
    made = shop.at("nail_1", MakeOutput(weight=98_000, carrier=shop.pan("pan_01"))).numbers[0]
    shop.at("nail_1", CloseRun())
    assert known(shop, made)[coil] == (95_000, 98_000, "exact")


def test_a_pan_that_was_topped_up(shop: Shop) -> None:
    """120 of the second load on 100 that was still in the pan; half of it goes on."""
    one, other = pans(shop, 100_000, 200_000)
    tumble(shop, one)
    below = tap(shop, 100_000, "pan_17")
    shop.at("tumbler_1", CloseRun())
    tumble(shop, other)
    onto = MakeOutput(weight=120_000, carrier=shop.pan("pan_17"))
    both = shop.asked(onto, "topped", "tumbler_1").numbers[0]
    up = known(shop, both)
    assert (up[below], up[one]) == ((100_000, 100_000, "exact"), (100_000, 100_000, "exact"))
    assert up[other] == (120_000, 120_000, "exact")
    shop.at("tumbler_1", CloseRun())
    shop.at("tumbler_1", LoadInput(both, amount=110_000, product="tumbled_25x50"))
    part = known(shop, tap(shop, 110_000, "pan_18"))
    assert part[one] == (0, 100_000, "exact")
    assert part[other] == (10_000, 110_000, "exact")


def test_a_tank_keeps_its_heel(shop: Shop) -> None:
    """1,000 l of 100 concentrate and 900 water; 600 are used, 600 of water added to the heel of 400."""
    concentrate, water = shop.coil("concentrate_ca", 100_000), shop.coil("water_mains", 900_000)
    shop.at("mixing", LoadInput(concentrate, product="solution_ca"), "treater")
    shop.at("mixing", LoadInput(water), "treater")
    strong = shop.at("mixing", MakeOutput(volume=1_000_000), "treater").numbers[0]
    shop.at("mixing", CloseRun(), "treater")
    more = shop.coil("water_mains", 600_000)
    shop.at("mixing", LoadInput(strong, amount=400_000, product="solution_ca"), "treater")
    shop.at("mixing", LoadInput(more), "treater")
    weak = shop.at("mixing", MakeOutput(volume=1_000_000), "treater").numbers[0]
    up = known(shop, weak, stream="solution")
    assert up[concentrate] == (0, 100_000, "exact")
    assert up[water] == (300_000, 400_000, "exact")
    assert up[more] == (600_000, 600_000, "exact")
