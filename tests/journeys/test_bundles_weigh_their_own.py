"""Does a bundle weigh what it weighed when it was made, wherever it goes alone?"""

import dataclasses
import html
import re
from collections.abc import Iterator
from typing import Any

import pytest
from cut_plants import curved_text
from floor_work import lay, plain
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.counting.commands import StartCount
from lotroot.counting.counts import open_counts
from lotroot.counting.inside import progress
from lotroot.genealogy.events import AmountCorrected, LotGrew
from lotroot.genealogy.item_masses import Some, grams_of
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.holds.handling import PlaceHold
from lotroot.holds.reach import held_by
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn
from lotroot.plant.adopted import plant_or_none
from lotroot.production.blocks import PrintBlock
from lotroot.production.bringing_back import BringBack
from lotroot.production.correcting_outputs import CorrectOutput
from lotroot.production.cut_facts import Cut
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.packing import PackItems
from lotroot.production.runs import find_run, open_runs_at
from lotroot.stock.standing import at_spot
from lotroot.tracing.asking import asked, in_grams
from lotroot.tracing.mass_days import Days
from lotroot.tracing.mass_rows import mass_facts
from lotroot.voiding.handling import Undo
from offices import office
from shop import Shop

SHORT, LONG = (Cut(36, 2_400),), (Cut(10, 6_000),)
GRAMS = [339_120, 235_500]
"""36 sheets of 2.4 m and 10 of 6 m at 3.925 kg a metre; by pieces it would be 449.7 and 124.9 kg."""


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    with by_hand():
        house: House = a_house(database_url, curved_text())
        yield Shop(house)
        house.database.close()


@pytest.fixture
def lot(shop: Shop) -> str:
    """A lot of two bundles of different sheets."""
    coil = lay(shop.house, "coil_40x1250", 5_000_000, "coil_yard", mass=None)
    shop.at("roll_1", LoadInput(coil, product="sheet_cut"))
    shop.at("roll_1", MakeOutput(cuts=SHORT))
    return shop.at("roll_1", MakeOutput(cuts=LONG)).numbers[0]


def run_of(shop: Shop, station: str = "roll_1") -> str:
    return str(shop.house.ask(open_runs_at, shop.house.thing("station", station))[0].number)


def grams(shop: Shop, lot: str, items: int = 2) -> list[int | None]:
    row = shop.house.ask(find_lot, lot)
    return [shop.house.ask(grams_of, row, Some(0, one, one)) for one in range(1, items + 1)]


def test_a_bundle_goes_into_another_run_with_its_own_mass(shop: Shop, lot: str) -> None:
    for cuts, (own, amount) in zip((SHORT, LONG), zip((36, 10), GRAMS, strict=True), strict=True):
        shop.at("roll_2", LoadInput(lot, amount=own, process="curving", product="sheet_cut"))
        (load,) = shop.house.ask(find_run, run_of(shop, "roll_2")).inputs
        assert (load.own, load.amount) == (own, amount)
        child = shop.at("roll_2", MakeOutput(cuts=cuts)).numbers[0]
        (link,) = shop.house.ask(links_of, shop.house.ask(find_lot, child).id)
        assert (link.taken, link.given) == (own, amount)
        shop.at("roll_2", CloseRun())
    shop.at("roll_1", PlaceHold("scratched", lot, 2, 2), "qa")  # nobody said which went into which
    assert [one.reason for one in shop.house.ask(held_by, child)] == ["scratched"]
    assert shop.house.status() == shop.house.rebuilt()


def test_both_bundles_loaded_weigh_what_the_lot_does(shop: Shop, lot: str) -> None:
    shop.at("roll_1", CloseRun(), answers={"left-1": "off"})
    shop.at("roll_2", LoadInput(lot, process="curving", product="sheet_cut"))
    (load,) = shop.house.ask(find_run, run_of(shop, "roll_2")).inputs
    assert (load.own, load.amount) == (46, sum(GRAMS))


def test_some_sheets_out_of_a_bundle_weigh_their_part_of_it(shop: Shop, lot: str) -> None:
    shop.at("roll_2", LoadInput(lot, amount=40, process="curving", product="sheet_cut"))
    (load,) = shop.house.ask(find_run, run_of(shop, "roll_2")).inputs
    assert (load.own, load.amount) == (40, GRAMS[0] + GRAMS[1] * 4 // 10)


def test_a_bundle_taken_apart_brings_back_its_own_mass(shop: Shop, lot: str) -> None:
    child = shop.at("packing", BringBack(shop.item(lot, 2), "torn")).numbers[0]
    assert shop.house.ask(find_lot, child).amount == GRAMS[1]


def test_a_pallet_and_its_sheet_tell_the_mass_of_what_is_on_it(shop: Shop, lot: str) -> None:
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 2)))
    shop.at("packing", ClosePallet(pallet))
    assert [row.amount for row in shop.house.ask(at_spot, pallet)] == [10]
    page = office(shop.house, "dispatcher").client.get(f"/packing?pallet={pallet}").text
    text = re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", page))
    assert "235.5 kg" in plain(html.unescape(text))


def test_the_page_of_a_bundle_tells_its_own_mass_beside_that_of_the_lot(shop: Shop, lot: str) -> None:
    page = office(shop.house, "manager").client.get(f"/lots/{shop.item(lot, 2)}").text
    text = plain(html.unescape(re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", page))))
    assert "Mass of the whole lot 574.62 kg Weighs 235.5 kg" in text


def test_a_lineage_in_grams_takes_each_bundle_as_it_weighs(shop: Shop, lot: str) -> None:
    for serial, expected in enumerate(GRAMS, 1):
        parts = shop.house.ask(asked, shop.item(lot, serial)).parts
        assert shop.house.ask(in_grams, parts) == [expected]
    assert shop.house.ask(in_grams, shop.house.ask(asked, lot).parts) == [sum(GRAMS)]


def test_what_a_count_misses_first_is_the_heaviest_bundle(shop: Shop, lot: str) -> None:
    shop.at("roll_1", MakeOutput(cuts=(Cut(40, 300),)))
    shop.at("receiving", StartCount(shop.house.thing("place", "sheet_floor")), "receiver")
    (count,) = shop.house.ask(open_counts)
    unseen = shop.house.ask(progress, count).unseen
    assert [part.first for label in unseen for part in label.parts if part.lot == lot] == [1, 2, 3]


def test_a_bundle_weighed_again_leaves_the_others_as_they_were(shop: Shop, lot: str) -> None:
    run = run_of(shop)
    first, second = shop.house.ask(find_run, run).outputs
    shop.house.post(CorrectOutput(run, first.seq, 36, mass=341_000), "supervisor")
    assert grams(shop, lot) == [341_000, GRAMS[1]]
    assert shop.house.ask(find_lot, lot).mass == 341_000 + GRAMS[1]
    shop.house.post(CorrectOutput(run, second.seq, 8), "supervisor")
    assert grams(shop, lot) == [341_000, GRAMS[1] * 8 // 10]
    assert shop.house.status() == shop.house.rebuilt()


def test_undo_of_the_last_bundle_leaves_the_mass_of_the_first(shop: Shop, lot: str) -> None:
    shop.at("roll_1", Undo())
    assert grams(shop, lot, 1) == GRAMS[:1]
    assert grams(shop, lot)[1] is None
    assert shop.house.ask(find_lot, lot).mass == GRAMS[0]
    shop.at("roll_1", MakeOutput(cuts=(Cut(1, 6_000),)))
    assert grams(shop, lot, 3) == [GRAMS[0], None, 23_550]  # 2 was given once, and is not given again
    assert shop.house.status() == shop.house.rebuilt()


def test_bundles_packed_under_printed_labels_keep_their_mass(database_url: str) -> None:
    with by_hand():
        house: House = a_house(database_url)
        shop = Shop(house)
        shop.at("roll_2", LoadInput(lay(house, "coil_40x1250", 5_000_000, "coil_yard"), product="sheet_t35"))
        lot = shop.at("roll_2", PrintBlock(6)).numbers[0]
        shop.at("roll_2", PackItems(shop.item(lot, 1), shop.item(lot, 2)))
        shop.at("roll_2", PackItems(shop.item(lot, 4), shop.item(lot, 4)))
        row = house.ask(find_lot, lot)
        found = grams(shop, lot, 4)
        assert found[2] is None
        assert sum(one or 0 for one in found) == row.mass
        shop.at("roll_2", Undo())
        assert grams(shop, lot, 4) == [*found[:2], None, None]
        assert house.status() == house.rebuilt()
        house.database.close()


@pytest.mark.parametrize(
    ("kind", "fields"), [(LotGrew, {"packed_first", "packed_last"}), (AmountCorrected, {"first", "last"})]
)
def test_events_of_an_old_ledger_read_as_before(kind: Any, fields: set[str]) -> None:
    defaults = {one.name: one.default for one in dataclasses.fields(kind)}
    assert {defaults[name] for name in fields} == {0}


def test_the_mass_of_a_day_has_on_a_pallet_what_its_bundle_weighs(shop: Shop, lot: str) -> None:
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 2)))
    shop.asked(CloseRun(), "ended", "roll_1")
    with shop.house.reading() as connection:
        [facts] = mass_facts(connection, Days("2026-11-02", "2026-11-02"), plant_or_none(connection))
    assert facts.stands == {("roofing", "pallet"): GRAMS[1], ("roofing", "stock"): GRAMS[0]}
