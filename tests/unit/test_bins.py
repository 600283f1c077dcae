"""Is what a bin of scrap weighs shared out over the runs that threw into it (RULES 3)?"""

from collections.abc import Iterator

import plants
import pytest
from houses import a_house
from lotroot.errors import Question, Refused, Unknown, Unreadable
from lotroot.genealogy.tables import edge
from lotroot.holds.handling import SettleQuestion
from lotroot.production.apportioning import weighings_of
from lotroot.production.bins import CorrectBin, WeighBin
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.production.runs import open_runs_at
from lotroot.production.tables import bin_weighing, run_scrap
from lotroot.questions import open_questions
from lotroot.reconciliation.balances import balance_history, known_balance
from lotroot.verify import verify
from lotroot.voiding.handling import Undo
from shop import Shop

BINS = """
[bin.ends]
name = "Ends, drawing"
stations = ["draw_1", "draw_2"]
reason = "ends"
tare_g = 12000

[bin.nails]
name = "Nail scrap"
stations = ["nail_1", "nail_2"]
"""


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    house = a_house(database_url, plants.with_bins(BINS))
    yield Shop(house)
    house.database.close()


def bin_of(shop: Shop, code: str = "ends") -> str:
    return shop.house.thing("bin", code)


def drawn(shop: Shop, station: str, made: int, loaded: int) -> str:
    """A closed run: a coil of `loaded` g that ended, `made` g of wire."""
    coil = shop.coil(amount=loaded)
    shop.at(station, LoadInput(coil, product="wire_25", end="outer"))
    shop.at(station, MakeOutput(weight=made))
    run = str(shop.house.ask(open_runs_at, shop.house.thing("station", station))[0].number)
    shop.at(station, CloseRun(), answers={"left-1": "ended"})
    return run


def scrap_of(shop: Shop, run: str, how: str = "apportioned") -> int:
    rows = [row for row in shop.house.rows(run_scrap) if row["run"] == run and not row["voided"]]
    return sum(row["amount"] for row in rows if row["how"] == how)


def difference(shop: Shop, run: str) -> int:
    return int(shop.house.ask(known_balance, run)[0].difference)


def sound(shop: Shop) -> None:
    assert str(verify(shop.house.database)).startswith("ok ")
    assert shop.house.status() == shop.house.rebuilt()


def test_what_is_in_a_bin_goes_to_the_closed_runs_of_its_stations_by_what_each_used(shop: Shop) -> None:
    first = drawn(shop, "draw_1", 600_000, 620_000)
    second = drawn(shop, "draw_2", 300_000, 305_000)
    before = (difference(shop, first), difference(shop, second))
    links = shop.house.rows(edge)
    answer = shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 15_000))
    assert (scrap_of(shop, first), scrap_of(shop, second)) == (10_000, 5_000)
    assert (difference(shop, first), difference(shop, second)) == (before[0] - 10_000, before[1] - 5_000)
    assert shop.house.rows(edge) == links, "no link changes"
    said = answer.say.replace("\u202f", " ")
    assert said == "Ends, drawing: 15 kg, Ends, head or tail; 15 kg apportioned to 2 runs."
    assert set(answer.numbers) == {bin_of(shop), first, second}
    sound(shop)


def test_an_open_run_gets_its_part_and_goes_on(shop: Shop) -> None:
    coil = shop.coil(amount=1_000_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", MakeOutput(weight=400_000))
    shop.at("draw_1", WeighBin(bin_of(shop), 16_000))
    shop.at("draw_1", MakeOutput(weight=400_000))
    answer = shop.at("draw_1", UnloadInput())
    assert "196" in answer.say, "1 000 less 800 made and 4 in the bin"
    shop.at("draw_1", CloseRun())
    sound(shop)


def test_each_weighing_goes_to_what_was_used_since_the_one_before(shop: Shop) -> None:
    first = drawn(shop, "draw_1", 600_000, 620_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 18_000))
    second = drawn(shop, "draw_1", 300_000, 305_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 14_000))
    assert (scrap_of(shop, first), scrap_of(shop, second)) == (6_000, 2_000)
    sound(shop)


def test_of_a_run_that_goes_on_only_what_was_made_since_counts(shop: Shop) -> None:
    coil = shop.coil(amount=1_000_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", MakeOutput(weight=500_000))
    shop.at("draw_1", WeighBin(bin_of(shop), 16_000))
    shop.at("draw_1", MakeOutput(weight=100_000))
    run = str(shop.house.ask(open_runs_at, shop.house.thing("station", "draw_1"))[0].number)
    other = drawn(shop, "draw_2", 300_000, 305_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 16_000))
    assert (scrap_of(shop, run), scrap_of(shop, other)) == (4_000 + 1_000, 3_000)
    sound(shop)


def test_scrap_weighed_by_itself_was_thrown_into_the_same_bin_and_counts_first(shop: Shop) -> None:
    coil = shop.coil(amount=620_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", ScrapInput(4_000, "ends"))
    shop.at("draw_1", ScrapInput(9_000, "surface"))
    shop.at("draw_1", MakeOutput(weight=590_000))
    run = str(shop.house.ask(open_runs_at, shop.house.thing("station", "draw_1"))[0].number)
    shop.at("draw_1", CloseRun(), answers={"left-1": "ended"})
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 10_000))
    assert (scrap_of(shop, run), scrap_of(shop, run, "weighed")) == (6_000, 13_000)
    [weighing] = shop.house.rows(bin_weighing)
    assert (weighing["weight"], weighing["named"], weighing["shared"]) == (10_000, 4_000, 6_000)
    sound(shop)


def test_less_than_was_weighed_into_it_apportions_nothing_and_is_in_question(shop: Shop) -> None:
    shop.drawn(shop.coil(), 500_000)
    shop.at("draw_1", ScrapInput(9_000, "ends"))
    answer = shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 2_500))
    assert answer.verdict == "in_question"
    assert "6.5" in answer.say
    [asked] = [one for one in shop.house.ask(open_questions) if one.subject == bin_of(shop)]
    assert "are not there" in asked.reason
    assert [row for row in shop.house.rows(run_scrap) if row["how"] == "apportioned"] == []
    [wrong] = shop.house.ask(weighings_of, bin_of(shop))
    shop.at("draw_1", CorrectBin(wrong.event, 12_000 + 25_000), "supervisor")
    assert bin_of(shop) not in {one.subject for one in shop.house.ask(open_questions)}
    sound(shop)


def test_a_bin_for_any_scrap_asks_why_by_the_buttons_of_the_plant(shop: Shop) -> None:
    shop.nails(shop.drawn(shop.coil(), 500_000)[0], 480_000)
    nails = bin_of(shop, "nails")
    question = shop.question(WeighBin(nails, 8_000), "nail_1")
    assert list(question.choices) == ["ends", "set_up", "off_size", "surface", "damaged", "trim"]
    shop.at("nail_1", WeighBin(nails, 8_000), answers={question.identifier: "set_up"})
    assert [row["reason"] for row in shop.house.rows(run_scrap)] == ["set_up"]
    sound(shop)


def test_into_a_bin_for_any_scrap_goes_what_was_weighed_for_whatever_reason(shop: Shop) -> None:
    shop.nails(shop.drawn(shop.coil(), 500_000)[0], 480_000)
    shop.at("nail_1", ScrapInput(3_000, "off_size"))
    shop.at("nail_1", WeighBin(bin_of(shop, "nails"), 8_000, "set_up"))
    [weighing] = shop.house.rows(bin_weighing)
    assert (weighing["named"], weighing["shared"]) == (3_000, 5_000)


@pytest.mark.parametrize(
    ("weight", "answer"), [(12_000 + 300_000, "600"), (12_000 + 3_000, "")], ids=["a heap", "a little"]
)
def test_more_scrap_than_a_fourth_of_what_was_used_is_asked_about_once(
    shop: Shop, weight: int, answer: str
) -> None:
    drawn(shop, "draw_1", 600_000, 606_000)
    if not answer:
        assert shop.at("draw_1", WeighBin(bin_of(shop), weight)).verdict == "accepted"
        return
    question = shop.question(WeighBin(bin_of(shop), weight), "draw_1")
    assert answer in question.what
    told = shop.at("draw_1", WeighBin(bin_of(shop), weight), answers={question.identifier: "yes"})
    assert told.verdict == "in_question"
    sound(shop)


def test_scrap_that_no_run_made_is_recorded_and_in_question(shop: Shop) -> None:
    answer = shop.asked(WeighBin(bin_of(shop), 15_000), "yes", "draw_1")
    [weighing] = shop.house.rows(bin_weighing)
    assert (answer.verdict, weighing["weight"], weighing["shared"]) == ("in_question", 3_000, 0)
    sound(shop)


def test_an_empty_bin_is_weighed_as_empty(shop: Shop) -> None:
    drawn(shop, "draw_1", 600_000, 620_000)
    answer = shop.at("draw_1", WeighBin(bin_of(shop), 12_000))
    assert (answer.verdict, shop.house.rows(bin_weighing)[0]["weight"]) == ("accepted", 0)
    sound(shop)


@pytest.mark.parametrize(
    ("code", "weight", "reason", "said"),
    [
        # lighter than the bin itself, nothing, less than nothing
        ("ends", 11_999, "", "cannot weigh"),
        ("ends", 0, "", "cannot weigh"),
        ("nails", 0, "ends", "no weight"),
        ("nails", -5, "ends", "no weight"),
        # a reason that is another bin's
        ("ends", 15_000, "trim", "for ends, head or tail alone"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    shop: Shop, code: str, weight: int, reason: str, said: str
) -> None:
    with pytest.raises((Refused, Unreadable), match=said):
        shop.at("draw_1", WeighBin(bin_of(shop, code), weight, reason))
    assert shop.house.rows(bin_weighing) == []


def test_what_is_no_bin_is_not_weighed(shop: Shop) -> None:
    with pytest.raises(Unknown, match="is a station"):
        shop.at("draw_1", WeighBin(shop.house.thing("station", "draw_1"), 15_000))


def test_undo_takes_all_of_a_weighing_back(shop: Shop) -> None:
    first = drawn(shop, "draw_1", 600_000, 630_000)
    second = drawn(shop, "draw_2", 300_000, 305_000)
    before = (difference(shop, first), difference(shop, second))
    asked = {row.subject for row in shop.house.ask(open_questions)}
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 24_000))
    assert {row.subject for row in shop.house.ask(open_questions)} < asked, "the first adds up now"
    shop.at("draw_1", Undo())
    assert (difference(shop, first), difference(shop, second)) == before
    assert {row.subject for row in shop.house.ask(open_questions)} == asked
    assert shop.house.ask(weighings_of, bin_of(shop)) == []
    assert (scrap_of(shop, first), scrap_of(shop, second)) == (0, 0)
    sound(shop)


def test_undo_of_a_weighing_is_not_stopped_by_work_that_went_on(shop: Shop) -> None:
    coil = shop.coil(amount=1_000_000)
    shop.at("draw_2", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_2", MakeOutput(weight=400_000))
    shop.at("draw_1", WeighBin(bin_of(shop), 16_000), "supervisor")
    shop.at("draw_2", MakeOutput(weight=400_000))
    shop.at("draw_1", Undo(), "supervisor")
    assert shop.house.ask(weighings_of, bin_of(shop)) == []
    sound(shop)


def test_a_weighing_is_not_undone_under_a_later_one_nor_once_its_coil_was_another(shop: Shop) -> None:
    run = drawn(shop, "draw_1", 600_000, 620_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 16_000))
    shop.at("draw_2", WeighBin(bin_of(shop), 12_000), "supervisor")
    with pytest.raises(Refused, match="has been used since"):
        shop.at("draw_1", Undo())
    shop.at("draw_2", Undo(), "supervisor")
    shop.at("draw_1", CorrectInput(run, 1, shop.coil()), "supervisor")
    with pytest.raises(Refused, match="has been used since"):
        shop.at("draw_1", Undo())
    sound(shop)


def test_a_part_coil_is_put_back_though_its_bin_was_weighed_since(shop: Shop) -> None:
    shop.drawn(shop.coil(), 500_000)
    shop.at("draw_1", UnloadInput())
    shop.at("draw_2", WeighBin(bin_of(shop), 16_000), "supervisor")
    shop.at("draw_1", Undo())
    sound(shop)


def test_a_weight_is_corrected_late_though_the_bin_was_weighed_again(shop: Shop) -> None:
    first = drawn(shop, "draw_1", 600_000, 630_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 1_800))
    second = drawn(shop, "draw_1", 300_000, 305_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 14_000))
    shop.house.clock.forward(days=2)
    wrong = shop.house.ask(weighings_of, bin_of(shop))[0]
    shop.at("draw_1", CorrectBin(wrong.event, 12_000 + 18_000), "supervisor")
    assert (scrap_of(shop, first), scrap_of(shop, second)) == (18_000, 2_000)
    assert [row.weight for row in shop.house.ask(weighings_of, bin_of(shop))] == [18_000, 2_000]
    assert len(shop.house.ask(balance_history, first)) == 3, "every balance that was known stays readable"
    sound(shop)
    with pytest.raises(Unknown, match="No such weighing"):
        shop.at("draw_1", CorrectBin(wrong.event, 20_000), "supervisor")


def test_a_correction_shares_out_anew_by_what_is_known_now(shop: Shop) -> None:
    run = drawn(shop, "draw_1", 600_000, 630_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 10_000))
    at = shop.house.ask(weighings_of, bin_of(shop))[0].at
    shop.at("draw_1", ScrapInput(4_000, "ends", run=run), basis="late", happened=at - 1)
    shop.at("draw_1", CorrectInput(run, 1, shop.coil()), "supervisor")
    weighing = shop.house.ask(weighings_of, bin_of(shop))[0]
    shop.at("draw_1", CorrectBin(weighing.event, 12_000 + 10_000), "supervisor")
    assert (scrap_of(shop, run), scrap_of(shop, run, "weighed")) == (6_000, 4_000)
    sound(shop)


def test_a_weighing_entered_late_between_two_says_which_one_to_correct(shop: Shop) -> None:
    drawn(shop, "draw_1", 600_000, 630_000)
    forgotten = shop.house.clock()
    drawn(shop, "draw_1", 300_000, 305_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 14_000))
    answer = shop.at("draw_1", WeighBin(bin_of(shop), 20_000), happened=forgotten)
    assert answer.verdict == "in_question"
    first, second = shop.house.ask(weighings_of, bin_of(shop))
    shop.at("draw_1", CorrectBin(second.event, 14_000), "supervisor")
    [_, again] = shop.house.ask(weighings_of, bin_of(shop))
    assert (first.weight, again.since, again.shared) == (8_000, first.at, 2_000)
    sound(shop)


def test_a_question_about_a_run_settles_itself_when_the_bin_explains_it(shop: Shop) -> None:
    run = drawn(shop, "draw_1", 600_000, 630_000)
    assert run in {row.subject for row in shop.house.ask(open_questions)}
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 20_000))
    assert run not in {row.subject for row in shop.house.ask(open_questions)}
    [now] = shop.house.ask(known_balance, run)
    assert [(one.reason, one.how, one.amount) for one in now.thrown] == [("ends", "apportioned", 20_000)]


def test_a_question_about_a_run_that_stays_beyond_is_asked_by_the_figures_of_now(shop: Shop) -> None:
    run = drawn(shop, "draw_1", 600_000, 660_000)
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 8_000))
    [asked] = [row for row in shop.house.ask(open_questions) if row.subject == run]
    assert "46.72 kg missing" in asked.reason.replace("\u202f", " "), "660 less 600, 8 and a loss of 5.28"
    shop.at("draw_1", Undo())
    [again] = [row for row in shop.house.ask(open_questions) if row.subject == run]
    assert "54.72 kg missing" in again.reason.replace("\u202f", " ")
    shop.at("draw_1", SettleQuestion(again.event, "looked at"), "supervisor")
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 8_000))
    assert run not in {row.subject for row in shop.house.ask(open_questions)}, "a reason was given"
    sound(shop)


def test_scrap_of_a_bin_moves_no_stretch_of_what_is_made_of_the_rest_of_the_coil(shop: Shop) -> None:
    coil = shop.coil(amount=1_000_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", MakeOutput(weight=400_000))
    shop.at("draw_1", UnloadInput(remainder=580_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    shop.at("draw_2", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_2", MakeOutput(weight=200_000))
    links = shop.house.rows(edge)
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 12_000))
    assert shop.house.rows(edge) == links
    shop.at("draw_2", MakeOutput(weight=100_000))
    stretches = [(row["parent_from"], row["parent_to"]) for row in shop.house.rows(edge) if row["state"] == 0]
    assert stretches == [(0, 400_000), (400_000, 600_000), (600_000, 700_000)]
    sound(shop)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # no stations, unknown ones, a reason of another kind, two bins for one reason at a station
        ('[bin.a]\nname = "A"\nstations = []', "stations"),
        ('[bin.a]\nname = "A"\nstations = ["nowhere"]', "nowhere"),
        ('[bin.a]\nname = "A"\nstations = ["draw_1"]\nreason = "brittle"', "a reason of the group scrap"),
        (
            '[bin.a]\nname = "A"\nstations = ["draw_1"]\n[bin.b]\nname = "B"\nstations = ["draw_1"]',
            "another bin than a at Drawing machine 1",
        ),
        ('[bin.a]\nname = "A"\nstations = ["draw_1"]\ntare_g = 0', "tare_g"),
    ],
)
def test_a_bin_that_does_not_fit_the_plant_is_refused(text: str, said: str) -> None:
    with pytest.raises(Unreadable) as refused:
        plants.parsed(plants.with_bins(text))
    assert said in f"{refused.value.what} {refused.value.expected}"


def test_a_plant_without_bins_is_a_plant() -> None:
    assert dict(plants.parsed(plants.with_bins("")).bins) == {}


def test_nobody_is_asked_where_a_reason_is_given(shop: Shop) -> None:
    drawn(shop, "draw_1", 600_000, 620_000)
    with pytest.raises(Question):
        shop.at("draw_1", WeighBin(bin_of(shop, "nails"), 3_000))
