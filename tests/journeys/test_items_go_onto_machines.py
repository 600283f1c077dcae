"""Is it the one bundle whose label was scanned that goes onto a machine, and does all of it close?"""

from collections.abc import Iterator
from typing import Any

import pytest
from cut_plants import curved_text
from facts_by_hand import record
from floor_work import lay
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.errors import Refused
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.goods import goods
from lotroot.holds.handling import PlaceHold
from lotroot.holds.reach import held_by
from lotroot.production.bringing_back import BringBack
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.cut_facts import Cut
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run, open_runs_at
from lotroot.stock.events import Move, Moved
from lotroot.stock.standing import standings
from lotroot.tracing.asking import asked
from lotroot.tracing.downward import down
from lotroot.voiding.handling import Undo
from shop import Shop

SHORT, LONG, MORE = (Cut(36, 2_400),), (Cut(10, 6_000),), (Cut(20, 1_000),)
PIECES = [36, 10, 20]
GRAMS = [339_120, 235_500, 78_500]
"""At 3.925 kg a metre."""
AS_IS = ('name = "Curving"\n', 'name = "Curving"\nfeed = "as_is"\n')


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    with by_hand():
        house: House = a_house(database_url, curved_text())
        yield Shop(house)
        house.database.close()


@pytest.fixture
def lot(shop: Shop) -> str:
    """A lot of three bundles of different sheets, its run closed."""
    coil = lay(shop.house, "coil_40x1250", 5_000_000, "coil_yard", mass=None)
    shop.at("roll_1", LoadInput(coil, product="sheet_cut"))
    made = [shop.at("roll_1", MakeOutput(cuts=cuts)).numbers[0] for cuts in (SHORT, LONG, MORE)]
    shop.at("roll_1", CloseRun(), answers={"left-1": "off"})
    return str(made[0])


def curve(shop: Shop, number: str, amount: int = 0) -> str:
    """Load it for curving; the run."""
    shop.at("roll_2", LoadInput(number, amount=amount, process="curving", product="sheet_cut"))
    return str(shop.house.ask(open_runs_at, shop.house.thing("station", "roll_2"))[0].number)


def curved(shop: Shop, *lists: tuple[Cut, ...]) -> str:
    """Make bundles, and close the run; their lot."""
    made = [shop.at("roll_2", MakeOutput(cuts=cuts)).numbers[0] for cuts in lists]
    answers = {f"left-{load}": "ended" for load in (1, 2)}
    shop.at("roll_2", CloseRun(), answers=answers)
    return str(made[0])


def loads(shop: Shop, run: str) -> list[tuple[int, int, int, int]]:
    return [(one.own, one.amount, one.first, one.last) for one in shop.house.ask(find_run, run).inputs]


def held(shop: Shop, lot: str) -> list[str]:
    return [one.reason for one in shop.house.ask(held_by, lot)]


def links(shop: Shop, lot: str) -> list[tuple[Any, ...]]:
    rows = shop.house.ask(links_of, shop.house.ask(find_lot, lot).id)
    return [(one.taken, one.given, one.parent_from, one.parent_to) for one in rows]


def down_of(shop: Shop, number: str) -> set[str]:
    """The lots that are made of what a number means."""
    with shop.house.reading() as connection:
        return {one.lot.number for one in down(connection, asked(connection, number)).lots}


def test_one_bundle_scanned_is_loaded_alone_and_the_others_stand(shop: Shop, lot: str) -> None:
    run = curve(shop, shop.item(lot, 2))
    assert loads(shop, run) == [(10, GRAMS[1], 2, 2)]
    assert shop.stands(lot) == [(0, 0, 10), (1, 1, 36), (3, 3, 20)]
    child = curved(shop, LONG)
    assert links(shop, child) == [(10, GRAMS[1], 2, 2)]
    assert shop.stands(lot) == [(1, 1, 36), (3, 3, 20)]
    shop.closes()


def test_a_hold_on_one_bundle_reaches_only_what_was_made_of_it(shop: Shop, lot: str) -> None:
    made = []
    for serial, cuts in ((2, LONG), (1, SHORT)):
        curve(shop, shop.item(lot, serial))
        made.append(curved(shop, cuts))
    shop.at("roll_1", PlaceHold("scratched", lot, 2, 2), "qa")
    assert [held(shop, one) for one in made] == [["scratched"], []]
    below = down_of(shop, shop.item(lot, 1))
    assert made[1] in below
    assert made[0] not in below
    shop.closes()


def test_a_hold_on_one_bundle_stops_it_and_not_the_next(shop: Shop, lot: str) -> None:
    shop.at("roll_1", PlaceHold("scratched", lot, 2, 2), "qa")
    with pytest.raises(Refused, match="on hold"):
        curve(shop, shop.item(lot, 2))
    with pytest.raises(Refused, match="on hold"):
        curve(shop, lot)
    assert loads(shop, curve(shop, shop.item(lot, 3))) == [(20, GRAMS[2], 3, 3)]


def test_two_lists_of_one_bundle_both_name_it(shop: Shop, lot: str) -> None:
    curve(shop, shop.item(lot, 1))
    curved(shop, (Cut(20, 2_400),), (Cut(16, 2_400),))
    shop.closes()


def test_a_bundle_is_loaded_once(shop: Shop, lot: str) -> None:
    curve(shop, shop.item(lot, 1))
    with pytest.raises(Refused, match="is loaded already") as refused:
        curve(shop, shop.item(lot, 1))
    assert refused.value.value == shop.item(lot, 1)
    shop.asked(
        LoadInput(shop.item(lot, 2), process="curving", product="sheet_cut"), "ended", station="roll_2"
    )
    curved(shop, LONG)
    with pytest.raises(Refused, match="it was used up"):
        curve(shop, shop.item(lot, 1))
    shop.closes()


def test_pieces_of_a_lot_by_its_number_close_and_name_no_bundle(shop: Shop, lot: str) -> None:
    assert loads(shop, curve(shop, lot, 40)) == [(40, GRAMS[0] + GRAMS[1] * 4 // 10, 0, 0)]
    assert shop.stands(lot) == [(0, 0, 40), (2, 2, 6), (3, 3, 20)]
    child = curved(shop, (Cut(40, 2_000),))
    assert [one[2:] for one in links(shop, child)] == [(None, None)]
    assert shop.stands(lot) == [(2, 2, 6), (3, 3, 20)]
    shop.closes()


def test_a_bundle_loaded_in_two_parts_gives_all_it_weighs(shop: Shop, lot: str) -> None:
    first = curve(shop, shop.item(lot, 2), 3)
    one = curved(shop, (Cut(3, 6_000),))
    assert shop.stands(lot) == [(1, 1, 36), (2, 2, 7), (3, 3, 20)]
    second = curve(shop, shop.item(lot, 2))
    two = curved(shop, (Cut(7, 6_000),))
    (a,), (b,) = loads(shop, first), loads(shop, second)
    assert (a[0] + b[0], a[1] + b[1]) == (10, GRAMS[1])
    assert [links(shop, child)[0][2:] for child in (one, two)] == [(2, 2), (2, 2)]
    shop.closes()


def test_more_than_a_bundle_holds_is_asked_about_and_closes(shop: Shop, lot: str) -> None:
    command = LoadInput(shop.item(lot, 2), amount=12, process="curving", product="sheet_cut")
    shop.asked(command, "yes", station="roll_2")
    curved(shop, (Cut(10, 6_000),))
    assert shop.stands(lot)[0] == (1, 1, 36)
    shop.closes()


def test_what_is_left_of_a_lot_after_some_came_back_is_loaded(shop: Shop, lot: str) -> None:
    shop.at("packing", BringBack(shop.item(lot, 1), "torn"))
    run = curve(shop, lot)
    assert loads(shop, run) == [(30, GRAMS[1] + GRAMS[2], 0, 0)]
    curved(shop, LONG, MORE)
    shop.closes()


def test_what_is_left_of_a_bundle_comes_back(shop: Shop, lot: str) -> None:
    curve(shop, shop.item(lot, 2), 3)
    curved(shop, (Cut(3, 6_000),))
    back = shop.at("packing", BringBack(shop.item(lot, 2), "torn")).numbers[0]
    assert shop.house.ask(find_lot, back).amount == GRAMS[1] - GRAMS[1] * 3 // 10
    shop.closes()


@pytest.mark.parametrize("amount", [0, 4])
def test_undo_puts_the_bundle_back_as_it_stood(shop: Shop, lot: str, amount: int) -> None:
    before = shop.stands(lot)
    curve(shop, shop.item(lot, 2), amount)
    shop.at("roll_2", Undo())
    assert shop.stands(lot) == before
    assert shop.house.ask(goods, shop.item(lot, 2))[0].amount == 10
    shop.closes()


def test_another_bundle_was_on_the_machine(shop: Shop, lot: str) -> None:
    coil = lay(shop.house, "coil_40x1250", 5_000_000, "coil_yard", mass=None)
    shop.at("roll_1", LoadInput(coil, product="sheet_cut"))
    other = shop.at("roll_1", MakeOutput(cuts=LONG)).numbers[0]
    shop.at("roll_1", MakeOutput(cuts=SHORT))
    shop.at("roll_1", CloseRun(), answers={"left-1": "off"})
    run = curve(shop, shop.item(lot, 2))
    child = curved(shop, LONG)
    shop.house.post(CorrectInput(run, 1, shop.item(other, 1)), "supervisor")
    assert loads(shop, run) == [(10, GRAMS[1], 1, 1)]
    assert links(shop, child)[-1] == (10, GRAMS[1], 1, 1)
    assert shop.stands(other) == [(2, 2, 36)]
    shop.closes()


def test_what_is_taken_off_again_closes(shop: Shop, lot: str) -> None:
    run = curve(shop, shop.item(lot, 1))
    shop.at("roll_2", MakeOutput(cuts=(Cut(20, 2_400),)))
    shop.at("roll_2", UnloadInput(lot, run))
    shop.at("roll_2", CloseRun())
    assert sum(amount for *_, amount in shop.stands(lot)) == sum(PIECES) - 20
    shop.closes()


def test_part_of_a_lot_does_not_go_where_it_comes_off_as_it_went_on(database_url: str) -> None:
    with by_hand():
        house: House = a_house(database_url, curved_text().replace(*AS_IS, 1))
        shop = Shop(house)
        coil = lay(house, "coil_40x1250", 5_000_000, "coil_yard", mass=None)
        shop.at("roll_1", LoadInput(coil, product="sheet_cut"))
        shop.at("roll_1", MakeOutput(cuts=SHORT))
        lot = shop.at("roll_1", MakeOutput(cuts=LONG)).numbers[0]
        with pytest.raises(Refused, match="Curving takes a lot as a whole") as refused:
            curve(shop, shop.item(lot, 1))
        assert refused.value.expected == "All that is here of it, 46\u202fpcs."
        assert loads(shop, curve(shop, lot)) == [(46, GRAMS[0] + GRAMS[1], 0, 0)]
        house.database.close()


def test_pieces_of_a_bundle_that_an_old_ledger_loaded_stay_accounted_for(shop: Shop, lot: str) -> None:
    place, run = shop.place("sheet_floor"), "U2600000968"
    with shop.house.database.writing() as connection:
        record(connection, Moved((Move(lot, place, run, 4, 2, 2),)))
    stands = shop.house.ask(standings, lot)
    assert {(one.first, one.spot, one.amount) for one in stands if one.first in (0, 2)} == {
        (0, place, 6),
        (0, run, 4),
    }
