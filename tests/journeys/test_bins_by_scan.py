"""Is a bin of scrap weighed at a station by its label and one number?"""

from pathlib import Path

import plants
import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.identity import Command
from lotroot.production.apportioning import weighings_of
from lotroot.production.runs import find_run
from offices import sent

BINS = """
[bin.ends]
name = "Ends, drawing"
stations = ["draw_1"]
reason = "ends"
tare_g = 12000

[bin.mixed]
name = "Mixed scrap"
stations = ["draw_1"]
"""


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path, plants.with_bins(BINS))


def drawn(house: House) -> str:
    """A run that made 400 kg and is open."""
    with by_hand():
        rod = lay(house, "rod_55", 500_000)
    draw = at(house, "draw_1")
    draw.answer(rod, "wire_25")
    ok(draw.scan("400"))
    return run_at(house, "draw_1").number


def test_a_label_then_what_the_scale_shows(house: House) -> None:
    number, draw = house.thing("bin", "ends"), at(house, "draw_1")
    run = drawn(house)
    asked = draw.scan(number)
    assert asked["next"] == "Ends, drawing: type what the scale shows with the bin on it, kg"
    assert "12 kg are taken off" in plain(asked["detail"])
    done = ok(draw.scan("20"))
    assert plain(done["say"]) == "Ends, drawing: 8 kg, Ends, head or tail; 8 kg apportioned to one run."
    assert [one.amount for one in house.ask(find_run, run).scrap] == [8_000]
    assert draw.context == {}, "the next number is an output again"
    assert ok(draw.scan("50"))["say"] != done["say"]


def test_a_bin_for_any_scrap_is_asked_about_first_then_the_number(house: House) -> None:
    number, draw = house.thing("bin", "mixed"), at(house, "draw_1")
    run = drawn(house)
    question = draw.scan(number)
    assert [one["code"] for one in question["question"]["choices"]] == [
        "ends",
        "set_up",
        "off_size",
        "surface",
        "damaged",
        "trim",
    ]
    draw.answer(number, "set_up")
    ok(draw.scan("5"))
    assert [(one.reason, one.amount) for one in house.ask(find_run, run).scrap] == [("set_up", 5_000)]


def test_it_may_be_taken_to_another_scale(house: House) -> None:
    run = drawn(house)
    gate = at(house, "receiving", "supervisor").on("station")
    assert "type what the scale shows" in gate.scan(house.thing("bin", "ends"))["next"]
    ok(gate.scan("16"))
    assert [one.amount for one in house.ask(find_run, run).scrap] == [4_000]


def test_undo_forgets_a_bin_that_was_only_scanned_and_takes_back_one_that_was_weighed(house: House) -> None:
    number, draw = house.thing("bin", "ends"), at(house, "draw_1")
    run = drawn(house)
    draw.scan(number)
    assert "forgotten" in draw.scan(Command.UNDO.code)["say"]
    draw.scan(number)
    ok(draw.scan("20"))
    house.clock.forward(minutes=1)
    ok(draw.scan(Command.UNDO.code))
    assert (house.ask(find_run, run).scrap, house.ask(weighings_of, number)) == ([], [])


def test_a_word_is_no_weight_and_a_light_bin_is_refused(house: House) -> None:
    draw = at(house, "draw_1")
    drawn(house)
    draw.scan(house.thing("bin", "ends"))
    assert draw.scan("heavy")["verdict"] == "refused"
    assert draw.scan("11")["verdict"] == "refused"
    assert house.ask(weighings_of, house.thing("bin", "ends")) == []


def test_the_page_of_a_station_offers_its_bins(house: House) -> None:
    number, page = house.thing("bin", "ends"), at(house, "draw_1").client.get("/station").text
    assert f'data-scan="{number}"' in page
    assert "Weigh Ends, drawing" in page
    assert "When a bin is emptied" not in at(house, "nail_1").client.get("/station").text


def test_elsewhere_a_bin_is_told_by_its_name(house: House) -> None:
    told = at(house, "draw_1").on("moving").scan(house.thing("bin", "ends"))
    assert "Ends, drawing" in told["say"]


# ---- the pages of bins


def weighed(house: House) -> int:
    """A bin weighed with 8 kg in it; the event that says so."""
    drawn(house)
    draw = at(house, "draw_1")
    draw.scan(house.thing("bin", "ends"))
    ok(draw.scan("20"))
    [found] = house.ask(weighings_of, house.thing("bin", "ends"))
    return int(found.event)


def test_the_page_of_bins_leads_to_the_runs_of_each_weighing(house: House) -> None:
    event = weighed(house)
    client = at(house, "draw_1").client
    page = plain(client.get("/bins").text)
    assert f'href="/bins/{event}"' in page
    assert "8 kg" in page
    shows = plain(client.get(f"/bins/{event}").text)
    assert f'href="/lots/{run_at(house, "draw_1").number}"' in shows
    assert "Correct it" not in shows, "an operator does not correct what is closed"


def test_a_supervisor_corrects_a_weight_at_the_desk(house: House) -> None:
    event = weighed(house)
    desk = at(house, "laboratory", "supervisor")
    said = plain(sent(desk, f"/bins/{event}", f"/bins/{event}", weight="22"))
    assert "10 kg apportioned to one run" in said
    assert [one.amount for one in house.ask(find_run, run_at(house, "draw_1").number).scrap] == [10_000]
    assert desk.client.get(f"/bins/{event}").status_code == 404


@pytest.mark.parametrize("weight", ["", "heavy", "11", "1,234"])
def test_what_is_no_weight_is_told_on_the_form(house: House, weight: str) -> None:
    event = weighed(house)
    desk = at(house, "laboratory", "supervisor")
    shows = sent(desk, f"/bins/{event}", f"/bins/{event}", weight=weight)
    assert "Not recorded yet" in shows
    assert [row.weight for row in house.ask(weighings_of, house.thing("bin", "ends"))] == [8_000]


def test_a_bin_in_question_stands_in_this_morning_by_its_name(house: House) -> None:
    drawn(house)
    draw = at(house, "draw_1")
    ok(draw.answer(Command.SCRAP.code, "ends"))
    ok(draw.scan("9"))
    draw.scan(house.thing("bin", "ends"))
    assert "less than was weighed into it" in ok(draw.scan("14"))["say"]
    page = plain(at(house, "laboratory", "supervisor").client.get("/morning").text)
    assert 'href="/bins"' in page
    assert "Ends, drawing held 2 kg, but 9 kg were weighed into it" in page
