"""Does a pallet get one SSCC for good where the plant has a company prefix, and does a scan of it find it?"""

from pathlib import Path

import pytest
from backups import bring_back, reopened
from houses import House, a_house
from licensed import GTIN, PREFIX, boxed, licensed, pallet_of
from lotroot.archive import backup
from lotroot.genealogy.lots import find_lot
from lotroot.genealogy.tables import lot as lot_table
from lotroot.identity import gs1
from lotroot.ledger.numbering import lift, take
from lotroot.moving.pallets import ClosePallet, OpenPallet, TakeOff
from lotroot.moving.units import sscc_of
from lotroot.questions import open_questions
from lotroot.stock.carriers import find_carrier
from lotroot.stock.standing import at_spot
from lotroot.tracing.meaning import meant
from lotroot.voiding.handling import Undo
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path, licensed())


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def test_a_closed_pallet_has_an_sscc_of_our_prefix_and_every_pallet_another(house: House, shop: Shop) -> None:
    lot = boxed(shop)
    numbers = [house.ask(sscc_of, pallet_of(shop, lot, serial, serial)) for serial in (1, 2, 3)]
    assert all(gs1.is_sscc(number) and number.startswith(f"3{PREFIX}") for number in numbers)
    assert len(set(numbers)) == 3
    open_one = shop.at("packing", OpenPallet()).numbers[0]
    assert house.ask(sscc_of, open_one) == "", "what may still grow is no unit yet"
    assert house.status() == house.rebuilt()


def test_a_plant_without_a_prefix_gives_none(tmp_path: Path) -> None:
    house = a_house(tmp_path)
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop), 1, 2)
    assert house.ask(sscc_of, pallet) == ""
    assert house.ask(find_carrier, pallet).state == "closed"


def test_a_pallet_opened_and_closed_again_keeps_its_sscc_also_after_undo(house: House, shop: Shop) -> None:
    lot = boxed(shop)
    pallet = pallet_of(shop, lot, 1, 3)
    first = house.ask(sscc_of, pallet)
    shop.at("packing", TakeOff(shop.item(lot, 3)))
    shop.at("packing", ClosePallet(pallet))
    assert house.ask(sscc_of, pallet) == first
    shop.at("packing", Undo())
    assert house.ask(find_carrier, pallet).state == "open"
    assert house.ask(sscc_of, pallet) == first, "it is on a label already"
    assert house.status() == house.rebuilt()


@pytest.mark.parametrize(
    "sent",
    ["]C100{}", "(00){}", "{}", "00{}", "]d200{}", "https://labels.example.org/00/{}"],
)
def test_a_scanned_sscc_finds_its_pallet(house: House, shop: Shop, sent: str) -> None:
    pallet = pallet_of(shop, boxed(shop), 1, 2)
    text = sent.format(house.ask(sscc_of, pallet))
    assert house.ask(meant, text) == pallet
    terminal = Terminal(house).at("dispatch").on("find")
    terminal.badge("dispatcher")
    assert terminal.scan(text)["goto"] == f"/lots/{pallet}"


@pytest.mark.parametrize(
    "sent", ["(01){gtin}(10){lot}", "]C101{gtin}10{lot}", "]d201{gtin}10{lot}\x1d2117", "(91){lot}"]
)
def test_a_scanned_gtin_and_lot_find_the_lot(house: House, shop: Shop, sent: str) -> None:
    lot = boxed(shop)
    assert house.ask(find_lot, lot).product == "box_25x50"
    assert house.ask(meant, sent.format(gtin=GTIN, lot=lot)) == lot


def test_a_serial_beside_the_lot_finds_the_item(house: House, shop: Shop) -> None:
    lot = boxed(shop)
    assert house.ask(meant, f"(01){GTIN}(10){lot}(21)4") == shop.item(lot, 4)


def test_a_box_is_put_on_a_pallet_by_its_gs1_symbol(house: House, shop: Shop) -> None:
    lot = boxed(shop)
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    terminal = Terminal(house).at("packing").on("packing")
    terminal.badge("operator")
    terminal.context = {"carrier": pallet}
    answer = terminal.scan(f"]d201{GTIN}10{lot}\x1d214")
    assert answer["verdict"] == "accepted", answer
    assert [(row.lot, row.first) for row in house.ask(at_spot, pallet)] == [(lot, 4)]


def test_a_symbol_that_contradicts_itself_is_refused_on_every_page(house: House, shop: Shop) -> None:
    shop.in_the_hopper(1_000_000)
    other = house.rows(lot_table)[0]["number"]
    assert house.ask(find_lot, other).product != "box_25x50"
    terminal = Terminal(house).at("dispatch").on("find")
    terminal.badge("operator")
    answer = terminal.scan(f"(01){GTIN}(10){other}")
    assert answer["verdict"] == "refused"
    assert "contradicts itself" in answer["say"]


def test_an_sscc_of_somebody_else_is_left_to_the_page(house: House) -> None:
    terminal = Terminal(house).at("dispatch").on("find")
    terminal.badge("dispatcher")
    assert terminal.scan("(00)106141412345678908")["goto"].startswith("/find?q=")


def test_the_search_form_takes_a_gs1_text(house: House, shop: Shop) -> None:
    pallet = pallet_of(shop, boxed(shop), 1, 2)
    sscc = house.ask(sscc_of, pallet)
    desk = Terminal(house).at("dispatch")
    for typed in (f"(00){sscc}", sscc, f"(00) {sscc}"):
        assert desk.client.get("/find", query_string={"q": typed}).location == f"/lots/{pallet}"


def test_no_sscc_is_given_twice_though_yesterdays_backup_is_restored(
    house: House, shop: Shop, tmp_path: Path
) -> None:
    lot = boxed(shop)
    first = house.ask(sscc_of, pallet_of(shop, lot, 1, 1))
    backup(house.database, tmp_path / "monday.zip", house.clock)
    lost = house.ask(sscc_of, pallet_of(shop, lot, 2, 2))
    (tmp_path / "elsewhere").mkdir()
    url = f"sqlite:///{tmp_path / 'elsewhere' / 'house.db'}"
    bring_back(url, tmp_path / "monday.zip", house.clock)
    back = reopened(url, house)
    assert back.ask(meant, f"(00){first}")
    after = back.ask(sscc_of, pallet_of(Shop(back), lot, 2, 2))
    back.database.close()
    assert len({first, lost, after}) == 3


def test_a_full_series_goes_on_under_the_next_digit_and_then_says_so(tmp_path: Path) -> None:
    """Twelve digits of prefix leave four for the pallets: 9,999 under each extension digit."""
    house = a_house(tmp_path, licensed(prefix="952123400000", extension=8))
    shop = Shop(house)
    lot = boxed(shop)
    pallets = []
    for serial, level in ((1, 9_998), (2, 0), (3, 19_998)):
        with house.database.writing() as connection:
            take(connection, "P", 2026)
            lift(connection, {("P", 2026): level})
        pallets.append(pallet_of(shop, lot, serial, serial))
    numbers = [house.ask(sscc_of, pallet) for pallet in pallets]
    assert numbers[0].startswith("89521234000009999")
    assert numbers[1].startswith("9952123400000")
    assert numbers[2] == ""
    assert house.ask(find_carrier, pallets[2]).state == "closed", "what stands there is never refused"
    assert any("no SSCC" in row.reason for row in house.ask(open_questions))


def test_last_years_pallets_count_so_that_no_number_comes_back(house: House, shop: Shop) -> None:
    lot = boxed(shop)
    first = house.ask(sscc_of, pallet_of(shop, lot, 1, 1))
    house.clock.forward(days=70)
    second = house.ask(sscc_of, pallet_of(shop, lot, 2, 2))
    assert int(second[8:17]) > int(first[8:17])
