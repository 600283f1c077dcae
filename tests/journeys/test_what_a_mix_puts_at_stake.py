"""Does whoever loads a tumbler see, before it turns, how much would hang on each heat in it?"""

from pathlib import Path

import pytest
from floor_work import at, ok, plain
from houses import House, a_house
from lotroot.production.loading import EndInput
from lotroot.production.marking import CloseRun
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


def test_each_pan_that_is_loaded_says_how_many_heats_the_load_is_of(house: House) -> None:
    shop = Shop(house)
    pans = ["pan_01", "pan_02", "pan_03", "pan_04"]
    for pan, heat, weight in zip(pans, "AABC", (250_000, 240_000, 230_000, 100_000), strict=True):
        stripper = shop.drawn(shop.coil(amount=500_000, heat=f"H{heat}1"), 490_000)[0]
        shop.at("draw_1", EndInput())
        shop.at("draw_1", CloseRun())
        shop.nails(stripper, weight, pan)
        shop.at("nail_1", EndInput())
        shop.at("nail_1", CloseRun())
    tumbler = at(house, "tumbler_1")
    seen = []
    for pan in pans:
        ok(tumbler.scan(shop.pan(pan)))
        seen.append(plain(tumbler.client.get("/station").text))
    assert "One heat in this load, HA1: all of it, 250 kg, would be recalled for that." in seen[0]
    assert "One heat in this load, HA1: all of it, 490 kg, would be recalled for that." in seen[1]
    assert "2 heats in this load: 720 kg would have to be recalled for any of them." in seen[2]
    assert "heats alone" not in seen[2]
    assert "3 heats in this load: 820 kg would have to be recalled for any of them." in seen[3]
    assert "The most of it that is of 2 heats alone: 720 kg." in seen[3]


def test_a_station_that_does_not_mix_says_nothing_of_heats(house: House) -> None:
    coil = Shop(house).coil()
    drawing = at(house, "draw_1")
    drawing.answer(coil, "wire_25")
    assert "heat" not in drawing.client.get("/station").text.partition("station-loaded")[2].lower()
