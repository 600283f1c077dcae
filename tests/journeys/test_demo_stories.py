"""Does every number of the demo plant open its story, and do treated goods carry their cautions?"""

import csv
import io
import re

import pytest
from flask.testing import FlaskClient
from lotroot.accounts.badges import badge_of
from lotroot.accounts.people import everybody
from lotroot.database import Database
from lotroot.dispatch.facts import shipment
from lotroot.genealogy.tables import lot
from lotroot.posting.door import Door
from lotroot.production.tables import run
from lotroot.quality.facts import checked
from lotroot.reference import row
from lotroot.stock.tables import carrier
from lotroot.web.app import create_app
from sqlalchemy import select


@pytest.fixture(scope="module")
def demo(demo_database: Database) -> Database:
    return demo_database


@pytest.fixture(scope="module")
def client(demo: Database) -> FlaskClient:
    """A browser at the laboratory, where nobody is on duty: reading takes no badge."""
    found = create_app(demo, Door(demo), demo=True).test_client()
    token = re.search(r'name="csrf-token" content="(\w+)"', found.get("/signin").text)
    assert token
    found.post("/signin/station", data={"csrf_token": token[1], "station": "laboratory"})
    return found


def numbers(demo: Database, column: object) -> list[str]:
    with demo.reading() as connection:
        return sorted(connection.scalars(select(column)))


@pytest.mark.in_ci
def test_every_fourth_lot_and_every_shipment_run_and_pan_opens(demo: Database, client: FlaskClient) -> None:
    some = numbers(demo, lot.c.number)[::4] + numbers(demo, shipment.c.number)
    some += numbers(demo, run.c.number)[::4] + numbers(demo, carrier.c.number)[::8]
    assert [number for number in some if client.get(f"/lots/{number}").status_code != 200] == []


def says(client: FlaskClient, number: str, key: str) -> bool:
    return row("cautions", key=key)["sentence"] in client.get(f"/lots/{number}").text


def test_treated_goods_solution_and_charges_carry_their_cautions(demo: Database, client: FlaskClient) -> None:
    """DESIGN.md section 11; the sentences and their sources stand in shared/cautions.csv."""
    with demo.reading() as connection:
        lots = connection.execute(select(lot).order_by(lot.c.id)).all()
        charge = connection.scalars(select(run.c.number).where(run.c.process == "pressure_treating")).first()
    treated = next(one for one in lots if one.number.startswith("L") and one.run)
    bought = next(one for one in lots if one.number.startswith("L") and not one.run)
    solution = next(one for one in lots if one.number.startswith("K") and one.unit == "ml")
    pvc = next(one for one in lots if one.number.startswith("K") and one.unit == "g")
    for key in ("label_decides", "gauge_no_assay", "composite_no_piece", "tag_states_record"):
        assert says(client, treated.number, key), key
        assert not says(client, bought.number, key), key
    assert says(client, solution.number, "mix_is_proposal")
    assert not says(client, pvc.number, "mix_is_proposal")
    assert says(client, str(charge), "no_safety_system")


def test_the_packing_list_of_treated_packs_carries_their_cautions(
    demo: Database, client: FlaskClient
) -> None:
    sent = numbers(demo, shipment.c.number)
    papers = [client.get(f"/shipment/{number}/paper").text for number in sent]
    treated = [page for page in papers if "Treated pine" in page]
    assert treated
    for key in ("record_no_certificate", "label_decides", "tag_states_record"):
        sentence = row("cautions", key=key)["sentence"]
        assert [page for page in papers if sentence in page] == treated, key


def test_a_charge_tells_wood_and_solution_each_in_its_own_unit(demo: Database, client: FlaskClient) -> None:
    with demo.reading() as connection:
        charges = select(run.c.number).where(run.c.process == "pressure_treating")
        charge = str(connection.scalars(charges).first())
        pack = str(connection.scalars(select(lot.c.number).where(lot.c.run == charge)).all()[-1])
    page = client.get(f"/lots/{charge}").text.replace("\u202f", " ")
    assert "Gave of this</th>" in page, "pieces and litres are no kilograms"
    # 20 150 l went in, 17 280 l came back; 3 packs of 294 pieces of 12 388.62 cm3 (demo, 11 November).
    assert "2 870 l in 10.926762 m3 of wood, 262 l/m3, calculated by the tank gauge" in page
    assert "294 pcs" in page.partition("Gave of this")[2].partition("What became of it")[0]
    story = client.get(f"/lots/{pack}").text.replace("\u202f", " ")
    assert "from 0 m3 to" in story
    assert "from 0 l to" in story
    assert "from 0 pcs to 3" not in story, "its wood is counted in m3"


def test_a_limit_from_memory_is_said_to_be_unconfirmed(demo: Database, client: FlaskClient) -> None:
    with demo.reading() as connection:
        doubtful = connection.scalars(select(checked.c.lot).where(checked.c.confirmed == 0)).first()
    page = client.get(f"/lots/{doubtful}").text
    assert "limits not confirmed" in page
    assert row("cautions", key="table_unconfirmed")["sentence"] in page


def test_reading_offers_no_act_to_nobody(demo: Database, client: FlaskClient) -> None:
    number = numbers(demo, lot.c.number)[0]
    page = client.get(f"/lots/{number}").text
    assert "Nothing, for your roles, as it stands." in page
    answer = client.post(f"/lots/{number}/hold", data={"hold_what": f"{number}:0:0", "hold_words": "odd"})
    assert answer.status_code == 419, "no token of this browser"


def test_no_page_shows_a_badge(demo: Database, client: FlaskClient) -> None:
    with demo.reading() as connection:
        badges = [str(badge_of(connection, one.number))[1:] for one in everybody(connection)]
    for address in ("/find?q=26", "/complaints", f"/lots/{numbers(demo, run.c.number)[0]}"):
        page = client.get(address).text
        assert [one for one in badges if one in page] == []


def test_a_shipment_of_packs_and_nails_tells_wood_in_pieces_and_solution_in_litres(
    demo: Database, client: FlaskClient
) -> None:
    units: dict[str, set[str]] = {}
    for number in numbers(demo, shipment.c.number):
        file = client.get(f"/lots/{number}/lineage.csv?direction=up").data.decode("utf-8-sig")
        for line in csv.DictReader(io.StringIO(file)):
            units.setdefault(line["stream"], set()).add(line["part_unit"])
    assert units["wood"] == {"pcs"}
    assert units["solution"] == {"ml"}
    assert "g" in units["steel"]
