"""Does a weighing of a bin say that it no longer holds, once scrap that was in it is told or taken back?"""

from collections.abc import Iterator

import plants
import pytest
from houses import a_house
from lotroot.production.apportioning import weighings_of
from lotroot.production.bins import CorrectBin, WeighBin
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.production.tables import run_scrap
from lotroot.questions import open_questions
from lotroot.verify import verify
from lotroot.voiding.handling import Undo
from shop import Shop

BINS = """
[bin.ends]
name = "Ends, drawing"
stations = ["draw_1", "draw_2"]
reason = "ends"
tare_g = 12000
"""


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    """A plant with a bin; status is what the events say when the test is over."""
    house = a_house(database_url, plants.with_bins(BINS))
    yield Shop(house)
    assert str(verify(house.database)).startswith("ok ")
    assert house.status() == house.rebuilt()
    house.database.close()


def bin_of(shop: Shop) -> str:
    return shop.house.thing("bin", "ends")


def drawn(shop: Shop) -> str:
    """A closed run: 600 kg of wire of a coil of 630 kg that ended."""
    shop.drawn(shop.coil(amount=630_000), 600_000)
    return shop.at("draw_1", CloseRun(), answers={"left-1": "ended"}).numbers[0]


def apportioned(shop: Shop, run: str) -> int:
    rows = [row for row in shop.house.rows(run_scrap) if row["run"] == run and not row["voided"]]
    return sum(row["amount"] for row in rows if row["how"] == "apportioned")


def about_the_bin(shop: Shop) -> list[str]:
    rows = [row for row in shop.house.ask(open_questions) if row.subject == bin_of(shop)]
    return [row.reason.replace("\u202f", " ") for row in rows]


def test_scrap_told_after_its_bin_was_weighed_counts_twice_and_says_so_until_that_is_corrected(
    shop: Shop,
) -> None:
    run = drawn(shop)
    shop.at("draw_1", WeighBin(bin_of(shop), 12_000 + 10_000))
    weighing = shop.house.ask(weighings_of, bin_of(shop))[0]
    late = ScrapInput(4_000, "ends", run=run)
    shop.at("draw_1", late, basis="late", happened=weighing.at + 1)
    shop.at("draw_1", ScrapInput(2_000, "set_up", run=run), basis="late", happened=weighing.at - 1)
    assert about_the_bin(shop) == [], "thrown in when it was empty again, or never into this bin"
    answer = shop.at("draw_1", late, basis="late", happened=weighing.at - 1)
    assert answer.verdict == "in_question"
    [reason] = about_the_bin(shop)
    assert reason.startswith("Ends, drawing: 4 kg of scrap in it was told after it was weighed at ")
    shop.at("draw_1", Undo())
    assert about_the_bin(shop) == [], "as it was when it was weighed"
    shop.at("draw_1", late, basis="late", happened=weighing.at - 1)
    shop.at("draw_1", CorrectBin(weighing.event, 12_000 + 10_000), "supervisor")
    assert about_the_bin(shop) == []
    assert apportioned(shop, run) == 6_000


def test_scrap_taken_back_after_its_bin_was_weighed_leaves_less_than_it_held_and_says_so(shop: Shop) -> None:
    run = drawn(shop)
    shop.at("draw_1", ScrapInput(4_000, "ends", run=run), basis="late")
    shop.at("draw_2", WeighBin(bin_of(shop), 12_000 + 10_000), "supervisor")
    assert apportioned(shop, run) == 6_000
    shop.at("draw_1", Undo())
    [reason] = about_the_bin(shop)
    assert reason.startswith("Ends, drawing: 4 kg of scrap in it was taken back after it was weighed at ")
    weighing = shop.house.ask(weighings_of, bin_of(shop))[0]
    shop.at("draw_1", CorrectBin(weighing.event, 12_000 + 10_000), "supervisor")
    assert (about_the_bin(shop), apportioned(shop, run)) == ([], 10_000)


def test_a_weighing_that_is_taken_back_is_in_question_no_more(shop: Shop) -> None:
    run = drawn(shop)
    shop.at("draw_2", WeighBin(bin_of(shop), 12_000 + 10_000), "supervisor")
    at = shop.house.ask(weighings_of, bin_of(shop))[0].at
    shop.at("draw_1", ScrapInput(4_000, "ends", run=run), basis="late", happened=at - 1)
    assert len(about_the_bin(shop)) == 1
    shop.at("draw_2", Undo(), "supervisor")
    assert about_the_bin(shop) == []
