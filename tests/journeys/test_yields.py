"""Is a yield what was made of what was used, and can a manager find it, as known now and before?"""

import csv
import html
import io
import re
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from compiled_once import compiled_once
from houses import House
from lotroot.balance.reconciling import permille
from lotroot.genealogy.tables import lot as lots
from lotroot.ledger.book import events, head
from lotroot.posting.features import APPLIES
from lotroot.posting.status import begin_status
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.correcting_outputs import CorrectOutput
from lotroot.production.loading import UnloadInput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.production.tables import run as run_table
from lotroot.receiving.commands import CorrectReceipt
from lotroot.reconciliation.knowing import Then
from lotroot.reconciliation.sums import Figures
from lotroot.reconciliation.yields import GROUPINGS, Asked, Line, scrap, yields
from lotroot.voiding.handling import Void
from lotroot.work import MICROSECONDS
from offices import an_office_house, office
from shop import Shop
from sqlalchemy import Connection, create_engine

EVER = Asked("2026-01-01", "2027-12-31")


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def drawn(shop: Shop, remainder: int, scrap: int = 0, heat: str = "A100") -> str:
    """A run that made 500 kg of a coil of 2 000 kg, threw some away, and weighed what was left."""
    lot = shop.drawn(shop.coil(heat=heat), 500_000)[0]
    if scrap:
        shop.at("draw_1", ScrapInput(scrap, "ends"))
    shop.at("draw_1", UnloadInput(remainder=remainder, how="weighed"))
    shop.at("draw_1", CloseRun())
    return lot


def figures(house: House, by: str = "process", **asked: Any) -> dict[str, Figures]:
    return {one.value: one.figures for one in house.ask(yields, EVER._replace(**asked), by)}


def test_a_yield_is_what_was_made_of_what_was_used_up_and_not_of_what_came_off_again(
    house: House, shop: Shop
) -> None:
    drawn(shop, 1_470_000, scrap=10_000)
    [(process, one)] = figures(house).items()
    assert (process, one.runs, one.beyond) == ("wire_drawing", 1, 1)
    # descaling takes eight thousandths of it, which the process names
    assert (one.used, one.good, one.scrap, one.loss) == (530_000, 500_000, 10_000, 4_240)
    assert (one.difference, one.missing) == (15_760, 15_760)


@pytest.mark.parametrize(
    ("by", "values"),
    [
        ("process", {"wire_drawing"}),
        ("product", {"wire_25"}),
        ("shift", {"early"}),
        ("supplier", {"nordhavn"}),
        ("heat", {"A100", "A200"}),
    ],
)
def test_runs_of_a_value_add_up_whatever_they_are_sorted_by(
    house: House, shop: Shop, by: str, values: set[str]
) -> None:
    drawn(shop, 1_480_000)
    drawn(shop, 1_500_000, heat="A200")
    shop.drawn(shop.coil(), 400_000)  # still open
    found = figures(house, by)
    assert set(found) == values
    assert sum(one.used for one in found.values()) == 1_020_000
    assert sum(one.good for one in found.values()) == 1_000_000
    # a loss that the process names is that of whole runs; of a heat's part it is still in the difference
    assert sum(one.difference + one.loss for one in found.values()) == 20_000


def test_a_run_counts_in_the_production_day_it_was_closed_in(house: House, shop: Shop) -> None:
    drawn(shop, 1_480_000)
    house.clock.forward(hours=19)  # half past one at night: still Monday's
    drawn(shop, 1_500_000)
    house.clock.forward(hours=5)
    drawn(shop, 1_490_000)
    assert figures(house, first="2026-11-02", last="2026-11-02")["wire_drawing"].runs == 2
    assert figures(house, first="2026-11-03", last="2026-11-03")["wire_drawing"].used == 510_000


def worked(house: House, shop: Shop) -> list[Then]:
    """Runs are closed, corrected, taken back; the time and the last event of the ledger after each act."""
    stood: list[Then] = []

    def note() -> None:
        house.clock.forward(minutes=5)
        with house.reading() as connection:
            stood.append(Then(house.clock.at, head(connection).count))

    note()
    drawn(shop, 1_480_000, scrap=4_000)
    note()
    lot = drawn(shop, 1_500_000, heat="A200")
    note()
    run = next(row["number"] for row in house.rows(run_table) if row["product"] == "wire_25")
    house.post(CorrectOutput(run, 1, 460_000), "supervisor", station=house.thing("station", "draw_1"))
    note()
    shop.nails(lot, 200_000)
    shop.at("nail_1", UnloadInput(remainder=298_000, how="weighed"))
    closing = shop.at("nail_1", CloseRun()).posting
    note()
    house.post(Void(closing), "supervisor")
    note()
    house.clock.forward(days=2)
    shop.at("nail_1", CloseRun())
    note()
    return stood


def at_the_time(house: House, count: int) -> dict[str, list[Line] | list[Any]]:
    """What is known now where the ledger ends in that event: status made of the events up to it alone."""
    scratch = compiled_once(create_engine("sqlite://"))
    with house.reading() as connection, scratch.begin() as target:
        begin_status(target)
        for recorded in events(connection):
            for apply in APPLIES if recorded.id <= count else ():
                apply(target, recorded)
        found = answers(target, EVER)
    scratch.dispose()
    return found


def answers(connection: Connection, asked: Asked) -> dict[str, list[Line] | list[Any]]:
    return {by: yields(connection, asked, by) for by in GROUPINGS} | {"scrap": scrap(connection, asked)}


def test_as_known_then_is_what_the_events_up_to_then_say(house: House, shop: Shop) -> None:
    stood = worked(house, shop)
    told = [at_the_time(house, one.head or 0) for one in stood]
    assert all(told[place]["process"] != told[place - 1]["process"] for place in range(1, len(told)))
    for then, wanted in zip(stood, told, strict=True):
        assert house.ask(answers, EVER._replace(then=Then(at=then.at))) == wanted
        assert house.ask(answers, EVER._replace(then=Then(head=then.head))) == wanted
    shop.closes()


def test_a_heat_told_later_counts_for_every_run_down_to_the_nails(house: House, shop: Shop) -> None:
    lot = drawn(shop, 1_480_000)
    shop.nails(lot, 200_000)
    shop.at("nail_1", UnloadInput(remainder=298_000, how="weighed"))
    shop.at("nail_1", CloseRun())
    before = house.clock.at
    assert figures(house, "heat")["A100"].used == 520_000 + 202_000
    [coil] = [row["number"] for row in house.rows(lots) if row["kind"] == "rod"]
    house.post(CorrectReceipt(lot=coil, heats=("B200",), supplier="bellmead"), "qa")
    assert {heat: one.used for heat, one in figures(house, "heat").items()} == {"B200": 722_000}
    assert set(figures(house, "supplier")) == {"bellmead"}
    assert set(figures(house, "heat", then=Then(at=before))) == {"A100"}
    shop.closes()


def test_another_coil_upstream_counts_for_the_runs_after_it(house: House, shop: Shop) -> None:
    lot = drawn(shop, 1_480_000)
    shop.nails(lot, 200_000)
    shop.at("nail_1", UnloadInput(remainder=298_000, how="weighed"))
    shop.at("nail_1", CloseRun())
    right = shop.coil(heat="B200")
    run = min(row["number"] for row in house.rows(run_table))
    house.post(CorrectInput(run, 1, right), "supervisor", station=house.thing("station", "draw_1"))
    assert {"B200"} == set(figures(house, "heat", only={"process": "wire_drawing"}))
    assert {"B200"} == set(figures(house, "heat", only={"process": "nail_making"}))
    shop.closes()


@pytest.mark.parametrize(
    ("made", "used", "found"), [(0, 0, None), (1, 3, 333), (2, 3, 667), (1, 1, 1000), (11, 10, 1100)]
)
def test_a_part_is_rounded_half_up_and_there_is_none_of_nothing(
    made: int, used: int, found: int | None
) -> None:
    assert permille(made, used) == found


def plain(page: str) -> str:
    """A page with plain blanks between figures and units."""
    return re.sub("[\u00a0\u2009\u202f]", " ", page)


def said_on(house: House, moment: int) -> str:
    """A time as a field of a page sends it."""
    return datetime.fromtimestamp(moment / MICROSECONDS, ZoneInfo("America/Port_of_Spain")).strftime(
        "%Y-%m-%dT%H:%M:%S"
    )


def test_a_manager_gets_there_from_search_and_each_run_tells_its_own(house: House, shop: Shop) -> None:
    lot = drawn(shop, 1_470_000, scrap=10_000)
    client = office(house, "manager").client
    assert 'href="/yields"' in client.get("/find").text
    page = client.get("/yields").text
    assert "Wire drawing" in page
    assert ">94.3<" in page
    assert "94.3 %" in client.get(f"/lots/{lot}").text


@pytest.mark.parametrize("by", GROUPINGS)
def test_every_figure_opens_the_runs_behind_it(house: House, shop: Shop, by: str) -> None:
    drawn(shop, 1_480_000)
    drawn(shop, 1_500_000, heat="A200")
    client = office(house, "manager").client
    page = client.get(f"/yields?by={by}").text
    address = html.unescape(re.findall(r'href="(/yields/runs[^"]*)"', page)[0])
    opened = client.get(address).text
    runs = (len(figures(house, by)) == 1 and 2) or 1
    assert opened.count('data-label="What, and where"') == runs
    rows = file_of(client, address, "runs")
    assert sum(int(row["used"]) for row in rows) == max(one.used for one in figures(house, by).values())


def file_of(client: Any, address: str, name: str = "yields") -> list[dict[str, str]]:
    """The rows of an answer's CSV, which its JSON agrees with."""
    joint = "&" if "?" in address else "?"
    text = client.get(f"{address}{joint}format=csv").data.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    told = client.get(f"{address}{joint}format=json").get_json()[name]
    assert [{key: str(value) for key, value in row.items()} for row in told] == rows
    return rows


def test_files_tell_base_units_of_days_narrowed_and_sorted(house: House, shop: Shop) -> None:
    drawn(shop, 1_470_000, scrap=10_000)
    drawn(shop, 1_500_000, heat="A200")
    client = office(house, "manager").client
    [row] = file_of(client, "/yields?by=process&heat=A100&from=2026-11-01&to=2026-11-30")
    assert (row["used"], row["good"], row["scrap"], row["difference"]) == (
        "530000",
        "500000",
        "10000",
        "20000",
    )
    assert file_of(client, "/yields?from=2026-10-01&to=2026-10-31") == []
    [row] = file_of(client, "/yields/scrap", "scrap")
    assert (row["reason"], row["how"], row["amount"], row["runs"]) == ("ends", "weighed", "10000", "1")
    kinds = {row["by"] for row in file_of(client, "/yields/missing", "missing")}
    assert kinds == {"process", "station", "shift", "supplier", "heat"}


def test_the_last_thirty_days_are_thirty_and_the_last_twelve_months_a_year(house: House, shop: Shop) -> None:
    drawn(shop, 1_480_000)
    page = html.unescape(office(house, "manager").client.get("/yields").text)
    assert "Production days 2026-10-04 to 2026-11-02" in page
    for name, first in (("Last 30 days", "2026-10-04"), ("Last 12 months", "2025-11-03")):
        assert f'from={first}&to=2026-11-02">{name}<' in page


def test_where_mass_went_missing_it_is_said_where_a_named_loss_is(house: House, shop: Shop) -> None:
    drawn(shop, 1_480_000)
    page = office(house, "manager").client.get("/yields/missing").text
    assert "a loss that the process names is still in the difference" in page


@pytest.mark.parametrize(
    ("query", "named"),
    [
        ("days=never", "1 to 3660"),
        ("from=2026-13-01", "from"),
        ("from=2026-11-02&to=2026-11-01", "ends before it begins"),
        ("to=tomorrow", "to"),
        ("from=9999-12-31&to=9999-12-31", "from"),
        ("by=moon", "process, product"),
        ("known=last+week", "2026-11-24T14:05"),
        ("process=weaving", "no process weaving"),
        ("product=wire_99", "no product wire_99"),
        ("station=T9900000000", "no station T9900000000"),
        ("shift=noon", "no shift noon"),
        ("supplier=nobody", "no supplier nobody"),
        ("heat=H-0000", "No closed run used a heat H-0000"),
    ],
)
@pytest.mark.parametrize(
    "page", ["/yields", "/yields/runs", "/yields/scrap", "/yields/missing", "/yields/changes"]
)
def test_what_cannot_be_asked_is_told_by_its_field(house: House, page: str, query: str, named: str) -> None:
    client = office(house, "manager").client
    answer = client.get(f"{page}?{query}")
    assert answer.status_code == 422
    assert named in answer.text
    assert client.get(f"{page}?{query}&format=json").status_code == 422


def test_what_was_known_before_stands_beside_what_is_known_now(house: House, shop: Shop) -> None:
    drawn(shop, 1_480_000)
    house.clock.forward(hours=1)
    before = said_on(house, house.clock.at)
    house.clock.forward(hours=1)
    [run] = [row["number"] for row in house.rows(run_table)]
    client = office(house, "manager").client
    assert "Nothing has changed since" in client.get(f"/yields?known={before}").text
    house.post(CorrectOutput(run, 1, 460_000), "supervisor", station=house.thing("station", "draw_1"))
    page = plain(client.get(f"/yields?known={before}").text)
    assert "500 kg → <br>460 kg" in page
    assert "15.84 kg → <br>55.84 kg" in page
    [row] = file_of(client, f"/yields?known={before}")
    assert (row["good"], row["good_now"], row["difference"], row["difference_now"]) == (
        "500000",
        "460000",
        "15840",
        "55840",
    )
    changed = plain(client.get(f"/yields/changes?known={before}").text)
    assert "used 520 kg, goods 500 kg" in changed
    assert "used 520 kg, goods 460 kg" in changed
    assert f"/lots/{run}" in changed
    assert client.get("/yields/changes").status_code == 422
