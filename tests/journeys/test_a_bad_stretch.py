"""A coil is bad between two positions: do only the outputs that hold it have to be recalled?"""

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from houses import House
from lotroot.identity.showing import shown
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from offices import an_office_house, office
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def answer(house: House, **asked: str) -> Any:
    told = {name.rstrip("_"): value for name, value in asked.items()}
    return office(house, "qa").client.get("/stretch", query_string=told)


def held_in(house: House, **asked: str) -> dict[str, list[str]]:
    found = answer(house, **asked, format="json").get_json()
    return {one["lot"]: one["held_in"] for one in found["lots"]}


def test_only_the_stripper_that_holds_the_stretch_is_named(house: House, shop: Shop) -> None:
    coil = shop.coil()
    first, second, third = shop.drawn(coil, 500_000, 500_000, 500_000)
    found = held_in(house, number=coil, from_="600 kg", to="700 kg", end="outer")
    assert set(found) == {second}
    [piece] = found[second]
    # Drawing winds the wire the other way round: what ran in first lies inside.
    assert piece == "inner 100000-200000"
    assert set(held_in(house, number=coil, from_="450 kg", to="550 kg", end="outer")) == {first, second}
    page = answer(house, number=shown(coil), from_="600 kg", to="700 kg", end="outer").text
    assert "1 of the 3 lots made of it hold that stretch; 2 need no recall." in page
    assert shown(third) not in page.split("Lots that hold that stretch")[1]


def test_an_end_nobody_knows_means_both(house: House, shop: Shop) -> None:
    coil = shop.coil(amount=1_500_000)
    lots = shop.drawn(coil, 500_000, 500_000, 500_000)
    found = held_in(house, number=coil, from_="100 kg", to="200 kg")
    assert set(found) == {lots[0], lots[2]}


def test_near_a_weld_both_coils_are_reached(house: House, shop: Shop) -> None:
    one, two = shop.coil(amount=600_000), shop.coil(amount=900_000)
    first = shop.drawn(one, 500_000)[0]
    shop.asked(LoadInput(two, product="wire_25", end="outer"), "ended", "draw_1")
    across = shop.at("draw_1", MakeOutput(weight=400_000)).numbers[0]
    after = shop.at("draw_1", MakeOutput(weight=400_000)).numbers[0]
    assert across in held_in(house, number=one, from_="550 kg", to="600 kg", end="outer")
    assert first not in held_in(house, number=one, from_="560 kg", to="600 kg", end="outer")
    assert set(held_in(house, number=two, from_="0 kg", to="20 kg", end="outer")) == {across}
    far = held_in(house, number=two, from_="300 kg", to="390 kg", end="outer")
    assert set(far) == {after}


def test_behind_mixing_all_of_a_lot_counts(house: House, shop: Shop) -> None:
    coil = shop.coil()
    good, bad = shop.drawn(coil, 500_000, 500_000)
    shop.at("draw_1", CloseRun(), answers={"left-1": "off"})
    lots = {}
    for stripper, pan in ((good, "pan_17"), (bad, "pan_18")):
        lots[stripper] = shop.nails(stripper, 480_000, pan)
        shop.asked(CloseRun(), "off", "nail_1")
    tumbled = shop.tumbled(shop.pan("pan_18"), 470_000, "pan_19")
    found = held_in(house, number=coil, from_="600 kg", to="610 kg", end="outer")
    assert set(found) == {bad, lots[bad], tumbled}
    assert found[tumbled] == ["all"]


def test_a_lane_of_a_slit_coil_is_followed_alone(house: House, shop: Shop) -> None:
    coil = shop.coil("coil_40x1250", 3_000_000)
    shop.at("slitter", LoadInput(coil, product="strip_412", end="outer"))
    made = [
        shop.at("slitter", MakeOutput(weight=980_000, lane_from=start, lane_to=start + 412)).numbers[0]
        for start in (0, 412, 824)
    ]
    assert set(held_in(house, number=coil, from_="100 kg", to="200 kg", end="outer")) == set(made)
    near = held_in(house, number=coil, from_="100 kg", to="200 kg", end="outer", lane_from="50", lane_to="90")
    assert set(near) == {made[0]}


def test_a_lane_alone_is_bad_from_end_to_end(house: House, shop: Shop) -> None:
    coil = shop.coil("coil_40x1250", 3_000_000)
    shop.at("slitter", LoadInput(coil, product="strip_412", end="outer"))
    made = [
        shop.at("slitter", MakeOutput(weight=980_000, lane_from=start, lane_to=start + 412)).numbers[0]
        for start in (0, 412, 824)
    ]
    assert set(held_in(house, number=coil, lane_from="420", lane_to="430")) == {made[1]}
    beside = answer(house, number=coil, lane_from="1250", lane_to="1300")
    assert (beside.status_code, "from 0 to 1250" in beside.text) == (422, True), beside.text[-1200:]


def test_the_other_end_lies_where_the_last_of_it_was_taken(house: House, shop: Shop) -> None:
    coil = shop.coil(amount=900_000)  # its label says too little: 1,400 kg were drawn of it
    [first] = shop.drawn(coil, 500_000)
    second, third = (
        shop.asked(MakeOutput(weight=weight), "yes", "draw_1").numbers[0] for weight in (500_000, 400_000)
    )
    assert set(held_in(house, number=coil, from_="800 kg", end="outer")) == {second, third}
    assert third in held_in(house, number=coil, from_="1300 kg", to="1350 kg", end="outer")
    assert first not in held_in(house, number=coil, from_="1300 kg", end="outer")


def test_metres_are_turned_by_the_mass_of_a_metre(house: House, shop: Shop) -> None:
    coil = shop.coil()
    stripper = shop.drawn(coil, 500_000)[0]
    shop.at("draw_1", CloseRun(), answers={"left-1": "off"})
    nails = shop.nails(stripper, 300_000)
    # 2.50 mm wire of steel, 38.5 g a metre (facts: metal): 1,000 m are 38.5 kg.
    assert set(held_in(house, number=stripper, from_="1000 m", to="1010 m", end="outer")) == {nails}
    gone = answer(house, number=stripper, from_="100000 m", to="100010 m", end="outer")
    assert (gone.status_code, "no stretch of it" in gone.text) == (422, True)


def test_the_file_has_what_the_page_has(house: House, shop: Shop) -> None:
    coil = shop.coil()
    shop.drawn(coil, 500_000, 500_000)
    text = answer(house, number=coil, from_="0", to="100 kg", end="outer", format="csv").data.decode(
        "utf-8-sig"
    )
    [row] = csv.DictReader(io.StringIO(text))
    assert (row["held_in"], row["doubted"], row["standing"]) == ("inner 0-100000", "no", "500000")


@pytest.mark.parametrize(
    ("asked", "status", "words"),
    [
        ({}, 200, "Which coil"),
        ({"number": "nonsense"}, 422, "nonsense"),
        ({"number": "{coil}", "from_": "700 kg", "to": "600 kg"}, 422, "no stretch of it"),
        ({"number": "{coil}", "from_": "9000 kg", "to": "9001 kg"}, 422, "from 0 to 2\u202f000\u202fkg"),
        ({"number": "{coil}", "from_": "much", "to": "600 kg"}, 422, "much"),
        ({"number": "{coil}", "from_": "1,500", "to": "1600 kg"}, 422, "two ways"),
        ({"number": "{coil}", "to": "60 kg", "lane_from": "90", "lane_to": "50"}, 422, "no lane"),
        ({"number": "{place}", "to": "60 kg"}, 404, ""),
    ],
)
def test_what_is_no_stretch_is_said(
    house: House, shop: Shop, asked: dict[str, str], status: int, words: str
) -> None:
    known = {"coil": shop.coil(), "place": shop.place("coil_yard")}
    found = answer(house, **{name: value.format(**known) for name, value in asked.items()})
    assert (found.status_code, words in found.text) == (status, True), found.text[-1200:]
