"""Is it kept who typed a weight where goods come in, are put right, packed, counted or entered late?"""

import csv
import io
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.counting.commands import CountGoods, StartCount
from lotroot.counting.counts import seen_in
from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.ledger.events import revive
from lotroot.moving.tares import WeighEmpty
from lotroot.plant.adopted import current_plant
from lotroot.production.blocks import PrintBlock
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.packing import PackItems
from lotroot.production.runs import find_run
from lotroot.receiving.commands import CompleteReceipt, CorrectAmount, OpenStock, ReceiveLot
from lotroot.reconciliation.days import Days
from lotroot.reconciliation.figures import Figures, figures
from lotroot.reconciliation.who_typed import typed_by_hand
from lotroot.tracing.story import story
from lotroot.voiding.handling import Undo
from offices import an_office_house, form, office, sent
from paper_forms import catching_up, pad
from shop import Shop


@pytest.fixture
def either(database_url: str) -> Iterator[Shop]:
    """On SQLite and on PostgreSQL."""
    house = a_house(database_url)
    yield Shop(house)
    house.database.close()


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


def told(house: House, number: str) -> str:
    """What the story of a number tells, in plain figures."""
    with house.reading() as connection:
        return plain(" ".join(one.sentence for one in story(connection, number).told))


def received(shop: Shop, **more: Any) -> str:
    given = {"product": "rod_55", "supplier": "nordhavn", "heats": ("A100",), "amount": 2_000_000, **more}
    return shop.at("receiving", ReceiveLot(**given), "receiver").numbers[0]


# ---- coming in


@pytest.mark.parametrize(
    ("more", "known", "by"),
    [
        ({"typed_by": "hand"}, "weighed, typed by hand, came in", "hand"),
        ({"typed_by": "scale"}, "weighed, off the scale, came in", "scale"),
        ({}, "weighed, came in", ""),
        # theirs and a guess are no weights of ours, whoever typed them
        ({"typed_by": "hand", "how": "estimated"}, "estimated, came in", ""),
        ({"typed_by": "hand", "amount": 0, "mass_theirs": 2_000_000}, "theirs, came in", ""),
    ],
)
def test_who_typed_the_weight_of_what_came_in_is_kept(
    either: Shop, more: dict[str, Any], known: str, by: str
) -> None:
    lot = received(either, **more)
    assert either.house.ask(find_lot, lot).typed_by == by
    assert known in told(either.house, lot)
    either.closes()


def test_where_theirs_is_taken_nobody_typed_a_weight_of_ours(either: Shop) -> None:
    command = ReceiveLot(
        product="rod_55", supplier="nordhavn", heats=("A1",), amount=1_900_000, mass_theirs=2_000_000,
        typed_by="hand",
    )  # fmt: skip
    lot = either.asked(command, "theirs", "receiving", who="receiver").numbers[0]
    assert (either.house.ask(find_lot, lot).how, either.house.ask(find_lot, lot).typed_by) == ("theirs", "")


def test_opening_stock_and_details_told_later_say_it_too(either: Shop) -> None:
    stock = OpenStock(product="rod_55", amount=900_000, typed_by="scale")
    lot = either.at("receiving", stock, "receiver").numbers[0]
    assert "weighed, off the scale, was here before the system" in told(either.house, lot)
    urgent = either.at("receiving", ReceiveLot(emergency=True), "receiver").numbers[0]
    details = CompleteReceipt(
        lot=urgent, product="rod_55", supplier="nordhavn", heats=("A2",), amount=1_800_000, typed_by="hand"
    )
    either.at("receiving", details, "receiver")
    assert "is 1 800 kg, weighed, typed by hand, not 0 kg" in told(either.house, urgent)
    assert either.house.ask(find_lot, urgent).typed_by == "hand"
    either.closes()


def test_a_corrected_weight_is_of_who_typed_the_correction(either: Shop) -> None:
    lot = received(either, typed_by="scale")
    either.at("receiving", CorrectAmount(lot=lot, amount=1_990_000, why="misread", typed_by="hand"), "qa")
    assert either.house.ask(find_lot, lot).typed_by == "hand"
    assert "is 1 990 kg, weighed, typed by hand, not 2 000 kg" in told(either.house, lot)
    by_papers = CorrectAmount(lot=lot, amount=1_980_000, why="misread", how="theirs", typed_by="hand")
    either.at("receiving", by_papers, "qa")
    assert either.house.ask(find_lot, lot).typed_by == "", "their papers are no weight"
    either.closes()


def test_no_other_word_is_taken(house: House) -> None:
    shop = Shop(house)
    lot = received(shop)
    for command in (
        ReceiveLot(product="rod_55", supplier="nordhavn", heats=("A1",), amount=5_000, typed_by="nose"),
        CorrectAmount(lot=lot, amount=1_990_000, why="misread", typed_by="nose"),
    ):
        with pytest.raises(Unreadable, match="by a scale or by hand"):
            shop.at("receiving", command, "administrator")
    shop.closes()


@pytest.mark.parametrize("by", ["scale", "hand", ""])
def test_the_receiving_page_passes_on_who_typed(house: House, by: str) -> None:
    page = at(house, "receiving", "receiver").on("receiving")
    page.context = {"product": "rod_55", "supplier": "bellmead"}
    page.scan("NOT ON TAG")
    ok(page.scan("2010", typed_by=by))
    (row,) = house.status()["weight_told"]
    assert (row["typed_by"], row["station"]) == (by, house.thing("station", "receiving"))


def test_what_is_typed_into_a_form_a_hand_typed(tmp_path: Path) -> None:
    house = an_office_house(tmp_path)
    desk = office(house, "receiver")
    told = {"product": "rod_55", "supplier": "nordhavn", "heats": "A1", "amount": "1500"}
    assert form(desk, "/receiving/lot", "/receiving", **told).status_code == 303
    (row,) = house.status()["weight_told"]
    assert row["typed_by"] == "hand"
    assert "weighed, typed by hand" in desk.client.get(f"/lots/{row['lot']}").text
    page = f"/lots/{row['lot']}/correct"
    sent(office(house, "qa"), f"{page}/amount", page, amount="1490", amount_why="", amount_words="misread")
    assert [one["typed_by"] for one in house.status()["weight_told"]] == ["hand", "hand"]


def test_an_amount_of_before_was_typed_by_nobody_knows_whom() -> None:
    lot = {"number": "C2600000163", "kind": "rod", "product": "rod_55", "unit": "g", "amount": 5}
    assert revive("LotBorn", 1, {**lot, "how": "weighed", "rank": 1}).typed_by == ""
    right = {"number": "C2600000163", "amount": 5, "was": 4, "how": "weighed"}
    assert revive("AmountCorrected", 1, right).typed_by == ""
    seen = {"count": 5, "place": "T2600000163", "number": "C2600000163", "seen": []}
    assert revive("GoodsCounted", 1, seen).typed_by == ""


# ---- packing under labels printed before


@pytest.mark.parametrize("by", ["scale", "hand"])
def test_boxes_packed_under_their_labels_keep_who_typed_each_weight(either: Shop, by: str) -> None:
    either.in_the_hopper()
    lot = either.at("packing", PrintBlock(6)).numbers[0]
    packed = PackItems(
        either.item(lot, 1), either.item(lot, 3), spoiled=(2,), weights=(25_010, 25_030), typed_by=by
    )
    run = either.at("packing", packed).numbers[1]
    assert [one.typed_by for one in either.house.ask(find_run, run).outputs] == [by, by]
    either.at("packing", PackItems(either.item(lot, 4)))
    assert either.house.ask(find_run, run).outputs[-1].typed_by == "", "a count of one was no weight"
    either.closes()


def test_no_box_is_weighed_by_a_nose(either: Shop) -> None:
    either.in_the_hopper()
    lot = either.at("packing", PrintBlock(6)).numbers[0]
    with pytest.raises(Unreadable, match="by a scale or by hand"):
        either.at("packing", PackItems(either.item(lot, 1), weights=(25_000,), typed_by="nose"))


# ---- counting


def test_what_a_count_finds_keeps_who_typed_it(either: Shop) -> None:
    coil, other = either.coil(), either.coil()
    count = int(either.at("receiving", StartCount(either.place("coil_yard")), "receiver").numbers[0])
    seen = CountGoods(count, coil, amount=1_990_000, typed_by="hand")
    either.at("receiving", seen, "receiver")
    either.at("receiving", CountGoods(count, other, typed_by="hand"), "receiver")
    assert [row.typed_by for row in either.house.ask(seen_in, count)] == ["hand", ""], "seen is not weighed"
    assert "1 990 kg found, typed by hand, 2 000 kg recorded" in told(either.house, coil)
    either.closes()


def test_the_counting_page_passes_it_on_and_the_count_s_page_says_it(house: House) -> None:
    coil = Shop(house).coil()
    page = at(house, "receiving", "receiver").on("count")
    ok(page.scan(house.thing("place", "coil_yard")))
    ok(page.scan(coil))
    ok(page.scan("1990", typed_by="hand"))
    (row,) = [one for one in house.status()["stock_count_seen"] if one["weighed"]]
    assert row["typed_by"] == "hand"
    shows = plain(page.client.get(f"/counts/{row['of_count']}").text)
    assert "1 990 kg, typed by hand" in shows
    text = page.client.get(f"/counts/{row['of_count']}.csv").data.decode("utf-8-sig")
    assert [line["typed_by"] for line in csv.DictReader(io.StringIO(text)) if line["found"]] == ["hand"]


# ---- catching up: what stands on paper, a hand typed


def test_what_is_entered_from_paper_a_hand_typed(house: House) -> None:
    with by_hand():
        labels, rod = pad(house), lay(house, "rod_55", 2_000_000)
    drawing = at(house, "draw_1")
    drawing.answer(rod, "wire_25")
    ok(drawing.scan("480"))
    house.clock.forward(hours=24)
    page = catching_up(house)
    for text in (labels[0], "2 2230"):
        ok(page.scan(text))
    page.answer("SCRAP", "ends")
    ok(page.scan("12.5", typed_by="scale"))  # a burst of a key pad is no scale
    ok(page.scan("486"))
    run = run_at(house, "draw_1")
    assert [one.typed_by for one in (run.outputs[-1], run.scrap[-1])] == ["hand", "hand"]


def test_what_came_in_on_paper_a_hand_typed(house: House) -> None:
    labels = pad(house, "C", "receiving")
    house.clock.forward(hours=24)
    page = at(house, "receiving", "receiver").on("catchup")
    for text in (labels[0], "2 2230"):
        ok(page.scan(text))
    page.answer("1510", "rod_55")
    assert house.ask(find_lot, labels[0]).typed_by == "hand"


# ---- the page of figures


def weighed(shop: Shop, station: str) -> Figures:
    day = date(2026, 11, 2)
    found = shop.house.ask(figures, shop.house.ask(current_plant), Days(day, day))
    number = shop.house.thing("station", station)
    return next((one for one in found if one.station == number), Figures(number))


def test_all_weights_of_a_station_are_counted_by_who_typed_them(either: Shop) -> None:
    coil = received(either, typed_by="hand")
    received(either, typed_by="scale")
    received(either, how="estimated")  # no weight
    either.at("receiving", CorrectAmount(lot=coil, amount=1_995_000, why="misread"), "qa")
    count = int(either.at("receiving", StartCount(either.place("coil_yard")), "receiver").numbers[0])
    either.at("receiving", CountGoods(count, coil, amount=1_990_000, typed_by="hand"), "receiver")
    assert weighed(either, "receiving").weights == (4, 2, 1)
    either.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    either.at("draw_1", MakeOutput(weight=480_000, typed_by="hand"))
    either.at("draw_1", MakeOutput(weight=481_000, typed_by="scale"))
    either.at("draw_1", UnloadInput(remainder=1_019_000, how="weighed", typed_by="hand"))
    either.at("draw_1", WeighEmpty(either.pan("pan_17"), 61_000, typed_by="hand"))
    assert weighed(either, "draw_1").weights == (4, 3, 0)
    station = either.house.thing("station", "draw_1")
    day = date(2026, 11, 2)
    found = either.house.ask(typed_by_hand, either.house.ask(current_plant), Days(day, day), station)
    assert [one.what for one in found] == ["made", "left", "empty"]
    either.closes()


def test_boxes_counted_at_their_nominal_are_no_weights(either: Shop) -> None:
    either.in_the_hopper()
    either.at("packing", MakeOutput(count=4, typed_by="hand"))
    assert weighed(either, "packing").weights == (0, 0, 0)
    either.at("packing", MakeOutput(weights=(25_010,), typed_by="scale"))
    assert weighed(either, "packing").weights == (1, 0, 0)


def test_a_receipt_that_was_taken_back_is_no_weight(either: Shop) -> None:
    received(either, typed_by="hand")
    either.at("receiving", Undo(), "receiver")
    assert weighed(either, "receiving").weights == (0, 0, 0)
    either.closes()


def test_a_supervisor_opens_the_weights_typed_by_hand(tmp_path: Path) -> None:
    house = an_office_house(tmp_path)
    coil = received(Shop(house), typed_by="hand")
    client = office(house, "supervisor").client
    page = client.get("/figures").text
    (address,) = re.findall(r'href="(/figures/typed[^"]+)"', page)
    address = address.replace("&amp;", "&")
    shows = client.get(address).text
    assert "Weights typed by hand: Receiving" in shows
    assert f'href="/lots/{coil}"' in shows
    assert client.get(f"{address}&format=json").get_json()["weights"][0]["number"] == coil
    rows = list(csv.DictReader(io.StringIO(client.get("/figures?format=csv").data.decode("utf-8-sig"))))
    (mine,) = [row for row in rows if row["station"] == "Receiving"]
    assert (mine["weights"], mine["weights_by_hand"], mine["weights_unknown"]) == ("1", "1", "0")
    assert office(house, "operator").client.get(address).status_code == 403
