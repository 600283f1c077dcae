"""Does a run's page say what its boxes hold against their nominal, where they were weighed one by one?"""

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import plants
import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import a_house
from lotroot.errors import LotrootError
from lotroot.production.making import MakeOutput
from lotroot.production.runs import find_run
from lotroot.stock.standing import weights
from lotroot.tracing.give_away import Weighed, weighed
from lotroot.tracing.run_facts import run_in_full
from lotroot.tracing.words import Words
from offices import an_office_house, office
from shop import Shop

LIMIT = (Decimal(250),)


@pytest.fixture
def either(database_url: str) -> Iterator[Shop]:
    """On SQLite and on PostgreSQL."""
    house = a_house(database_url)
    yield Shop(house)
    house.database.close()


def told(shop: Shop, run: str) -> str:
    """What the page of a run says of items weighed one by one; empty where it says nothing."""
    with shop.house.reading() as connection:
        return plain(run_in_full(connection, find_run(connection, run), Words(connection)).weighed)


@pytest.mark.parametrize(
    ("net", "expected", "over"),
    [
        ([25_000], Weighed(1, 25_000, 25_000, 25_000, 25_000, 0, LIMIT), 0),
        ([25_110, 24_980, 25_050], Weighed(3, 75_140, 25_000, 24_980, 25_110, 0, LIMIT), 140),
        ([24_750, 25_000], Weighed(2, 49_750, 25_000, 24_750, 25_000, 0, LIMIT), -250),  # just tolerable
        ([24_749, 25_400], Weighed(2, 50_149, 25_000, 24_749, 25_400, 1, LIMIT), 149),
    ],
)
def test_what_items_come_to_against_their_nominal(net: list[int], expected: Weighed, over: int) -> None:
    found = weighed([(one, Decimal(250)) for one in net], 25_000)
    assert (found, found.over) == (expected, over)


def test_the_page_of_a_run_says_what_was_given_away(either: Shop) -> None:
    either.in_the_hopper()
    run = either.at("packing", MakeOutput(weights=(25_010, 25_110))).numbers[1]
    assert told(either, run) == (
        "2 weighed, 50.12 kg net, nominal 50 kg: 0.12 kg given away (0.24 %), "
        "lightest 25.01 kg, heaviest 25.11 kg"
    )
    either.at("packing", MakeOutput(count=3))  # counted only: they tell nothing
    either.at("packing", MakeOutput(weights=(24_700,)))
    assert told(either, run) == (
        "3 weighed, 74.82 kg net, nominal 75 kg: 0.18 kg too little (0.24 %), "
        "lightest 24.7 kg, heaviest 25.11 kg, 1 too light by more than the tolerable 0.25 kg"
    )


def test_where_none_was_weighed_the_page_says_nothing(either: Shop) -> None:
    either.in_the_hopper()
    run = either.at("packing", MakeOutput(count=2)).numbers[1]
    assert told(either, run) == ""


CARTON = "tare_g = 460\n"


def carton(weighs: str) -> str:
    """The plant's text where every carton weighs otherwise, or nobody knows what."""
    return plants.demo_text().replace(CARTON, f"{weighs}\n")


def test_a_box_on_the_scale_with_its_carton_keeps_gross_and_tare(database_url: str) -> None:
    house = a_house(database_url, carton("tare_g = 450"))
    shop = Shop(house)
    shop.in_the_hopper()
    answer = shop.at("packing", MakeOutput(gross=25_560))
    assert plain(answer.say).endswith("25.11 kg (25.56 kg gross less 0.45 kg).")
    lot, run = answer.numbers
    (made,) = house.ask(find_run, run).outputs
    assert (made.own, made.gross, made.tare, made.basis) == (25_110, 25_560, 450, "weighed")
    assert house.ask(weights, lot, 1, 1) == {1: 25_110}
    shop.closes()
    house.database.close()


@pytest.mark.parametrize(
    ("tare", "made", "said"),
    [
        ("", MakeOutput(gross=25_560), "Nobody knows what Nails 2.5 x 50, box of 25 kg is packed in weighs"),
        ("450", MakeOutput(gross=450), "0.45 kg gross leaves nothing: empty it weighs 0.45 kg."),
        ("450", MakeOutput(gross=51_000, count=2), "Box: a gross weight is of one alone."),
        ("450", MakeOutput(gross=25_500, weights=(25_000,)), "Box: a gross weight is of one alone."),
    ],
)
def test_a_gross_weight_that_tells_no_net_is_refused(
    tmp_path: Path, tare: str, made: MakeOutput, said: str
) -> None:
    shop = Shop(a_house(tmp_path, carton(f"tare_g = {tare}" if tare else "")))
    shop.in_the_hopper()
    with pytest.raises(LotrootError) as refused:
        shop.at("packing", made)
    assert plain(refused.value.what).startswith(said)


ROLL = "item_amount = 23620\n"
BARBS = 'name = "Barbed wire machine"'


def test_a_station_that_reads_gross_takes_the_packing_of_each_item_off(tmp_path: Path) -> None:
    text = (
        plants.demo_text().replace(ROLL, f"{ROLL}tare_g = 300\n").replace(BARBS, f'{BARBS}\nreads = "gross"')
    )
    house = a_house(tmp_path, text)
    barb = at(house, "barb_1")
    with by_hand():
        coils = [
            lay(house, "galv_25", 800_000),
            lay(house, "galv_25", 800_000),
            lay(house, "galv_20", 500_000),
        ]
    for payoff, coil in zip(("L1", "L2", "B1"), coils, strict=True):
        ok(barb.scan(house.thing("payoff", payoff, "barb_1")))
        ok(barb.scan(coil))
    assert barb.last["next"] == "Weigh the roll: type kg gross"
    ok(barb.scan("23.9"))
    ok(barb.scan("23.7 net"))
    made = run_at(house, "barb_1").outputs
    assert [(one.own, one.gross, one.tare) for one in made] == [(23_600, 23_900, 300), (23_700, 0, 0)]
    assert house.ask(weights, made[0].lot, 1, 2) == {1: 23_600, 2: 23_700}


def test_the_page_of_a_packing_run_shows_it(tmp_path: Path) -> None:
    house = an_office_house(tmp_path)
    shop = Shop(house)
    shop.in_the_hopper()
    run = shop.at("packing", MakeOutput(weights=(25_010, 25_110))).numbers[1]
    page = plain(office(house, "qa").client.get(f"/lots/{run}").text)
    assert "Weighed one by one" in page
    assert "0.12 kg given away (0.24 %)" in page
