"""Does the story page answer whatever number is scanned, and can QA act from it?"""

import csv
import io
import json
from pathlib import Path

import pytest
from houses import House
from lotroot.holds.reach import held_by
from lotroot.identity.showing import shown
from offices import an_office_house, office, sent
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def test_a_stripper_tells_its_coil_its_run_and_where_it_is(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil(heat="A100")
    wire = shop.drawn(coil, 400_000)[0]
    nails = shop.nails(wire, 300_000)
    qa = office(house, "qa")
    page = qa.client.get(f"/lots/{wire}").text
    for told in (shown(coil), shown(nails), "A100", "Drawing machine 1", "The operator"):
        assert told in page
    assert shown(nails) in qa.client.get(f"/lots/{coil}").text
    pan = qa.client.get(f"/lots/{shop.pan('pan_17')}").text
    assert shown(nails) in pan


def test_a_number_is_found_however_it_is_written(house: House) -> None:
    coil = Shop(house).coil()
    qa = office(house, "qa")
    for written in (shown(coil), coil.lower()):
        assert qa.client.get(f"/lots/{written}").location == f"/lots/{coil}"
    assert qa.client.get(f"/t/{coil}").location == f"/lots/{coil}"
    assert qa.client.get(f"/find?q={coil}").location == f"/lots/{coil}"
    assert shown(coil) in qa.client.get(f"/find?q={coil[3:9]}").text
    wrong = qa.client.get("/lots/C2600000799")
    assert wrong.status_code in (404, 422)
    assert "Search" in wrong.text


def test_qa_holds_from_the_page_and_releases_with_a_pin(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    wire = shop.drawn(coil, 400_000)[0]
    qa, page = office(house, "qa"), f"/lots/{coil}"
    held = sent(qa, f"{page}/hold", page, hold_what=f"{coil}:0:0", hold_words="brittle at bending")
    assert "brittle at bending" in held
    (hold,) = house.ask(held_by, wire)
    form = {
        "release_hold": f"{hold.hold}/{coil}",
        "release_what": f"{coil}:0:0",
        "release_words": "bend passed",
    }
    sent(qa, f"{page}/release", page, **form)
    assert house.ask(held_by, wire) == []


def test_a_check_is_recorded_and_a_failing_one_asks_to_hold(house: House) -> None:
    shop = Shop(house)
    wire = shop.drawn(shop.coil(), 400_000)[0]
    qa, form = office(house, "qa"), f"/lots/{wire}/check"
    good = sent(qa, form, form, characteristic="wire_diameter", readings="2.50 2,51")
    assert "Recorded." in good
    assert "2.51" in good
    asked = sent(qa, form, form, characteristic="wire_diameter", readings="3.50")
    assert "Hold it" in asked
    wrong = sent(qa, form, form, characteristic="wire_diameter", readings="thick")
    assert "thick" in wrong
    assert 'role="alert"' in wrong


def test_lineage_leaves_as_a_file_for_a_spreadsheet_and_a_program(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil(heat="=A1")
    wire = shop.drawn(coil, 400_000)[0]
    qa = office(house, "qa")
    told = qa.client.get(f"/lots/{wire}/lineage.csv?direction=up")
    rows = list(csv.DictReader(io.StringIO(told.data.decode("utf-8-sig"))))
    assert {row["lot"] for row in rows} == {coil, wire}
    assert next(row["heats"] for row in rows if row["lot"] == coil) == "'=A1"
    whole = json.loads(qa.client.get(f"/lots/{wire}/lineage.json?direction=up").data)
    assert {one["lot"] for one in whole["lots"]} == {coil, wire}
