"""Is an odd number asked about once, recorded all the same, and an ordinary one never?"""

from collections.abc import Iterator
from pathlib import Path

import plants
import pytest
from floor_work import at, lay, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.database import Database
from lotroot.errors import Question
from lotroot.production.blocks import PrintBlock
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.packing import PackItems
from lotroot.production.runs import find_run, open_runs_at
from lotroot.production.tables import run_mark
from lotroot.quality.confirming import OverrideFigure, WithdrawFigure
from lotroot.questions import open_questions, question, questions_of
from lotroot.tracing.run_facts import run_in_full
from lotroot.tracing.words import Words
from shop import Shop
from sqlalchemy import select

RATE = 'kind = "nail_lot"\nsize = "2.5 x 50"'


def reasons(house: House) -> list[str]:
    return [plain(row.reason) for row in house.ask(open_questions)]


def notes(house: House, station: str) -> list[str]:
    row = house.ask(open_runs_at, house.thing("station", station))[0]
    return [plain(mark.words) for mark in house.ask(find_run, row.number).marks if mark.kind == "note"]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(a_house(tmp_path))


@pytest.fixture
def either(database_url: str) -> Iterator[Shop]:
    """On SQLite and on PostgreSQL."""
    house = a_house(database_url)
    yield Shop(house)
    house.database.close()


@pytest.fixture
def rated(tmp_path: Path) -> Shop:
    """Where the plant says how many nails a machine makes a minute."""
    return Shop(a_house(tmp_path, plants.demo_text().replace(RATE, f"{RATE}\npieces_per_minute = 400")))


def draws(shop: Shop, counter: int | None = None, weight: int = 480_000) -> MakeOutput:
    coil = shop.coil()
    shop.at("draw_2", LoadInput(coil, product="wire_25", end="outer"))
    return MakeOutput(weight=weight, counter=counter)


# ---- length against the counter


def test_a_counter_that_says_another_length_is_asked_about_once(either: Shop) -> None:
    made = draws(either, counter=10_100)
    asked = either.question(made, "draw_2")
    assert plain(asked.what) == (
        "480 kg of Drawn wire 2.50 mm is 12.5 km; the counter says 10.1 km. Is the number right?"
    )
    assert reasons(either.house) == []
    lot = either.at("draw_2", made, answers={asked.identifier: "yes"}).numbers[0]
    (raised,) = either.house.ask(questions_of, lot)
    assert plain(raised.reason) == "480 kg of Drawn wire 2.50 mm is 12.5 km; the counter says 10.1 km."
    either.closes()


def test_an_answer_goes_for_the_value_it_was_given_for(shop: Shop) -> None:
    made = draws(shop, counter=10_100)
    answered = {shop.question(made, "draw_2").identifier: "yes"}
    with pytest.raises(Question):
        shop.at("draw_2", MakeOutput(weight=481_000, counter=10_100), answers=answered)


@pytest.mark.parametrize("counter", [12_450, 11_760, 13_240, None])
def test_a_counter_within_the_tolerance_of_wire_and_process_is_not_asked_about(
    shop: Shop, counter: int | None
) -> None:
    assert shop.at("draw_2", draws(shop, counter=counter)).verdict == "accepted"


def test_where_no_unit_of_the_counter_is_told_nothing_is_made_of_it(shop: Shop) -> None:
    shop.drawn(shop.coil())
    assert shop.at("draw_1", MakeOutput(weight=480_000, counter=3)).verdict == "accepted"


def test_the_counter_is_typed_behind_the_weight_where_a_station_has_one(tmp_path: Path) -> None:
    with by_hand():
        house = a_house(tmp_path)
        rod, draw = lay(house, "rod_55", 2_000_000), at(house, "draw_2")
        draw.answer(rod, "wire_25")
        assert draw.last["next"] == "Weigh the stripper: type kg; with the counter, 480 at 12450"
        assert draw.scan("480 at 12450")["verdict"] == "accepted"
        assert draw.answer("481 at 10100", "yes")["detail"].startswith("It is in question")
        assert [one.counter_to for one in run_at(house, "draw_2").outputs] == [12_450, 10_100]


# ---- against the others of the run


def test_a_weight_unlike_the_others_is_asked_about_with_its_length(either: Shop) -> None:
    either.drawn(either.coil(amount=6_000_000), 480_000, 482_000, 478_000)
    slip = MakeOutput(weight=48_000)
    asked = either.question(slip, "draw_1")
    assert plain(asked.what) == (
        "48 kg of Drawn wire 2.50 mm is 1.25 km; the others weighed about 480 kg. Is the number right?"
    )
    lot = either.asked(slip, "yes", "draw_1").numbers[0]
    assert len(either.house.ask(questions_of, lot)) == 1
    assert either.at("draw_1", MakeOutput(weight=470_000)).verdict == "accepted"


def test_the_short_one_at_the_end_of_a_coil_is_ordinary(shop: Shop) -> None:
    shop.drawn(shop.coil(amount=1_500_000), 480_000, 482_000, 478_000)
    assert shop.at("draw_1", MakeOutput(weight=48_000)).verdict == "accepted"


def test_more_than_is_loaded_is_the_only_question_of_its_scan(shop: Shop) -> None:
    shop.drawn(shop.coil(amount=1_500_000), 480_000, 482_000, 478_000)
    lot = shop.asked(MakeOutput(weight=4_800_000), "yes", "draw_1").numbers[0]
    assert shop.house.ask(questions_of, lot) == []
    assert reasons(shop.house) == ["More came out than was loaded."]


# ---- boxes


def packing(shop: Shop) -> None:
    shop.in_the_hopper(300_000)


def test_a_light_box_is_asked_about_and_in_question(either: Shop) -> None:
    packing(either)
    light = MakeOutput(weights=(25_100, 23_100))
    asked = either.question(light)
    assert plain(asked.what) == (
        "23.1 kg is 1.9 kg less than its 25 kg, tolerable 0.25 kg. Is the number right?"
    )
    lot = either.at("packing", light, answers={asked.identifier: "yes"}).numbers[0]
    assert len(either.house.ask(questions_of, lot)) == 1
    either.closes()


def test_a_heavy_box_is_asked_about_and_noted_in_the_run(either: Shop) -> None:
    packing(either)
    lot = either.asked(MakeOutput(weights=(27_000,)), "yes").numbers[0]
    assert either.house.ask(questions_of, lot) == []
    assert notes(either.house, "packing") == [
        "agreed to: Item 1: 27 kg is 2 kg more than its 25 kg, tolerable 0.25 kg."
    ]


@pytest.mark.parametrize("weights", [(24_500,), (25_500,), (25_020, 25_110, 24_980)])
def test_boxes_within_twice_their_deficiency_are_ordinary(shop: Shop, weights: tuple[int, ...]) -> None:
    packing(shop)
    assert shop.at("packing", MakeOutput(weights=weights)).verdict == "accepted"


ROW = "oiml_r87_td", "mass or volume | g or ml | 15000"


def test_a_deficiency_that_the_plant_overrides_is_what_boxes_are_doubted_by(either: Shop) -> None:
    packing(either)
    box = MakeOutput(weights=(24_600,))
    either.at("packing", box)
    stricter = OverrideFigure(*ROW, ("td_absolute=150",), "agreed with the customer")
    assert "is overridden: td absolute 150, rounding" in either.house.post(stricter, "manager").say
    asked = either.question(box)
    assert plain(asked.what) == (
        "24.6 kg is 0.4 kg less than its 25 kg, tolerable 0.15 kg. Is the number right?"
    )
    either.at("packing", MakeOutput(weights=(24_800,)))  # within twice that, and light
    share = OverrideFigure(*ROW, ("td_percent_of_qn=0.4",), "the other customer")
    either.house.post(share, "manager")
    assert "tolerable 0.1 kg" in plain(either.question(MakeOutput(weights=(25_201,))).what)
    either.house.post(WithdrawFigure(*ROW, "the contract ended"), "manager")
    assert either.at("packing", box).verdict == "accepted"
    run = run_at(either.house, "packing")
    with either.house.reading() as connection:
        said = plain(run_in_full(connection, run, Words(connection)).weighed)
    # each by the word of its day: 24.6 kg lacks too much before and after, 24.8 kg in between
    assert said.endswith(", 3 too light by more than the tolerable 0.15 kg or 0.25 kg")
    either.closes()


def test_boxes_under_labels_printed_before_are_looked_at_too(shop: Shop) -> None:
    packing(shop)
    lot = shop.at("packing", PrintBlock(3)).numbers[0]
    pack = PackItems(shop.item(lot, 1), shop.item(lot, 2), weights=(25_000, 20_000))
    shop.asked(pack, "yes")
    assert len(shop.house.ask(questions_of, lot)) == 1


# ---- pieces a minute, and the pan that asks itself


def test_more_nails_than_the_machine_makes_are_asked_about(rated: Shop) -> None:
    stripper = rated.drawn(rated.coil(), 480_000)[0]
    rated.at("nail_1", LoadInput(stripper, product="nail_25x50"))
    rated.house.clock.forward(minutes=60)  # 24,000 nails at 400 a minute
    assert rated.at("nail_1", MakeOutput(weight=60_000, carrier=rated.pan("pan_17"))).verdict == "accepted"
    rated.house.clock.forward(minutes=60)
    many = MakeOutput(weight=200_000, carrier=rated.pan("pan_18"))
    asked = rated.question(many, "nail_1")
    assert plain(asked.what) == (
        "103 788 pcs in 60 min; the machine makes at most 400 a minute. Is the number right?"
    )
    assert rated.at("nail_1", many, answers={asked.identifier: "yes"}).verdict == "in_question"


def test_pans_entered_in_a_bunch_after_an_hour_s_work_are_ordinary(rated: Shop) -> None:
    stripper = rated.drawn(rated.coil(), 480_000)[0]
    rated.at("nail_1", LoadInput(stripper, product="nail_25x50"))
    rated.house.clock.forward(hours=4)
    for pan in ("pan_17", "pan_18", "pan_19"):
        assert rated.at("nail_1", MakeOutput(weight=60_000, carrier=rated.pan(pan))).verdict == "accepted"


def test_a_pan_that_asks_what_is_in_it_leaves_the_doubt_unasked_but_in_question(rated: Shop) -> None:
    stripper = rated.drawn(rated.coil(), 480_000)[0]
    rated.at("nail_1", LoadInput(stripper, product="nail_25x50"))
    rated.house.clock.forward(minutes=60)
    rated.at("nail_1", MakeOutput(weight=60_000, carrier=rated.pan("pan_17")))
    many = MakeOutput(weight=300_000, carrier=rated.pan("pan_17"))
    asked = rated.question(many, "nail_1")
    assert "What is in it?" in asked.what
    lot = rated.at("nail_1", many, answers={asked.identifier: "emptied"}).numbers[0]
    assert [plain(row.reason) for row in rated.house.ask(questions_of, lot)] == [
        "155 682 pcs in 0 min; the machine makes at most 400 a minute."
    ]


def test_the_demo_s_ten_days_ask_nothing_of_the_kind(demo_database: Database) -> None:
    """Its days answer no such question, so that one would stop their building; no answer stands in them."""
    with demo_database.reading() as connection:
        said = [plain(row.reason) for row in connection.execute(select(question))]
        noted = connection.scalars(select(run_mark.c.words).where(run_mark.c.words.like("agreed to%"))).all()
    odd = ("the others weighed", "the counter says", "less than its", "a minute")
    assert said
    assert [one for one in said if any(word in one for word in odd)] == []
    assert noted == []
