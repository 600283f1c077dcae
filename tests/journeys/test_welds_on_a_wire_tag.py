"""Does a wire tag say right how many welds its roll holds, and of which heats it is?"""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from houses import House, a_house
from lotroot.errors import Question
from lotroot.identity.showing import shown
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.tables import print_job
from lotroot.labelling.wording import weld_words
from lotroot.production.correcting_inputs import CorrectMark
from lotroot.production.correcting_outputs import CorrectTime
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.runs import loads_of_lot
from lotroot.work import MICROSECONDS
from shop import Shop

# Wire drawing in the invented plant: 40 kg on the blocks, 1 % of the largest load lost. With coils of a
# tonne the border is expected 40 kg behind the weld, give or take 50 kg.


@pytest.fixture
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    yield Shop(a_house(tmp_path_factory.mktemp("welds")))


def fields(house: House, number: str) -> dict[str, Any]:
    """The fields of the label queued last for a number."""
    jobs = [job for job in house.rows(print_job) if job["number"] == number]
    found: dict[str, Any] = json.loads(jobs[-1]["fields"])
    return found


def made(shop: Shop, station: str, weight: int, **more: Any) -> str:
    """What a machine made; whether so much can be is answered yes."""
    command = MakeOutput(weight=weight, **more)
    try:
        return shop.at(station, command).numbers[0]
    except Question as question:
        return shop.at(station, command, answers={question.identifier: "yes"}).numbers[0]


def welded(shop: Shop, *weights: int) -> tuple[list[str], list[str]]:
    """Two coils of a tonne; three rolls of 390 kg, the weld scanned as the third begins; then rolls of these
    weights."""
    coils = [shop.coil(amount=1_000_000, heat=heat) for heat in ("A100", "B200")]
    rolls = shop.drawn(coils[0], 390_000, 390_000)
    shop.house.clock.forward(minutes=30)
    shop.asked(LoadInput(coils[1], end="outer"), "ended", "draw_1")
    shop.house.clock.forward(minutes=30)
    return coils, [*rolls, *(made(shop, "draw_1", weight) for weight in weights)]


def test_a_roll_across_one_weld_says_so_and_names_both_heats_in_order(shop: Shop) -> None:
    coils, rolls = welded(shop, 390_000, 390_000)
    told = [fields(shop.house, roll) for roll in rolls]
    assert [one["welds"] for one in told] == ["no weld", "no weld", "1 weld", "no weld"]
    assert [one["heat"] for one in told] == ["A100", "A100", "A100 / B200", "B200"]
    assert told[2]["coil"] == " / ".join(shown(coil) for coil in coils)


def test_a_border_that_may_lie_beside_its_roll_is_told_as_possible(shop: Shop) -> None:
    """The weld is scanned half way through 195 kg and comes 40 kg later, at 235 kg, give or take 50 kg."""
    coils = [shop.coil(amount=1_000_000, heat=heat) for heat in ("A100", "B200")]
    rolls = shop.drawn(coils[0], 390_000, 390_000)
    shop.house.clock.forward(minutes=30)
    shop.asked(LoadInput(coils[1], end="outer"), "ended", "draw_1")
    shop.house.clock.forward(minutes=60)
    rolls += [made(shop, "draw_1", weight) for weight in (100_000, 300_000)]
    told = [fields(shop.house, roll) for roll in rolls]
    assert [one["welds"] for one in told[1:]] == ["no weld", "1 weld", "1 weld possible"]
    assert told[3]["heat"] == "B200, maybe A100"


@pytest.mark.parametrize(
    ("end", "expected"),
    [
        ("outer", ["1 weld", "1 weld possible", "no weld"]),
        ("inner", ["no weld", "1 weld possible", "1 weld"]),
        ("unknown", ["1 weld possible"] * 3),
    ],
)
def test_a_roll_made_of_part_of_a_roll_takes_over_the_welds_of_that_part(
    shop: Shop, end: str, expected: list[str]
) -> None:
    """Of 390 kg the weld is expected at 235 kg, give or take 50 kg, from the inside, where winding began:
    at 155 kg from the outside. Steel is 883 thousandths of what the coater makes: 176.6, 35.3 and 53.0 kg."""
    _, rolls = welded(shop, 390_000)
    shop.at("coater", LoadInput(rolls[2], payoff="W1", product="coated_25", end=end))
    coats = [made(shop, "coater", weight) for weight in (200_000, 40_000, 60_000)]
    assert [fields(shop.house, coat)["welds"] for coat in coats] == expected
    assert {fields(shop.house, coat)["heat"] for coat in coats} == {"A100 / B200"}


def test_a_tag_printed_again_says_what_is_known_by_then(shop: Shop) -> None:
    """The weld was a quarter through the second roll, at 97.5 kg, and came 40 kg later: it was told late."""
    house = shop.house
    coils = [shop.coil(amount=1_000_000, heat=heat) for heat in ("A100", "B200")]
    rolls = shop.drawn(coils[0], 390_000)
    began = house.clock.at
    house.clock.forward(minutes=60)
    rolls.append(made(shop, "draw_1", 390_000))
    shop.asked(LoadInput(coils[1], end="outer"), "ended", "draw_1")
    rolls.append(made(shop, "draw_1", 390_000))
    assert [fields(house, roll)["welds"] for roll in rolls] == ["no weld", "no weld", "1 weld"]
    run = house.ask(loads_of_lot, coils[0])[0].run
    then = began + 15 * 60 * MICROSECONDS
    house.post(CorrectTime(run, then, load=2), "supervisor")
    house.post(CorrectMark(run, 1, then, 2), "supervisor")
    for roll in rolls:
        house.post(PrintAgain(roll, "corrected"))
    assert [fields(house, roll)["welds"] for roll in rolls] == ["no weld", "1 weld", "no weld"]
    assert fields(house, rolls[1])["heat"] == "A100 / B200"


def test_what_comes_from_outside_or_is_no_wire_has_no_count_of_welds(shop: Shop) -> None:
    coils, rolls = welded(shop)
    nails = shop.nails(rolls[0], 300_000)
    assert "welds" not in fields(shop.house, coils[0])
    assert "welds" not in fields(shop.house, nails)
    assert fields(shop.house, nails)["heat"] == "A100"
    assert fields(shop.house, nails)["carrier"] == "Pan 17"


def test_behind_mixing_no_heat_is_named(shop: Shop) -> None:
    _, rolls = welded(shop)
    tumbled = shop.tumbled(shop.nails(rolls[0], 300_000), 290_000)
    told = fields(shop.house, tumbled)
    assert "heat" not in told
    assert told["carrier"] == "Pan 18"


@pytest.mark.parametrize(
    ("expected", "possible", "words"),
    [
        (0, 0, "no weld"),
        (1, 0, "1 weld"),
        (2, 0, "2 welds"),
        (0, 1, "1 weld possible"),
        (0, 2, "2 welds possible"),
        (2, 1, "2 welds and 1 possible"),
    ],
)
def test_welds_in_words(expected: int, possible: int, words: str) -> None:
    assert weld_words(expected, possible) == words
