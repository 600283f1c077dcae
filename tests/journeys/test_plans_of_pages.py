"""Does a page that is opened every day stay as quick in its tenth year as in its first?

It may read whole what the plant itself is (its people, things, firms), by an index of them what is open
of all there ever was, and from the end as many of the latest as it shows.
"""

import re
from collections.abc import Sequence

import pytest
from flask.testing import FlaskClient
from lotroot.database import Database
from lotroot.demo.practice import people
from lotroot.plant.adopted import number_of
from lotroot.posting.door import Door
from lotroot.reconciliation.yields import GROUPINGS
from lotroot.web.app import create_app
from query_plans import plans_by_statement
from sqlalchemy import text

PLANT = "plant|printer|name|thing|person|party|device|login|series|complaint|walk|floor|goods|mine|CONSTANT"
"""Complaints are no plant's, but one that has thousands of them has other troubles."""
ASKED = r"counted|weights|numbered|entries|\(subquery"
"""What a statement has found itself, by an index, of the days that are asked about."""
OPEN = (
    "ix_edge_in_doubt|ix_question_open|ix_carrier_open_pallet|ix_shipment_open|ix_label_unproved"
    "|ix_stock_count_open|ix_stock_count_waiting"
)
LATEST = "LIMIT"
KNOWN = "known=2026-11-18T12:00"
PAGES = (
    *("/", "/station", "/morning", "/holds", "/tray", "/complaints", "/receiving", "/moving", "/packing"),
    *("/count", "/counts"),
    *(
        "/shipment",
        "/checks",
        "/plant",
        "/people",
        "/firms/osprey",
        "/layouts",
        "/find",
        "/yields",
        "/dies",
        "/reckon",
        "/reckon/barbed?product=barbed_25_20",
        "/factors",
        "/factors/barbed_25_20",
        "/mass",
        "/gaps",
        "/health",
        "/compare",
        "/met",
        "/emergency",
        "/catchup",
        "/scanner",
        "/tares",
        "/figures",
        "/bins",
    ),
    *(f"/yields?by={by}" for by in GROUPINGS),
    *(
        "/yields?from=2026-10-15&to=2026-12-15&process=nail_making",
        "/yields?by=product&station=DRAW_1",
        "/yields?by=shift&product=wire_25",
        "/yields?by=station&heat=H71204",
        "/yields?by=heat&supplier=bellmead",
        f"/yields?{KNOWN}",
        f"/yields?by=heat&{KNOWN}",
        f"/yields/changes?{KNOWN}",
        "/yields/runs",
        "/yields/runs?heat=H71204&beyond=1",
        "/yields/runs?reason=ends&how=weighed",
        "/yields/scrap",
        "/yields/scrap?supplier=bellmead",
        "/yields/missing",
        "/yields/missing?shift=early",
        "/yields/months",
    ),
)


@pytest.fixture(scope="module")
def desk(demo_database: Database) -> FlaskClient:
    """An office of the demo plant, where its administrator is at work."""
    client = create_app(demo_database, Door(demo_database), demo=True).test_client()
    token = re.findall(r'name="csrf-token" content="(\w+)"', client.get("/signin").text)[0]
    [boss] = [one for one in people() if "administrator" in one.roles]
    told = {"csrf_token": token, "badge": boss.badge, "pin": boss.pin}
    assert client.post("/signin/badge", data=told).status_code == 303
    return client


def grows(statement: str, step: str, steps: Sequence[str]) -> bool:
    """Whether a step reads what grows with every day of the plant.

    The newest few in the order of an index, or of the table's own key, are no more than is shown.
    """
    if not step.startswith("SCAN") or re.match(rf"SCAN ({PLANT}|{ASKED})\b", step) or re.search(OPEN, step):
        return False
    sorted_first = any("TEMP B-TREE FOR ORDER BY" in one for one in steps)
    in_order = re.search("USING (COVERING )?INDEX", step) or ("ORDER BY" in statement and not sorted_first)
    return LATEST not in statement or not (in_order or step.startswith("SCAN recent"))


@pytest.mark.parametrize("page", PAGES)
def test_a_page_reads_no_more_than_it_shows(demo_database: Database, desk: FlaskClient, page: str) -> None:
    said: list[int] = []
    with demo_database.reading() as connection:
        address = page.replace("DRAW_1", number_of(connection, "station", "draw_1"))
        plans = plans_by_statement(connection, lambda: said.append(desk.get(address).status_code))
    found = [(step, statement) for statement, steps in plans.items() for step in steps]
    assert [(step, statement) for step, statement in found if grows(statement, step, plans[statement])] == []
    assert said in ([200], [303])  # an office has no station of its own


def test_what_reads_a_growing_table_whole_is_seen(demo_database: Database) -> None:
    planted = ("SELECT * FROM label ORDER BY fields", "SELECT * FROM label ORDER BY fields\n LIMIT 5")
    with demo_database.reading() as connection:
        plans = plans_by_statement(connection, lambda: [connection.execute(text(one)) for one in planted])
    assert [grows(statement, steps[0], steps) for statement, steps in plans.items()] == [True, True]
