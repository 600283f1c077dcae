"""Does the picture of a day's mass show what the record says, and can one get to the runs behind it?"""

import csv
import io
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pypdfium2
import pytest
from houses import House, a_house
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.plant.adopted import plant_or_none
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.tracing.mass_days import Behind, Days, days_beside, latest_day, runs_behind
from lotroot.tracing.mass_flow import flow
from lotroot.tracing.mass_rows import mass_facts
from mass_facts import bands, sides
from offices import an_office_house, office
from query_plans import plans, read_whole
from shop import Shop
from sqlalchemy import event

DAY = "2026-11-02"
ONE_DAY = Days(DAY, DAY)
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def either(database_url: str) -> Iterator[House]:
    """A house on each engine."""
    made = a_house(database_url)
    yield made
    made.database.close()


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def drawn(shop: Shop, *weights: int, remainder: int = 1_000_000, scrap: int = 0) -> list[str]:
    """A run that drew strippers of a coil of 2 000 kg, threw some away, and weighed what was left."""
    lots = shop.drawn(shop.coil(), *weights)
    if scrap:
        shop.at("draw_1", ScrapInput(scrap, "ends"))
    shop.at("draw_1", UnloadInput(remainder=remainder, how="weighed"))
    shop.at("draw_1", CloseRun())
    return lots


def a_worked_day(shop: Shop) -> list[str]:
    """Two strippers, of which one became nails and the other left."""
    lots = drawn(shop, 600_000, 350_000, scrap=5_000)
    shop.at("nail_1", LoadInput(lots[0], product="nail_25x50"))
    shop.at("nail_1", MakeOutput(weight=594_000, carrier=shop.pan("pan_17")))
    shop.asked(CloseRun(), "ended", "nail_1")
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, lots[1]), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    return lots


def told(house: House, days: Days = ONE_DAY) -> dict[tuple[str, str], int]:
    """The bands of the days in g; at every node as much comes in as goes out."""
    with house.reading() as connection:
        [facts] = mass_facts(connection, days, plant_or_none(connection))
    found = flow(facts)
    comes, goes = sides(found)
    assert all(comes[key] == goes[key] for key in comes.keys() & goes.keys())
    return bands(found)


def test_on_both_engines_a_day_goes_from_the_coil_to_where_its_goods_stand(either: House) -> None:
    a_worked_day(Shop(either))
    assert told(either) == {
        ("source.rod.received", "step.wire_drawing"): 2_000_000,
        ("step.wire_drawing", "goods.stripper"): 950_000,
        ("step.wire_drawing", "back.wire_drawing.rod"): 1_000_000,
        ("step.wire_drawing", "scrap.wire_drawing.ends"): 5_000,
        ("step.wire_drawing", "loss.wire_drawing"): 8_000,
        ("step.wire_drawing", "missing.wire_drawing"): 37_000,
        ("goods.stripper", "step.nail_making"): 600_000,
        ("goods.stripper", "end.stripper.shipped"): 350_000,
        ("step.nail_making", "goods.nail_lot"): 594_000,
        ("step.nail_making", "loss.nail_making"): 2_400,
        ("step.nail_making", "missing.nail_making"): 3_600,
        ("goods.nail_lot", "end.nail_lot.stock"): 594_000,
    }
    with either.reading() as connection:
        behind = runs_behind(connection, ONE_DAY, Behind("g", ("wire_drawing",)))
        assert [(row.process, row.loaded, row.scrap) for row in behind] == [
            ("wire_drawing", 2_000_000, 5_000)
        ]


def statements(house: House) -> list[str]:
    """What the database is asked for one day's picture, with the steps of how it is found."""
    sent: list[str] = []
    with house.reading() as connection:
        plant = plant_or_none(connection)

        def note(*args: Any) -> None:
            sent.append(args[2])

        event.listen(connection.engine, "before_cursor_execute", note)
        mass_facts(connection, ONE_DAY, plant)
        event.remove(connection.engine, "before_cursor_execute", note)
    return sent


def test_on_both_engines_more_runs_take_no_more_statements_and_no_table_is_read_whole(
    either: House,
) -> None:
    drawn(Shop(either), 600_000)
    few = statements(either)
    for _ in range(3):
        drawn(Shop(either), 500_000, 400_000)
    assert statements(either) == few
    assert len(few) == 5
    with either.reading() as connection:
        lines = plans(connection, lambda: mass_facts(connection, ONE_DAY, plant_or_none(connection)))
    assert read_whole(lines) == []


def test_what_was_made_the_day_before_comes_from_stock_and_over_both_days_it_flows_on(
    house: House, shop: Shop
) -> None:
    lots = drawn(shop, 600_000)
    house.clock.forward(days=1)
    shop.at("nail_1", LoadInput(lots[0], product="nail_25x50"))
    shop.at("nail_1", MakeOutput(weight=600_000, carrier=shop.pan("pan_17")))
    shop.at("nail_1", CloseRun())
    after = "2026-11-03"
    assert told(house, Days(after, after))["source.stripper.stock", "step.nail_making"] == 600_000
    assert told(house)["goods.stripper", "end.stripper.gone"] == 600_000
    both = told(house, Days(DAY, after))
    assert both["goods.stripper", "step.nail_making"] == 600_000
    assert ("source.stripper.stock", "step.nail_making") not in both
    with house.reading() as connection:
        assert latest_day(connection) == after
        assert days_beside(connection, ONE_DAY) == Days("", after)
        assert days_beside(connection, Days(after, after)) == Days(DAY, "")


def test_a_supervisor_finds_the_page_reads_it_and_opens_the_runs(house: House, shop: Shop) -> None:
    a_worked_day(shop)
    client = office(house, "supervisor").client
    assert 'href="/mass"' in client.get("/holds").text
    assert 'href="/mass"' in client.get("/yields").text
    page = client.get("/mass").text
    assert "Mass of Mon 2 Nov 2026" in page
    assert "By kinds, not lot by lot" in page
    assert "style=" not in page.split("<svg")[-1].split("</svg>")[0]
    behind = client.get(f"/mass?day={DAY}&of=g.scrap.wire_drawing.ends").text
    assert "Runs behind: Scrap: Ends, head or tail, Wire drawing" in behind
    assert behind.partition("Runs behind")[2].count('href="/lots/U') == 1


def test_only_those_who_settle_differences_have_it_among_their_pages(house: House) -> None:
    """The page itself may be read by all, as the yields may."""
    listed = {who: 'href="/mass"' in office(house, who).client.get("/holds").text for who in house.people}
    assert {who for who, there in listed.items() if there} == {"administrator", "supervisor", "qa", "manager"}
    assert office(house, "operator").client.get("/mass").status_code == 200


def test_the_picture_says_of_every_node_and_band_what_the_table_says(house: House, shop: Shop) -> None:
    a_worked_day(shop)
    client = office(house, "manager").client
    root = ElementTree.fromstring(client.get(f"/mass.svg?day={DAY}").data)
    rows = client.get(f"/mass?day={DAY}&format=json").get_json()["bands"]
    said = [one.find(f"{SVG}title").text for one in root.iter(f"{SVG}path")]
    assert len(said) == len(rows)
    assert {tuple(one.split(": ")[0].split(" to ")[:1]) for one in said} == {(row["from"],) for row in rows}
    links = [one.get("href") for one in root.iter(f"{SVG}a")]
    keys = {row[end] for row in rows for end in ("from_code", "to_code")}
    assert {link.partition("&of=g.")[2].removesuffix("#runs") for link in links} == keys
    assert all(one.get("aria-label") for one in root.iter(f"{SVG}a"))
    text = client.get(f"/mass?day={DAY}&format=csv").data.decode("utf-8-sig")
    written = list(csv.DictReader(io.StringIO(text)))
    assert [row["amount"] for row in written] == [str(row["amount"]) for row in rows]


def test_it_prints_on_one_page_lying(house: House, shop: Shop) -> None:
    a_worked_day(shop)
    client = office(house, "manager").client
    answer = client.get(f"/mass.pdf?day={DAY}")
    assert answer.data == client.get(f"/mass.pdf?day={DAY}").data
    with closing(pypdfium2.PdfDocument(answer.data)) as document:
        assert len(document) == 1
        width, height = document.get_page_size(0)
        assert width > height
        text = document[0].get_textpage().get_text_range()
    assert all(
        words in text for words in ("Mon 2 Nov 2026", "Wire drawing", "Nail lot", "missing", "shipped")
    )


@pytest.mark.parametrize(
    ("asked", "status", "said"),
    [
        ("", 200, "No run was closed yet."),
        ("day=2026-11-01", 200, "No run was closed in these days."),
        ("day=yesterday", 422, "That is no day."),
        ("day=2026-02-30", 422, "That is no day."),
        ("from=2026-11-03&to=2026-11-02", 422, "These days cannot be shown."),
        ("from=2020-01-01&to=2026-11-02", 422, "at most 366 days"),
        ("of=g.step.nothing", 200, "No run was closed yet."),
    ],
)
def test_what_cannot_be_shown_is_said(house: House, asked: str, status: int, said: str) -> None:
    answer = office(house, "manager").client.get(f"/mass?{asked}")
    assert answer.status_code == status
    assert said in answer.text


def test_files_of_no_day_and_of_no_unit_say_so(house: House, shop: Shop) -> None:
    client = office(house, "manager").client
    assert client.get("/mass?format=json").get_json()["bands"] == []
    assert client.get("/mass.pdf").data.startswith(b"%PDF")
    a_worked_day(shop)
    assert client.get("/mass.svg?unit=ml").status_code == 422
    assert client.get("/mass.pdf?day=never").status_code == 422
