"""Can somebody in the yard count a place by scan alone, and a supervisor settle what was found at a desk?"""

import re
from pathlib import Path

import pytest
from floor_work import ok, plain
from houses import House
from lotroot.counting.counts import differences_of, latest_counts, open_count_at, seen_in
from lotroot.holds.handling import PlaceHold
from lotroot.identity.showing import shown
from lotroot.moving.pallets import OpenPallet, PutOn
from lotroot.moving.places import MoveGoods
from lotroot.production.loading import EndInput, LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.receiving.commands import ReceiveLot
from lotroot.stock.standing import standings
from offices import an_office_house, office, sent
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def yard(house: House, who: str = "receiver", station: str = "receiving") -> Terminal:
    terminal = Terminal(house).at(station).on("count")
    terminal.badge(who)
    return terminal


def scanned(house: House, terminal: Terminal, *texts: str) -> None:
    """Scan texts a minute apart; each must be accepted."""
    for text in texts:
        house.clock.forward(minutes=1)
        ok(terminal.scan(text))


def part(terminal: Terminal) -> str:
    return plain(str(terminal.last["fragments"]["count-progress"]))


def count_at(house: House, place: str) -> int:
    return int(house.ask(open_count_at, place).id)


def test_a_yard_is_counted_by_scan_alone(house: House, shop: Shop) -> None:
    coils = [shop.coil(amount=amount) for amount in (900_000, 2_000_000, 1_500_000)]
    terminal, place = yard(house), shop.place("coil_yard")
    scanned(house, terminal, place)
    assert terminal.last["next"] == "Coil yard: 0 of 3 seen. Scan what stands here; DONE finishes"
    listed = [shown(coil) for coil in coils]
    assert re.findall(r"C26-\d{6}-\d\d", part(terminal)) == [listed[1], listed[2], listed[0]], "largest first"
    scanned(house, terminal, coils[1])
    assert terminal.last["next"].startswith("1 of 3 seen. Scan the next, or type what")
    assert listed[1] not in part(terminal)
    count = count_at(house, place)
    scanned(house, terminal, "1990", coils[0])
    assert [row.weighed for row in house.ask(seen_in, count)] == [0, 1_990_000, 0]
    house.clock.forward(minutes=1)
    assert terminal.scan("DONE")["verdict"] == "ask"
    assert ok(terminal.answer("DONE", "yes"))["say"].startswith("Coil yard: 2 of 3 seen, 1 missing")
    assert terminal.context == {}
    assert "No place yet" in part(terminal)


def test_two_people_at_one_place_share_its_count(house: House, shop: Shop) -> None:
    coils, place = [shop.coil(), shop.coil()], shop.place("coil_yard")
    first, second = yard(house), yard(house, "dispatcher", "dispatch")
    scanned(house, first, place, coils[0])
    scanned(house, second, place)
    assert "is being counted since" in second.last["say"]
    scanned(house, second, coils[1])
    assert "2 of 2 seen" in part(second)
    assert second.scan(coils[0])["verdict"] == "already"
    assert second.last["say"] == f"{shown(coils[0])} was seen at 06:02."


def test_the_label_of_another_place_asks_whether_the_first_is_finished(house: House, shop: Shop) -> None:
    coil, places = shop.coil(), [shop.place("coil_yard"), shop.place("rack_a")]
    terminal = yard(house)
    scanned(house, terminal, places[0])
    assert (
        plain(terminal.scan(places[1])["question"]["text"])
        == "Coil yard: 0 of 1 seen. Is this count finished?"
    )
    ok(terminal.answer(places[1], "no"))
    assert terminal.context == {"place": places[1]}
    assert count_at(house, places[0]) < count_at(house, places[1])
    ok(terminal.answer(places[0], "yes"))
    assert terminal.context == {"place": places[0]}
    assert house.ask(open_count_at, places[1]) is None
    ok(terminal.answer(places[1], "yes"))
    assert house.ask(open_count_at, places[0]) is None
    [missing] = house.ask(differences_of, house.ask(latest_counts, 9)[-1].id)
    assert (missing.kind, missing.lot) == ("missing", coil)


def test_next_leaves_a_count_open_and_a_place_takes_it_up_again(house: House, shop: Shop) -> None:
    place = shop.place("coil_yard")
    terminal = yard(house)
    scanned(house, terminal, place, "NEXT")
    assert terminal.last["say"] == "The count of Coil yard stays open. Scan the next place."
    assert 'data-scan="' + place in part(terminal), "it can be taken up by a press"
    assert terminal.scan("DONE")["verdict"] == "refused"
    scanned(house, terminal, place)
    assert "0 of 0 seen" in terminal.last["next"]


def test_a_row_and_a_pallet_and_a_pan_by_its_code(house: House, shop: Shop) -> None:
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=6)).numbers[0]
    pallet = shop.at("packing", OpenPallet(shop.place("pack_floor"))).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 1), shop.item(lot, 2)))
    terminal = yard(house)
    scanned(house, terminal, shop.place("pack_floor"))
    assert "0 of 5 seen" in part(terminal)
    assert plain(part(terminal)).count("150 kg") == 0
    scanned(house, terminal, "ROW", shop.item(lot, 3), shop.item(lot, 5), pallet, "pan 17")
    assert "4 of 5 seen" in part(terminal)
    assert terminal.scan("25")["verdict"] == "refused", (
        "a pallet of several lots, or a pan without goods, has no weight"
    )


def test_a_weight_is_of_the_lot_scanned_last_even_if_it_was_seen_before(house: House, shop: Shop) -> None:
    coils, place = [shop.coil(), shop.coil()], shop.place("coil_yard")
    terminal = yard(house)
    scanned(house, terminal, place, *coils)
    house.clock.forward(minutes=1)
    assert terminal.scan(coils[0])["verdict"] == "already"
    scanned(house, terminal, "1.95 t")
    weighed = [(row.lot, row.weighed) for row in house.ask(seen_in, count_at(house, place)) if row.weighed]
    assert weighed == [(coils[0], 1_950_000)]
    assert terminal.scan("0")["verdict"] == "refused"
    assert "Nothing is no weight" in terminal.last["say"]
    assert terminal.scan("195")["verdict"] == "ask"
    assert ok_already(terminal.answer("195", "no")) == "No weight was recorded."


def ok_already(answer: dict[str, object]) -> str:
    assert answer["verdict"] == "already", answer
    return str(answer["say"])


def test_a_suppliers_number_means_its_lot_and_a_heat_of_several_is_refused(house: House, shop: Shop) -> None:
    told = [
        ReceiveLot(
            product="rod_55", amount=1_000_000, supplier="nordhavn", supplier_number=number, heats=("H77",)
        )
        for number in ("83001", "83002")
    ]
    coils = [shop.at("receiving", one, "receiver").numbers[0] for one in told]
    terminal = yard(house)
    scanned(house, terminal, shop.place("coil_yard"), "83001")
    assert terminal.last["say"] == f"{shown(coils[0])}: seen."
    scanned(house, terminal, "S83002")
    assert "2 of 2 seen" in part(terminal)
    assert terminal.scan("H77")["verdict"] == "refused"
    assert "2 lots are known as H77" in terminal.last["say"]


def test_what_cannot_be_counted_is_told_and_the_page_stays(house: House, shop: Shop) -> None:
    coil = shop.coil()
    house.post(PlaceHold("brittle", coil), "qa")
    terminal = yard(house)
    assert terminal.scan(coil)["verdict"] == "refused"
    assert "which place is counted" in terminal.last["say"]
    place = shop.place("coil_yard")
    scanned(house, terminal, place)
    for text in (f"{coil[:9]}00", "no such thing", house.people["qa"]):
        assert terminal.scan(text)["verdict"] == "refused", text
    assert terminal.context["place"] == place
    scanned(house, terminal, coil)
    assert terminal.last["say"].endswith("seen. It is on hold: brittle.")
    assert terminal.badge("dispatcher")["verdict"] == "accepted", "a badge changes who counts"
    scanned(house, terminal, "NEXT")


def test_an_undo_takes_back_the_last_scan(house: House, shop: Shop) -> None:
    coil, place = shop.coil(), shop.place("coil_yard")
    terminal = yard(house)
    scanned(house, terminal, place, coil, "UNDO")
    assert "0 of 1 seen" in part(terminal)
    assert house.ask(seen_in, count_at(house, place)) == []


# ---- at a desk


def finished(house: House, shop: Shop) -> int:
    """A count of the coil yard with one coil missing, one too light and one from the rack."""
    coils, place = [shop.coil(), shop.coil()], shop.place("coil_yard")
    rack = shop.coil()
    terminal = yard(house)
    house.post(MoveGoods(rack, shop.place("rack_a")), "dispatcher")
    scanned(house, terminal, place, coils[1], "1800", rack)
    count = count_at(house, place)
    house.clock.forward(minutes=1)
    ok(terminal.answer("DONE", "yes"))
    return count


def test_a_supervisor_settles_each_difference_with_a_button(house: House, shop: Shop) -> None:
    count = finished(house, shop)
    desk = office(house, "supervisor")
    page = f"/counts/{count}"
    shows = plain(desk.client.get(page).text)
    for words in (
        "missing",
        "wrong place",
        "weight differs",
        "Recorded 2 000 kg, found 1 800 kg",
        "Write it off",
    ):
        assert words in shows
    morning = desk.client.get("/morning").text
    assert "1 missing, 1 wrong place, 1 weight differs" in morning
    assert f'href="{page}#field-settle-1"' in morning
    missing, elsewhere, light = house.ask(differences_of, count)
    assert "needs a reason" in sent(desk, f"{page}/1", page, choice="written_off")
    said = sent(desk, f"{page}/1", page, choice="written_off", reason="thrown_away")
    assert f"{shown(missing.lot)}: written off, Thrown away." in said
    sent(desk, f"{page}/2", page, choice="moved")
    sent(desk, f"{page}/3", page, choice="corrected")
    assert house.ask(standings, missing.lot) == []
    yard_now = shop.place("coil_yard")
    assert [(row.spot, row.amount) for row in house.ask(standings, elsewhere.lot)] == [(yard_now, 2_000_000)]
    assert [(row.spot, row.amount) for row in house.ask(standings, light.lot)] == [(yard_now, 1_800_000)]
    assert "Nothing waits" in desk.client.get(page).text
    assert "No count waits" in desk.client.get("/morning").text
    shop.closes()


def test_whoever_only_counts_sees_the_differences_without_buttons(house: House, shop: Shop) -> None:
    count = finished(house, shop)
    shows = office(house, "receiver").client.get(f"/counts/{count}").text
    assert "missing" in shows
    assert "Write it off" not in shows


def test_a_missing_lot_says_so_on_its_story(house: House, shop: Shop) -> None:
    count = finished(house, shop)
    lot = house.ask(differences_of, count)[0].lot
    story = office(house, "supervisor").client.get(f"/lots/{lot}").text
    assert "Not found when Coil yard was counted." in story
    assert f"The count of Coil yard ended, 1 of 2 seen: {shown(lot)} was not found." in story


def test_a_count_is_a_file_with_all_that_was_seen_and_found(house: House, shop: Shop) -> None:
    count = finished(house, shop)
    answer = office(house, "manager").client.get(f"/counts/{count}.csv")
    lines = answer.text.lstrip("\ufeff").splitlines()
    assert answer.mimetype == "text/csv"
    assert lines[0].startswith("state,number,first,last,carrier,product,unit,recorded,found,recorded_at")
    assert [line.split(",")[0] for line in lines[1:]] == [
        "seen", "seen", "seen", "missing", "wrong place", "weight differs",
    ]  # fmt: skip


def test_the_list_of_counts_says_what_waits(house: House, shop: Shop) -> None:
    finished(house, shop)
    scanned(house, yard(house), shop.place("rack_a"))
    shows = office(house, "manager").client.get("/counts").text
    assert "1 of 2 seen" in shows
    assert "goes on" in shows
    assert office(house, "manager").client.get("/counts/999").status_code == 404
    assert office(house, "manager").client.get("/counts/999.csv").status_code == 404


def found_again(house: House, shop: Shop) -> tuple[int, str]:
    """A count of the coil yard that found a coil of which by the record nothing is left."""
    coil = shop.coil(amount=1_000_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", MakeOutput(weight=900_000))
    shop.at("draw_1", EndInput(payoff="1"))
    shop.at("draw_1", CloseRun())
    terminal, place = yard(house), shop.place("coil_yard")
    scanned(house, terminal, place, coil)
    count = count_at(house, place)
    house.clock.forward(minutes=1)
    ok(terminal.scan("DONE"))
    return count, coil


@pytest.mark.parametrize("typed", ["0", "0.0", "-5", "NaN", "1e9", "12 ga"])
def test_what_stands_again_is_never_taken_for_another_figure_than_was_typed(
    house: House, shop: Shop, typed: str
) -> None:
    count, coil = found_again(house, shop)
    desk, page = office(house, "supervisor"), f"/counts/{count}"
    assert "Not recorded yet" in sent(desk, f"{page}/1", page, choice="brought_back", amount=typed)
    assert house.ask(standings, coil) == []


def test_what_stands_again_without_a_figure_says_how_much_that_is(house: House, shop: Shop) -> None:
    count, coil = found_again(house, shop)
    page = f"/counts/{count}"
    said = plain(sent(office(house, "supervisor"), f"{page}/1", page, choice="brought_back"))
    [row] = house.ask(standings, coil)
    assert row.amount > 0
    assert f"{row.amount / 1000:g} kg stand at Coil yard" in said


def test_a_missing_pallet_says_how_much_is_on_it(house: House, shop: Shop) -> None:
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=6)).numbers[0]
    pallet = shop.at("packing", OpenPallet(shop.place("pack_floor"))).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 1), shop.item(lot, 4)))
    terminal, place = yard(house), shop.place("pack_floor")
    scanned(house, terminal, place, shop.item(lot, 5), shop.item(lot, 6))
    count = count_at(house, place)
    house.clock.forward(minutes=1)
    ok(terminal.answer("DONE", "yes"))
    shows = plain(office(house, "supervisor").client.get(f"/counts/{count}").text)
    assert "100 kg, recorded on pallet" in shows


def test_a_weight_is_only_asked_of_what_can_be_weighed(house: House, shop: Shop) -> None:
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=6)).numbers[0]
    pallet = shop.at("packing", OpenPallet(shop.place("coil_yard"))).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 1), shop.item(lot, 2)))
    coil, terminal = shop.coil(), yard(house)
    scanned(house, terminal, shop.place("coil_yard"), coil)
    assert f"type what {shown(coil)} weighs" in terminal.last["next"]
    scanned(house, terminal, pallet)
    assert "weighs" not in terminal.last["next"]
