"""Is a bin that was weighed without network entered afterwards, shared out over the runs of its time?"""

from collections.abc import Iterator
from pathlib import Path

import plants
import pytest
from floor_work import at, lay, ok, plain
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.production.apportioning import weighings_of
from lotroot.production.runs import find_run, latest_runs
from lotroot.questions import open_questions
from lotroot.verify import verify
from paper_forms import catching_up, moment, pad
from shop import Shop

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
def house(database_url: str) -> Iterator[House]:
    """On SQLite and on PostgreSQL; status is what the events say when the test is over."""
    found = a_house(database_url, plants.with_bins(BINS))
    yield found
    assert verify(found.database).finding is None
    assert found.status() == found.rebuilt()
    found.database.close()


def drawn(house: House) -> str:
    """A closed run of Monday morning: 400 kg of a coil of 420 kg that ended."""
    with by_hand():
        rod = lay(house, "rod_55", 420_000)
    draw = at(house, "draw_1")
    if draw.scan(rod)["verdict"] == "ask":
        draw.answer(rod, "wire_25")
    ok(draw.scan("400"))
    draw.answer("DONE", "ended")
    return str(house.ask(latest_runs, house.thing("station", "draw_1"), "wire_drawing")[0].number)


def test_a_bin_is_entered_by_its_label_a_time_and_one_number(house: House) -> None:
    first = drawn(house)
    house.clock.forward(hours=24)
    later = drawn(house)
    page, number = catching_up(house), house.thing("bin", "ends")
    assert ok(page.scan(number))["next"] == "Ends, drawing: type when it was emptied: 0230, or 28 0230"
    told = ok(page.scan("2 2230"))
    assert told["say"] == "Mon 2 Nov, 22:30."
    assert told["next"] == "Ends, drawing: type what the scale shows with the bin on it, kg"
    done = ok(page.scan("20", typed_by="scale"))
    assert plain(done["say"]) == "Ends, drawing: 8 kg, Ends, head or tail; 8 kg apportioned to one run."
    assert [one.amount for one in house.ask(find_run, first).scrap] == [8_000]
    assert house.ask(find_run, later).scrap == [], "it was made after the bin was emptied"
    (row,) = house.ask(weighings_of, number)
    assert (row.at, row.typed_by) == (moment("2026-11-02T22:30"), "hand")
    assert done["next"] == "Scan the label of a row"


def test_the_bin_at_the_station_goes_on_from_what_was_entered(house: House) -> None:
    first = drawn(house)
    house.clock.forward(hours=24)
    page, number = catching_up(house), house.thing("bin", "ends")
    for text in (number, "2 2230", "20"):
        ok(page.scan(text))
    second = drawn(house)
    draw = at(house, "draw_1")
    draw.scan(number)
    ok(draw.scan("18"))
    scrap = [sum(one.amount for one in house.ask(find_run, run).scrap) for run in (first, second)]
    assert scrap == [8_000, 6_000]


def test_a_bin_entered_after_a_later_weighing_says_that_that_one_is_to_be_corrected(house: House) -> None:
    drawn(house)
    number = house.thing("bin", "ends")
    house.clock.forward(hours=24)
    drawn(house)
    draw = at(house, "draw_1")
    draw.scan(number)
    ok(draw.scan("20"))
    page = catching_up(house)
    for text in (number, "2 2230"):
        ok(page.scan(text))
    ok(page.scan("17"))
    assert any("correct that weighing" in one.reason for one in house.ask(open_questions))


def test_a_bin_for_any_scrap_asks_why_and_nothing_else(house: House) -> None:
    run = drawn(house)
    house.clock.forward(hours=24)
    page = catching_up(house)
    ok(page.answer(house.thing("bin", "mixed"), "set_up"))
    for text in ("2 2230", "5"):
        ok(page.scan(text))
    assert [(one.reason, one.amount) for one in house.ask(find_run, run).scrap] == [("set_up", 5_000)]


def test_undo_forgets_the_time_then_the_bin_then_takes_back_what_was_recorded(house: House) -> None:
    run = drawn(house)
    house.clock.forward(hours=24)
    page, number = catching_up(house), house.thing("bin", "ends")
    ok(page.scan(number))
    ok(page.scan("2 2230"))
    assert ok(page.scan("UNDO"))["say"] == "The time is forgotten. Type it again."
    assert ok(page.scan("UNDO"))["say"] == "The bin is forgotten."
    for text in (number, "2 2230", "20"):
        ok(page.scan(text))
    ok(page.scan("UNDO"))
    assert [one for one in house.ask(find_run, run).scrap if not one.voided] == []
    assert house.ask(weighings_of, number) == []


def test_a_row_and_a_bin_leave_each_other_for_later(house: House) -> None:
    labels = pad(house)
    drawn(house)
    house.clock.forward(hours=24)
    page, number = catching_up(house), house.thing("bin", "ends")
    ok(page.scan(labels[0]))
    assert "is left for later" in ok(page.scan(number))["say"]
    assert "Ends, drawing is left for later" in ok(page.scan(labels[0]))["say"]
    ok(page.scan(number))
    assert ok(page.scan("NEXT"))["say"] == "Ends, drawing is left for later."
    assert page.context == {}


@pytest.mark.parametrize("text", ["11", "0", "-5", "five"])
def test_a_weight_that_cannot_be_is_told_and_nothing_is_written(house: House, text: str) -> None:
    drawn(house)
    house.clock.forward(hours=24)
    page, number = catching_up(house), house.thing("bin", "ends")
    for scanned in (number, "2 2230"):
        ok(page.scan(scanned))
    assert page.scan(text)["verdict"] not in ("accepted", "asked_done")
    assert house.ask(weighings_of, number) == []


@pytest.mark.parametrize(
    "context",
    [{"bin": "T9900000000"}, {"bin": 5}, {"bin": "", "scrap": "ends"}, {"scrap": "nothing"}, {"bin": "x"}],
)
def test_a_page_that_keeps_nonsense_begins_anew(tmp_path: Path, context: dict[str, object]) -> None:
    found = a_house(tmp_path, plants.with_bins(BINS))
    page = catching_up(found)
    page.context = context
    assert page.scan("0230")["verdict"] not in ("accepted", "asked_done")
    assert page.last["next"] == "Scan the label of a row"


def test_the_page_has_a_button_for_each_bin_of_the_station(house: House) -> None:
    shows = catching_up(house).client.get("/catchup").text
    assert f'data-scan="{house.thing("bin", "ends")}"' in shows
    assert "data-scan" in at(house, "packing").client.get("/catchup").text
    Shop(house).closes()
