"""Is what went through each die since it was recut the mass of what was made, and is its change foreseen?"""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from houses import House, a_house
from lotroot.dies.handling import RecutDie
from lotroot.production.correcting_outputs import CorrectUse
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import ChangeTool, CloseRun
from lotroot.quality.handling import RecordCheck
from lotroot.tracing.wear import Wear, sets_with_dies, wear
from lotroot.voiding.handling import Undo
from query_plans import plans, read_whole
from shop import Shop


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    opened = a_house(database_url)
    yield opened
    opened.database.close()


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def begun(shop: Shop, code: str = "dies_25_a") -> None:
    """A run of 5.5 mm rod with a set of dies."""
    shop.at("draw_1", LoadInput(shop.coil(amount=20_000_000), product="wire_25", end="outer"))
    shop.at("draw_1", ChangeTool(shop.house.thing("resource", code)))


def made(shop: Shop, weight: int = 500_000, minutes: int = 10) -> str:
    shop.house.clock.forward(minutes=minutes)
    return shop.at("draw_1", MakeOutput(weight=weight)).numbers[0]


def worn(shop: Shop, code: str = "dies_25_a") -> Wear:
    found: Wear = shop.house.ask(wear, shop.house.thing("resource", code))
    return found


def masses(found: Wear) -> list[int]:
    return [die.through.mass_g for die in found.dies]


def test_all_that_was_made_went_through_every_die_and_grew_longer_on_its_way(shop: Shop) -> None:
    begun(shop)
    made(shop, 480_000)
    made(shop, 520_000)
    found = worn(shop)
    assert masses(found) == [1_000_000] * 8
    # 1 t of 2.50 mm wire at 7850 kg/m3: 1 273.24 / (7.85 x 2.5^2) m a kg, 25.951 km
    assert found.dies[-1].through.length_mm == pytest.approx(25_951_400, rel=1e-5)
    lengths = [die.through.length_mm for die in found.dies]
    assert lengths == sorted(lengths)
    assert [(run.mass_g) for run in found.runs] == [1_000_000]


def test_what_was_made_while_sets_were_changed_is_divided_by_time_and_nothing_is_lost(shop: Shop) -> None:
    begun(shop)
    made(shop, 500_000)
    shop.house.clock.forward(minutes=10)
    shop.at("draw_1", ChangeTool(shop.house.thing("resource", "dies_25_b")))
    made(shop, 400_000, minutes=10)
    first, second = worn(shop).dies[0].through.mass_g, worn(shop, "dies_25_b").dies[0].through.mass_g
    assert first + second == 900_000
    assert first == pytest.approx(700_000, abs=2_000)  # half of the second was made before the change
    every = {one.resource.code: masses(one)[0] for one in shop.house.ask(sets_with_dies)}
    rest = {"dies_38_a": 0, "dies_50_a": 0, "dies_60_a": 0}
    assert every == {"dies_25_a": first, "dies_25_b": second, **rest}


def test_a_recut_die_begins_anew_and_the_others_go_on(shop: Shop) -> None:
    begun(shop)
    made(shop)
    shop.at("draw_1", RecutDie(shop.house.thing("resource", "dies_25_a"), 8, "2.52"))
    made(shop, 300_000)
    found = worn(shop)
    assert masses(found)[:-1] == [800_000] * 7
    assert masses(found)[-1] == pytest.approx(300_000, abs=1_000)
    assert found.dies[-1].die.size_mm == "2.52"


def test_what_is_undone_or_was_another_set_went_not_through(shop: Shop) -> None:
    begun(shop)
    made(shop)
    made(shop, 400_000)
    shop.at("draw_1", Undo())
    assert masses(worn(shop)) == [500_000] * 8
    run = worn(shop).runs[0].run
    a, b = (shop.house.thing("resource", f"dies_25_{one}") for one in "ab")
    shop.at("draw_1", CorrectUse(run, was=a, thing=b), "supervisor")
    assert masses(worn(shop)) == [0] * 8
    assert masses(worn(shop, "dies_25_b")) == [500_000] * 8


def test_readings_give_the_wear_and_the_tonnes_left(shop: Shop) -> None:
    begun(shop)
    for place in range(5):
        lot = made(shop, 1_000_000)
        reading = Decimal("2.500") + Decimal("0.002") * (place + 1)
        shop.at("laboratory", RecordCheck(lot, "wire_diameter", (str(reading),)), "qa")
    found = worn(shop)
    assert [(one.size_mm, one.through_g) for one in found.readings][-1] == ("2.510", 5_000_000)
    assert found.line is not None
    assert found.line.mm_per_tonne == Decimal("0.002")
    assert found.line.at_recut_mm == Decimal("2.5")
    # 2.55 mm is reached at 25 t; five have gone through
    assert found.upper is not None
    assert (found.upper.high, found.left_g) == ("2.55", 20_000_000)


def test_too_few_readings_foresee_nothing_and_those_before_a_recut_do_not_count(shop: Shop) -> None:
    begun(shop)
    for reading in ("2.50", "2.51", "2.51", "2.52"):
        lot = made(shop)
        shop.at("laboratory", RecordCheck(lot, "wire_diameter", (reading,)), "qa")
    assert (len(worn(shop).readings), worn(shop).line, worn(shop).left_g) == (4, None, None)
    shop.at("draw_1", RecutDie(shop.house.thing("resource", "dies_25_a"), 8, "2.50", how="new"))
    assert worn(shop).readings == ()


def test_a_slip_of_the_decimal_mark_is_no_wear(shop: Shop) -> None:
    begun(shop)
    lot = made(shop)
    shop.asked(RecordCheck(lot, "wire_diameter", ("25.1",)), "record", "laboratory", who="qa")
    assert worn(shop).readings == ()


def test_sets_over_runs_and_times_add_up_to_the_outputs(shop: Shop) -> None:
    total = 0
    for code in ("dies_25_a", "dies_25_b", "dies_25_a"):
        begun(shop, code)
        for weight in (333_333, 500_001):
            made(shop, weight)
            total += weight
        shop.asked(CloseRun(), "off", "draw_1")
    found = [worn(shop, code) for code in ("dies_25_a", "dies_25_b")]
    assert sum(run.mass_g for one in found for run in one.runs) == total
    assert [len(one.runs) for one in found] == [2, 1]
    for one in found:
        assert masses(one) == [sum(run.mass_g for run in one.runs)] * 8


def test_no_table_of_goods_is_read_whole_for_it(house: House, shop: Shop) -> None:
    begun(shop)
    made(shop)
    thing = house.thing("resource", "dies_25_a")
    with house.reading() as connection:
        steps = plans(connection, lambda: wear(connection, thing))
    assert [step for step in read_whole(steps) if "thing" not in step] == []  # things are the plant's own
    assert any("ix_run_use_thing" in step for step in steps)
