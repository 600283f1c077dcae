"""Are figures worth a look counted by station, and does each open the runs behind it?"""

import csv
import io
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import plants
import pytest
from houses import House, a_house
from lotroot.plant.adopted import current_plant
from lotroot.production.bins import WeighBin
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.production.runs import open_runs_at
from lotroot.reconciliation.days import Days
from lotroot.reconciliation.figures import Figures, closed_runs, figures, runs_of_series
from lotroot.reconciliation.who_typed import runs_typed_by_hand
from offices import an_office_house, office
from shop import Shop

BIN = '[bin.ends]\nname = "Ends"\nstations = ["draw_1", "draw_2"]\nreason = "ends"\n'


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    house = a_house(database_url, plants.with_bins(BIN))
    yield Shop(house)
    house.database.close()


def days(shop: Shop, text: str = "2026-11-02") -> Days:
    """One production day."""
    return Days(date.fromisoformat(text), date.fromisoformat(text))


def asked(shop: Shop, question: object, *more: object, day: str = "2026-11-02") -> object:
    return shop.house.ask(question, shop.house.ask(current_plant), days(shop, day), *more)


def figure(shop: Shop, station: str, day: str = "2026-11-02") -> Figures:
    number = shop.house.thing("station", station)
    found = {one.station: one for one in asked(shop, figures, day=day)}
    return found.get(number, Figures(number))


def worked(shop: Shop, weights: list[int], station: str = "draw_1", left: int | None = None) -> str:
    """A closed run that made so much; what was left is taken off as reckoned, or as weighed."""
    shop.at(station, LoadInput(shop.coil(), product="wire_25", end="outer"))
    for weight in weights:
        shop.at(station, MakeOutput(weight=weight))
    run = str(shop.house.ask(open_runs_at, shop.house.thing("station", station))[0].number)
    shop.at(station, UnloadInput(remainder=left, how="weighed") if left is not None else UnloadInput())
    shop.at(station, CloseRun())
    return run


def test_runs_at_exactly_zero_are_counted_among_those_closed(shop: Shop) -> None:
    # A named loss is taken off first: nothing missing shows as too much, so the remainder makes up for it.
    first = worked(shop, [992_000], left=1_000_000)
    second = worked(shop, [992_000], left=999_000)
    other = worked(shop, [500_000], "draw_2", left=1_490_000)
    assert (figure(shop, "draw_1").runs, figure(shop, "draw_1").exact) == (2, 1)
    assert (figure(shop, "draw_2").runs, figure(shop, "draw_2").exact) == (1, 0)
    station = shop.house.thing("station", "draw_1")
    assert asked(shop, closed_runs, station) == [first, second]
    assert shop.house.ask(closed_runs, shop.house.ask(current_plant), days(shop), station, exact=True) == [
        first
    ]
    assert other not in asked(shop, closed_runs, station)


@pytest.mark.parametrize(
    ("weights", "found"),
    [
        # all different, two pairs, a longer series behind a shorter one, the same weight but not in a row
        ([480_000, 481_000, 482_000], None),
        ([480_000, 480_000, 300_000, 300_000], (2, 480_000)),
        ([300_000, 300_000, 400_000, 400_000, 400_000], (3, 400_000)),
        ([300_000, 301_000, 300_000, 302_000, 300_000], None),
    ],
)
def test_the_longest_series_of_one_weight_is_found(
    shop: Shop, weights: list[int], found: tuple[int, int] | None
) -> None:
    run = worked(shop, weights, left=400_000)
    series = figure(shop, "draw_1").series
    assert (series and (series.times, series.amount)) == found
    assert asked(shop, runs_of_series, figure(shop, "draw_1")) == ([run] if found else [])


def test_a_series_goes_on_from_run_to_run_and_over_items_weighed_one_by_one(shop: Shop) -> None:
    first = worked(shop, [400_000, 480_000])
    second = worked(shop, [480_000, 480_000])
    assert figure(shop, "draw_1").series[:2] == (3, 480_000)
    assert asked(shop, runs_of_series, figure(shop, "draw_1")) == sorted([first, second])
    shop.in_the_hopper(200_000)
    shop.at("packing", MakeOutput(weights=(25_010, 25_020, 25_020, 25_020)))
    assert figure(shop, "packing").series[:2] == (3, 25_020)


def test_what_is_counted_at_its_nominal_weight_is_no_series(shop: Shop) -> None:
    shop.in_the_hopper(200_000)
    shop.at("packing", MakeOutput(count=4))
    assert figure(shop, "packing").series is None


def test_typed_scrap_is_counted_by_who_typed_it_bins_among_it(shop: Shop) -> None:
    run = worked(shop, [480_000, 300_000], left=1_190_000)
    shop.at("draw_2", LoadInput(shop.coil(), product="wire_25", end="outer"))
    shop.at("draw_2", ScrapInput(2_000, "ends", typed_by="hand"))
    shop.at("draw_2", ScrapInput(2_000, "ends", typed_by="scale"))
    shop.at("draw_2", ScrapInput(2_000, "surface"))
    mine = figure(shop, "draw_2")
    assert mine.scrap == (3, 1, 1)
    shop.at("draw_1", WeighBin(shop.house.thing("bin", "ends"), 14_000, typed_by="hand"))
    assert figure(shop, "draw_1").scrap == (1, 1, 0)
    assert asked(shop, runs_typed_by_hand, shop.house.thing("station", "draw_1")) == [run]


def test_days_are_production_days_and_other_days_are_left_out(shop: Shop) -> None:
    worked(shop, [480_000, 480_000], left=1_000_000)
    shop.house.clock.forward(days=1)
    worked(shop, [300_000], left=1_690_000)
    assert (figure(shop, "draw_1").runs, figure(shop, "draw_1", "2026-11-03").runs) == (1, 1)
    assert figure(shop, "draw_1", "2026-11-03").series is None
    assert figure(shop, "draw_1", "2026-11-04") == Figures(shop.house.thing("station", "draw_1"))


# ---- the page


@pytest.fixture
def house(tmp_path: Path) -> House:
    found = an_office_house(tmp_path)
    worked(Shop(found), [480_000, 480_000, 400_000], left=630_000)
    return found


def test_a_supervisor_sees_the_figures_and_opens_the_runs_behind_each(house: House) -> None:
    client = office(house, "supervisor").client
    page = client.get("/figures").text
    assert "Drawing machine 1" in page
    assert "2 × 480 kg" in page.replace("\u202f", " ")
    links = re.findall(r'href="(/figures/runs[^"]+)"', page)
    assert len(links) == 2, "runs closed, and a series; nothing at exactly zero"
    for address in links:
        answer = client.get(address.replace("&amp;", "&"))
        assert answer.status_code == 200
        assert 'href="/lots/U' in answer.text


def test_the_figures_are_a_file_too(house: House) -> None:
    client = office(house, "manager").client
    rows = list(csv.DictReader(io.StringIO(client.get("/figures?format=csv").data.decode("utf-8-sig"))))
    [mine] = [row for row in rows if row["station"] == "Drawing machine 1"]
    assert (mine["runs"], mine["exact"], mine["same_times"], mine["same_grams"]) == ("1", "0", "2", "480000")
    told = {row["station"]: row for row in client.get("/figures?format=json").get_json()["figures"]}
    assert told["Drawing machine 1"]["runs"] == 1
    station = house.thing("station", "draw_1")
    behind = client.get(f"/figures/runs?what=same&station={station}&format=csv").data.decode("utf-8-sig")
    assert len(behind.splitlines()) == 2


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/figures?first=never", 422),
        ("/figures?first=2026-11-24&last=2026-11-02", 422),
        ("/figures?first=0001-01-01", 422),
        ("/figures?last=9999-12-31", 422),
        ("/figures/runs?what=nothing", 404),
        ("/figures/runs?what=closed&station=T2600000000", 404),
        ("/figures/runs?what=closed", 404),
    ],
)
def test_what_cannot_be_asked_is_told(house: House, address: str, status: int) -> None:
    assert office(house, "manager").client.get(address).status_code == status


def test_whoever_does_not_answer_for_them_is_told_who_does(house: House) -> None:
    answer = office(house, "operator").client.get("/figures")
    assert answer.status_code == 403
    assert "supervisor" in answer.text
