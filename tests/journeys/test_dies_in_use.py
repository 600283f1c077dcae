"""Are dies that do not fit the rod or the wire asked about once a run, and is a recut die in force?"""

from collections.abc import Iterator
from pathlib import Path

import plants
import pytest
from houses import House, a_house
from lotroot.adoption import AdoptPlant
from lotroot.dies.handling import RecutDie
from lotroot.dies.sizes import dies_of
from lotroot.errors import LotrootError, NotAllowed, Question, Refused, Unreadable
from lotroot.ledger.tables import event
from lotroot.plant.adopted import current_plant
from lotroot.processes.adoption import resolve
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import ChangeTool, CloseRun
from lotroot.production.opening import OpenRun
from lotroot.questions import open_questions
from lotroot.voiding.handling import Undo
from shop import Shop


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    opened = a_house(database_url)
    yield opened
    opened.database.close()


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def sizes(house: House, code: str) -> list[str]:
    """The sizes of a set in force."""
    with house.reading() as connection:
        resource = current_plant(connection).resource(code)
        return [die.size_mm for die in dies_of(connection, resource, house.thing("resource", code))]


def asked(house: House) -> list[str]:
    return [row.reason for row in house.ask(open_questions)]


def dies(house: House, code: str) -> str:
    return house.thing("resource", code)


def test_dies_that_fit_are_asked_nothing_of(house: House, shop: Shop) -> None:
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25", end="outer"))
    said = shop.at("draw_1", ChangeTool(dies(house, "dies_25_a"))).say
    assert said == "Die set 2.50 A works from now on."
    shop.at("draw_1", MakeOutput(weight=480_000))
    assert asked(house) == []


def test_a_set_for_another_rod_is_asked_about_and_the_run_is_in_question(house: House, shop: Shop) -> None:
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25", end="outer"))
    change = ChangeTool(dies(house, "dies_38_a"))
    question = shop.question(change, "draw_1")
    assert str(question).startswith(
        "The first die, 5.72 mm, is no smaller than the rod, 5.50 mm (1 more). Run it?"
    )
    answer = shop.asked(change, "yes", "draw_1")
    assert answer.verdict == "in_question"
    assert answer.say == (
        "Die set 3.80 A works from now on. "
        "The first die, 5.72 mm, is no smaller than the rod, 5.50 mm (1 more)."
    )
    shop.at("draw_1", MakeOutput(weight=480_000))  # answered: the first output asks no more
    assert asked(house) == [
        "Die set 3.80 A: The first die, 5.72 mm, is no smaller than the rod, 5.50 mm. "
        "The last die is 3.80 mm; Drawn wire 2.50 mm is 2.45 to 2.55 mm."
    ]
    shop.closes()


def test_a_rod_put_on_later_is_held_against_the_dies_in_the_machine(house: House, shop: Shop) -> None:
    shop.at("draw_1", OpenRun("wire_drawing", "wire_25", (dies(house, "dies_25_a"),)))
    load = LoadInput(shop.coil("rod_65"), end="outer")
    assert "Draft 1, 6.50 to 4.89 mm, reduces 43.4 %; the plant allows 30 %. Run it?" in str(
        shop.question(load, "draw_1")
    )
    shop.asked(load, "yes", "draw_1")
    [reason] = asked(house)
    assert reason.startswith("Die set 2.50 A: Draft 1, 6.50 to 4.89 mm")


def test_the_next_rod_of_the_same_size_is_not_asked_about_again(house: House, shop: Shop) -> None:
    shop.at("draw_1", OpenRun("wire_drawing", "wire_25", (dies(house, "dies_25_a"),)))
    shop.asked(LoadInput(shop.coil("rod_65"), end="outer"), "yes", "draw_1")
    shop.at("draw_1", MakeOutput(weight=480_000))
    next_one = LoadInput(shop.coil("rod_65"), end="outer")
    assert [name.split("-")[0] for name in [shop.question(next_one, "draw_1").identifier]] == ["ended"]
    shop.asked(next_one, "ended", "draw_1")
    assert len(asked(house)) == 1


def test_another_run_with_the_same_fault_is_asked_about_anew(house: House, shop: Shop) -> None:
    for _ in range(2):
        shop.at("draw_1", OpenRun("wire_drawing", "wire_25", (dies(house, "dies_25_a"),)))
        shop.asked(LoadInput(shop.coil("rod_65"), end="outer"), "yes", "draw_1")
        shop.asked(CloseRun(), "off", "draw_1")
    assert len(asked(house)) == 2


def test_a_recut_die_is_in_force_at_once_and_has_its_history(house: House, shop: Shop) -> None:
    thing = dies(house, "dies_25_a")
    said = shop.at("draw_1", RecutDie(thing, 8, "2,54", words="scored")).say
    assert said == "Die set 2.50 A, die 8: 2.54 mm from now on, 2.50 mm before."
    shop.at("draw_1", RecutDie(thing, 8, "2.50", how="new"), "supervisor")
    assert sizes(house, "dies_25_a")[-2:] == ["2.71", "2.50"]
    shop.at("draw_1", RecutDie(thing, 8, "2.56"))
    assert sizes(house, "dies_25_a")[-1] == "2.56"
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25", end="outer"))
    question = shop.question(ChangeTool(thing), "draw_1")
    assert str(question).startswith("The last die is 2.56 mm; Drawn wire 2.50 mm is 2.45 to 2.55 mm.")
    shop.closes()


def test_other_dies_in_plant_toml_are_in_force_and_the_same_ones_leave_a_recut_die_as_it_is(
    house: House, shop: Shop
) -> None:
    shop.at("draw_1", RecutDie(dies(house, "dies_25_a"), 8, "2.52"))
    shop.at("draw_1", RecutDie(dies(house, "dies_38_a"), 5, "3.82"))
    text = plants.demo_text().replace('"2.94", "2.71", "2.50"]', '"2.94", "2.70", "2.50"]')
    house.post(AdoptPlant(resolve(text)))
    assert sizes(house, "dies_25_a")[-2:] == ["2.70", "2.50"]
    assert sizes(house, "dies_38_a")[-1] == "3.82"
    shop.at("draw_1", RecutDie(dies(house, "dies_25_a"), 7, "2.72"))
    assert sizes(house, "dies_25_a")[-2:] == ["2.72", "2.50"]


def test_a_text_of_which_nothing_could_be_meant_is_not_adopted(house: House) -> None:
    head = house.rows(event)[-1]["hash"]
    text = resolve(plants.demo_text()).replace("loss_permille = 4", "loss_permille = 1001", 1)
    assert "loss_permille = 1001" in text
    with pytest.raises(Unreadable, match="loss_permille = 1001"):
        house.post(AdoptPlant(text))
    assert house.rows(event)[-1]["hash"] == head


def test_a_recut_told_late_does_not_undo_a_later_one(house: House, shop: Shop) -> None:
    thing = dies(house, "dies_25_a")
    before = house.clock.at
    house.clock.forward(hours=2)
    shop.at("draw_1", RecutDie(thing, 8, "2.54"))
    late = shop.at("draw_1", RecutDie(thing, 8, "2.52"), happened=before, basis="late")
    assert late.say.endswith("2.50 mm before.")
    assert sizes(house, "dies_25_a")[-1] == "2.54"


def test_a_recut_can_be_undone(house: House, shop: Shop) -> None:
    shop.at("draw_1", RecutDie(dies(house, "dies_25_a"), 1, "4.95"))
    shop.at("draw_1", Undo())
    assert sizes(house, "dies_25_a")[0] == "4.89"
    shop.closes()


@pytest.mark.parametrize(
    ("place", "size", "fits"),
    [
        (8, "0", "from 0.01 to 60 mm"),
        (8, "-2.5", "Expected a number"),
        (8, "NaN", "Expected a number"),
        (8, "2.5 in", "Expected a number"),
        (8, "1000000000", "from 0.01 to 60 mm"),
        (8, "", "Expected a number"),
        (8, "2.5000001", "at most three decimals"),
        (8, "2.75", "less than 2.71 mm, the die before it"),
        (2, "3.90", "less than 4.89 mm, the die before it and more than 3.91 mm, the die behind it"),
        (0, "2.50", "From 1, at the entry, to 8"),
        (9, "2.50", "From 1, at the entry, to 8"),
    ],
)
def test_a_die_that_cannot_be_is_refused_and_changes_nothing(
    tmp_path: Path, place: int, size: str, fits: str
) -> None:
    house = a_house(tmp_path)
    before = sizes(house, "dies_25_a")
    with pytest.raises(Unreadable) as refusal:
        Shop(house).at("draw_1", RecutDie(dies(house, "dies_25_a"), place, size))
    assert fits in refusal.value.expected
    assert f"die {place}" in str(refusal.value).casefold()
    assert sizes(house, "dies_25_a") == before


def test_a_recut_that_is_no_larger_is_asked_about(tmp_path: Path) -> None:
    house = a_house(tmp_path)
    command = RecutDie(dies(house, "dies_25_a"), 8, "2.48")
    assert "a recut die is larger" in str(Shop(house).question(command, "draw_1"))
    Shop(house).asked(command, "yes", "draw_1")
    assert sizes(house, "dies_25_a")[-1] == "2.48"


@pytest.mark.parametrize(
    ("code", "how", "who", "error"),
    [
        ("dies_25_a", "melted", "operator", Unreadable),
        ("nail_dies_1", "recut", "operator", Refused),  # of no known dies
        ("dies_25_a", "recut", "dispatcher", NotAllowed),
    ],
)
def test_who_may_not_and_what_is_no_die_set_is_refused(
    tmp_path: Path, code: str, how: str, who: str, error: type[LotrootError]
) -> None:
    house = a_house(tmp_path)
    with pytest.raises(error):
        Shop(house).at("draw_1", RecutDie(dies(house, code), 8, "2.55", how), who)


def test_the_question_is_a_question_and_refuses_nothing(tmp_path: Path) -> None:
    house = a_house(tmp_path)
    shop = Shop(house)
    shop.at("draw_2", LoadInput(shop.coil("rod_55"), product="wire_60", end="outer"))
    with pytest.raises(Question):
        shop.at("draw_2", ChangeTool(dies(house, "dies_60_a")))
    answer = shop.asked(ChangeTool(dies(house, "dies_60_a")), "yes", "draw_2")
    assert "works from now on" in answer.say
