"""Is what several goods have in common found, the most telling first, and which lots met what?"""

import csv
import io
import re
from pathlib import Path
from urllib.parse import quote

import pytest
from houses import House
from lotroot.accounts.badges import badge_of
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.identity.showing import shown
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import ChangeTool, CloseRun
from offices import an_office_house, office
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def stripper(shop: Shop, coil: str, die: str = "") -> str:
    """A stripper of a coil, drawn by itself; `die` is what is put in first."""
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    if die:
        shop.at("draw_1", ChangeTool(shop.house.thing("resource", die)))
    lot = shop.at("draw_1", MakeOutput(weight=500_000)).numbers[0]
    shop.asked(CloseRun(), "off", "draw_1")
    return lot


def compared(house: House, *numbers: str) -> dict:
    asked = quote("\n".join(numbers))
    return office(house, "qa").client.get(f"/compare?q={asked}&format=json").get_json()


def causes_of(found: dict) -> dict[tuple[str, str], tuple[int, int]]:
    """How many of the goods each cause covers, and how many other lots left."""
    return {
        (one["what"], one["name"]): (len(one["covers"]), one["others_shipped"]) for one in found["causes"]
    }


def test_two_strippers_of_one_coil_share_it_its_heat_and_the_machine(house: House, shop: Shop) -> None:
    coil, other = shop.coil(heat="H 1"), shop.coil(heat="H 2")
    first, second, third = stripper(shop, coil), stripper(shop, coil), stripper(shop, other)
    found = compared(house, first, second)
    said = causes_of(found)
    assert said["lot", shown(coil)] == (2, 0)
    assert said["heat", "H 1"] == (2, 0)
    assert ("machine", "Drawing machine 1") in said
    assert ("lot", shown(first)) not in said
    assert found["asked"] == [first, second]
    assert found["visited"] == 3
    three = causes_of(compared(house, first, second, third))
    assert three["lot", shown(coil)][0] == 2
    assert ("heat", "H 2") not in three
    assert three["machine", "Drawing machine 1"][0] == three["supplier", "Nordhavn Staal"][0] == 3
    assert compared(house, first, second, third)["causes"][0]["covers"] == [first, second, third]


def test_a_die_set_is_shared_only_by_what_was_drawn_while_it_was_in(house: House, shop: Shop) -> None:
    coil = shop.coil()
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", ChangeTool(house.thing("resource", "dies_25_a")))
    before = shop.at("draw_1", MakeOutput(weight=200_000)).numbers[0]
    house.clock.forward(minutes=5)
    shop.at("draw_1", ChangeTool(house.thing("resource", "dies_25_b")))
    house.clock.forward(minutes=5)
    after, last = (shop.at("draw_1", MakeOutput(weight=200_000)).numbers[0] for _ in range(2))
    assert ("tool", "Die set 2.50 B") in causes_of(compared(house, after, last))
    assert ("tool", "Die set 2.50 A") not in causes_of(compared(house, after, last))
    assert ("tool", "Die set 2.50 A") not in causes_of(compared(house, before, last))


def test_a_cause_that_touches_few_others_that_left_comes_first(house: House, shop: Shop) -> None:
    coil, other = shop.coil(heat="H 1"), shop.coil(heat="H 2")
    first, gone, second = stripper(shop, coil), stripper(shop, other), stripper(shop, coil)
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, gone), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    said = causes_of(compared(house, first, second))
    assert said["lot", shown(coil)] == (2, 0)
    assert said["machine", "Drawing machine 1"] == (2, 1)  # the other was drawn between the two
    order = [one["what"] for one in compared(house, first, second)["causes"]]
    assert order.index("lot") < order.index("machine")


def test_a_heat_counts_what_left_of_it_whenever_it_came_in(house: House, shop: Shop) -> None:
    first, second = (stripper(shop, shop.coil(heat="H 1")) for _ in range(2))
    house.clock.forward(minutes=24 * 60)
    gone = stripper(shop, shop.coil(heat="H 1"))
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, gone), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    said = causes_of(compared(house, first, second))
    assert said["heat", "H 1"] == (2, 1)


def test_the_time_in_which_others_of_a_supplier_are_counted_is_told(house: House, shop: Shop) -> None:
    first, second = (stripper(shop, shop.coil(heat=heat)) for heat in ("H 1", "H 2"))
    page = office(house, "manager").client.get(f"/compare?q={first}%0A{second}").text
    [row] = re.findall(r"<tr\b(?:(?!<tr\b).)*>\s*supplier\s*<(?:(?!<tr\b).)*</tr>", page, re.DOTALL)
    assert re.search(r"\d\d:\d\d", row), "the time in which the others of it are counted"


def test_the_page_says_it_and_the_file_has_it(house: House, shop: Shop) -> None:
    coil = shop.coil(heat="=H 1")
    first, second = stripper(shop, coil), stripper(shop, coil)
    desk = office(house, "manager").client
    asked = f"/compare?q={quote(f'{shown(first).lower()}{chr(10)}{second}')}"
    page = desk.get(asked).text
    assert "2 of 2" in page
    assert shown(coil) in page
    assert "3 lots were looked at" in page
    rows = list(csv.DictReader(io.StringIO(desk.get(f"{asked}&format=csv").data.decode("utf-8-sig"))))
    assert {row["what"] for row in rows} >= {"lot", "heat", "supplier", "machine", "person", "shift"}
    assert all(row["covers"] == f"{first}; {second}" for row in rows if row["what"] == "lot")
    assert "'=H 1" in {row["number"] for row in rows}  # no formula for a spreadsheet


@pytest.mark.parametrize(
    ("lines", "status", "words"),
    [
        ((), 200, "one a line"),
        (("{coil}",), 422, "compared with each other"),
        (("{coil}", "{coil}"), 422, "2 to 50 different goods"),
        (("{coil}", "C2600099933"), 404, "No lot"),
        (("{coil}", "C2600000175"), 422, "check digits"),
        (("{coil}", "{place}"), 422, "is no goods"),
        (("{coil}", "nonsense"), 422, "nonsense"),
    ],
)
def test_what_cannot_be_compared_is_said_with_what_to_do(
    house: House, shop: Shop, lines: tuple[str, ...], status: int, words: str
) -> None:
    coil, place = shop.coil(), shop.place("coil_yard")
    asked = quote("\n".join(line.format(coil=coil, place=place) for line in lines))
    answer = office(house, "qa").client.get(f"/compare?q={asked}")
    assert (answer.status_code, words in answer.text) == (status, True), answer.text[-1500:]


def met(house: House, **asked: str) -> dict:
    return office(house, "qa").client.get("/met", query_string={**asked, "format": "json"}).get_json()


def test_lots_that_met_a_machine_went_in_or_were_made_there(house: House, shop: Shop) -> None:
    coil = shop.coil()
    lot = stripper(shop, coil)
    stripper(shop, shop.coil())
    machine = house.thing("station", "draw_1")
    house.clock.forward(minutes=1)
    found = met(house, what=f"machine:{machine}")
    assert {(one["lot"], one["how"]) for one in found["lots"]} >= {(lot, "made"), (coil, "went in")}
    assert found["visited"] == 4
    assert met(house, other=machine)["lots"] == found["lots"]  # its label, scanned
    assert met(house, what=f"machine:{house.thing('station', 'draw_2')}")["lots"] == []


def test_what_can_be_met_stands_under_headings_and_stays_chosen(house: House) -> None:
    machine = f"machine:{house.thing('station', 'draw_1')}"
    page = office(house, "manager").client.get("/met", query_string={"what": machine}).text
    heads = [
        page.index(f'label="{one}"') for one in ("Machines", "Tools", "Instruments", "People", "Suppliers")
    ]
    assert heads == sorted(heads)
    assert f'value="{machine}" selected' in page
    assert heads[0] < page.index(f'value="{machine}"') < heads[1]


def test_a_lot_that_is_on_the_machine_now_has_met_it_without_an_end(house: House, shop: Shop) -> None:
    coil = shop.coil()
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    house.clock.forward(minutes=1)
    machine = f"machine:{house.thing('station', 'draw_1')}"
    assert [(one["lot"], one["until"]) for one in met(house, what=machine)["lots"]] == [(coil, "")]
    page = office(house, "qa").client.get("/met", query_string={"what": machine})
    assert page.status_code == 200
    assert "still on" in page.text


def test_a_tool_is_asked_about_since_it_was_last_put_in(house: House, shop: Shop) -> None:
    first = stripper(shop, shop.coil(), "dies_25_a")
    house.clock.forward(hours=1)
    second = stripper(shop, shop.coil(), "dies_25_a")
    house.clock.forward(minutes=1)
    tool = f"tool:{house.thing('resource', 'dies_25_a')}"
    made = [one["lot"] for one in met(house, what=tool)["lots"] if one["how"] == "made"]
    assert made == [second]
    ever = met(house, what=tool, since="2026-11-01T00:00")
    assert {one["lot"] for one in ever["lots"] if one["how"] == "made"} == {first, second}


def test_a_heat_a_supplier_a_person_and_a_shift_are_met(house: House, shop: Shop) -> None:
    coil = shop.coil(heat="h 77")
    lot = stripper(shop, coil)
    house.clock.forward(minutes=1)
    assert [one["lot"] for one in met(house, other="H 77")["lots"]] == [coil]
    assert coil in {one["lot"] for one in met(house, what="supplier:nordhavn")["lots"]}
    assert lot in {one["lot"] for one in met(house, what=f"person:{house.people['operator']}")["lots"]}
    other = stripper(shop, coil)
    shift = next(one for one in compared(house, lot, other)["causes"] if one["what"] == "shift")["number"]
    assert {lot, other} == {one["lot"] for one in met(house, other=shift)["lots"]}


@pytest.mark.parametrize(
    ("asked", "status", "words"),
    [
        ({"other": "H 9999"}, 404, "No heat H 9999"),
        ({"other": "2026-11-09 eraly"}, 404, "one of: early, late, night"),
        ({"other": "2026-13-45 early"}, 404, "No shift"),
        ({"other": "2026-11-09 Early"}, 200, "0 lots met 2026-11-09 early"),
        ({"what": "weather:rain"}, 422, "No lots are asked for by this"),
        (
            {"what": "machine:{machine}", "since": "2026-11-03T00:00", "until": "2026-11-02T00:00"},
            422,
            "ends before",
        ),
        ({"what": "machine:{machine}", "since": "yesterday"}, 422, "A day and a time"),
        ({"other": "{coil}"}, 422, "For goods"),
        ({"other": "{place}"}, 422, "For goods"),
    ],
)
def test_what_cannot_be_met_is_said(
    house: House, shop: Shop, asked: dict[str, str], status: int, words: str
) -> None:
    known = {
        "coil": shop.coil(),
        "place": shop.place("coil_yard"),
        "machine": house.thing("station", "draw_1"),
    }
    answer = office(house, "qa").client.get(
        "/met", query_string={name: value.format(**known) for name, value in asked.items()}
    )
    assert (answer.status_code, words in answer.text) == (status, True), answer.text[-1500:]


def test_a_badge_is_shown_on_no_page(house: House, shop: Shop) -> None:
    badge = str(house.ask(badge_of, house.people["operator"]))
    desk = office(house, "qa").client
    for address in (f"/compare?q={badge}", f"/met?other={badge}"):
        assert badge not in desk.get(address).text
