"""Is a charge treated by scanning alone: packs by tag or tram, solution by the tank, and then its checks?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.genealogy.lots import find_lot
from lotroot.holds.handling import PlaceHold
from lotroot.holds.reach import held_by
from lotroot.identity.showing import shown
from lotroot.moving.pallets import PutOn
from lotroot.production.loading import LoadInput
from lotroot.production.runs import open_runs_at
from lotroot.stock.carriers import find_carrier
from lotroot.stock.standing import standings
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


@pytest.fixture
def charge(house: House) -> tuple[Terminal, list[str], str]:
    """The treater at the cylinder, two packs, and a tank with solution."""
    packs = [lay(house, product, 100, "lumber_yard") for product in ("lumber_2x4x12", "lumber_4x4x8")]
    lay(house, "solution_ca", 20_000_000, "tank_1", kind="vessel", mass=20_000_000)
    return at(house, "treating", "treater"), packs, house.thing("vessel", "tank_1")


def test_packs_come_out_by_their_tags_and_are_held(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, packs, tank = charge
    for pack in packs:
        ok(treat.scan(pack))
        assert treat.last["next"] == "Scan the next pack, or the solution"
    ok(treat.scan(tank))
    assert treat.last["next"] == "Scan the tag of each pack that comes out; NEXT for what drained back"
    for pack in packs:
        ok(treat.scan(pack))
    made = [house.ask(find_lot, one.lot) for one in run_at(house, "treating").outputs]
    assert [row.product for row in made] == ["treated_2x4x12", "treated_4x4x8"]
    assert all(house.ask(held_by, row.number) for row in made)
    ok(treat.scan("NEXT"))
    assert treat.last["next"] == "Drained back: type the volume in l"
    ok(treat.scan("18500"))
    ok(treat.scan("DONE"))


def test_a_charge_is_not_for_the_product_of_the_charge_before(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, packs, tank = charge
    before = {"product": "treated_2x6x16"}
    house.post(LoadInput(packs[0], **before), "treater", station=house.thing("station", "treating"))
    for text in (tank, packs[0], "NEXT", "19500", "DONE", packs[1]):
        ok(treat.scan(text))
    run = run_at(house, "treating").row
    assert run.product == "", "its use category would stand on the charge's label and judge its checks"


def test_all_packs_of_a_tram_go_in_by_one_scan(house: House, charge: tuple[Terminal, list[str], str]) -> None:
    treat, packs, tank = charge
    tram = str(house.ask(find_carrier, "tram_1").number)
    put = at(house, "treating", "treater").on("packing")
    for text in (tram, *packs):
        ok(put.scan(text))
    assert "on Tram 1, 2 now" in put.last["say"]
    assert "Tram 1 is done" in ok(put.scan("DONE"))["say"]
    assert "Tram 1: 2 packs are on" in ok(treat.scan(tram))["say"]
    assert {one.lot for one in run_at(house, "treating").inputs} == set(packs)
    for text in (tank, *packs):
        ok(treat.scan(text))
    assert treat.last["next"] == "Every pack is out: scan DONE"


def test_a_held_pack_on_a_tram_is_named_before_anything_is_loaded(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, packs, _ = charge
    tram = str(house.ask(find_carrier, "tram_1").number)
    for pack in packs:
        house.post(PutOn(tram, pack), "treater")
    house.post(PlaceHold("wet", packs[1]), "qa")
    assert shown(packs[1]) in treat.scan(tram)["say"]
    assert not house.ask(open_runs_at, house.thing("station", "treating"))


def test_a_pack_whose_label_is_read_twice_while_loading_has_not_been_treated(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, packs, _ = charge
    ok(treat.scan(packs[0]))
    again = treat.scan(packs[0])
    assert again["verdict"] == "already"
    assert "Scan the next pack, or the solution" in again["detail"]
    assert not run_at(house, "treating").outputs


def test_a_tag_or_tram_read_again_changes_nothing_and_says_what_came_of_it(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, packs, tank = charge
    tram = str(house.ask(find_carrier, "tram_1").number)
    for pack in packs:
        house.post(PutOn(tram, pack), "treater")
    ok(treat.scan(tram))
    again = treat.scan(tram)
    assert (again["verdict"], "loaded already, 2 in all" in again["say"]) == ("already", True)
    ok(treat.scan(tank))
    ok(treat.scan(packs[0]))
    made = run_at(house, "treating").outputs[0].lot
    again = treat.scan(packs[0])
    assert again["verdict"] == "already", "it must not sound as if the pack were lost"
    assert again["say"].endswith(f"it is {shown(made)} now.")
    assert treat.scan(made)["verdict"] == "already", "its new label, scanned on the goods"
    assert len(run_at(house, "treating").outputs) == 1


def test_a_pack_that_does_not_go_in_is_not_sent_to_a_payoff_the_cylinder_has_not(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, _, _ = charge
    treated = lay(house, "treated_2x4x12", 294, "treated_yard")
    assert treat.scan(treated)["detail"].endswith("Scan the right lot.")


def test_done_with_a_pack_still_in_names_it_and_says_what_is_to_be_checked_after(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, packs, tank = charge
    for text in (*packs, tank, packs[0], "NEXT", "18500"):
        ok(treat.scan(text))
    asked = treat.send(treat.body("DONE")).get_json()
    assert asked["question"]["text"].startswith(f"{shown(packs[1])} has not come out by tag.")
    assert "Not treated" in asked["question"]["choices"][0]["label"]
    treat.answer("DONE", "off")
    assert "To be checked: moisture of wood, free of drip" in treat.last["detail"]


def test_what_drained_back_is_put_into_its_tank_from_the_station_and_the_packs_follow(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    treat, packs, tank = charge
    for text in (*packs, tank, "NEXT", "18500"):
        ok(treat.scan(text))
    assert treat.last["next"] == "Scan the tank it drained into, or each pack that comes out"
    ok(treat.scan(tank))
    (drained,) = run_at(house, "treating").outputs
    assert [row.spot for row in house.ask(standings, drained.lot)] == [tank]
    for pack in packs:
        ok(treat.scan(pack))
    ok(treat.scan("DONE"))


def test_less_drained_back_than_the_wood_leaves_over_is_asked_about_once_and_recorded(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    """100 of 2x4x12 and of 4x4x8 are 3.17 m3 of wood: it cannot hold 19 380 l."""
    treat, packs, tank = charge
    for text in (*packs, tank, "NEXT"):
        ok(treat.scan(text))
    asked = treat.send(treat.body("620")).get_json()
    assert plain(asked["question"]["text"]).startswith("620 l drained back, 19 380 l did not: more than 3.1")
    assert not run_at(house, "treating").outputs
    treat.answer("620", "yes")
    assert "in question" in treat.last["detail"]
    assert [one.own for one in run_at(house, "treating").outputs] == [620_000]


def test_a_charge_that_ends_with_nothing_drained_back_is_asked_about(
    house: House, charge: tuple[Terminal, list[str], str]
) -> None:
    """Else the solution that stands in the tank again has no record and no label."""
    treat, packs, tank = charge
    for text in (*packs, tank, *packs):
        ok(treat.scan(text))
    asked = treat.send(treat.body("DONE")).get_json()
    assert asked["question"]["text"].endswith("Leave this and scan NEXT for what did.")
    assert run_at(house, "treating").row.closed is None
    treat.answer("DONE", "none")
    assert "in question" in treat.last["detail"]


def test_the_cautions_of_treating_stand_on_the_page_of_its_stations(house: House) -> None:
    treat = at(house, "treating", "treater")
    page = treat.client.get("/station").text
    assert "Gauge retention is not assay retention." in page
    assert "no safety system" in page
    assert "A computed mix is a proposal." in at(house, "mixing", "treater").client.get("/station").text
    assert "Gauge retention" not in at(house, "draw_1", "operator").client.get("/station").text
