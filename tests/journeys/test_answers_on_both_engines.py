"""Do SQLite and PostgreSQL give one and the same answer to every question about a lineage?"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from engines import PostgresServer, sqlite_url
from houses import House, a_house
from lotroot.cli import main
from lotroot.database import Database
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.genealogy.lots import find_lot
from lotroot.holds.handling import PlaceHold
from lotroot.holds.reach import held_among, held_by
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.marking import CloseRun
from lotroot.quality.handling import RecordCheck
from lotroot.reconciliation.behind import changes, runs
from lotroot.reconciliation.knowing import Then
from lotroot.reconciliation.yields import GROUPINGS, Asked, scrap, yields
from lotroot.tracing import trace
from lotroot.tracing.gaps import gaps
from lotroot.tracing.met import KINDS, Met, Window, lots_met
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from offices import PIN, office
from query_plans import plans, read_whole
from shop import Shop
from sqlalchemy import text

Said = dict[str, Any]
NOVEMBER = Asked("2026-11-01", "2026-11-30")
OF_HEAT = NOVEMBER._replace(only={"heat": "H 1"})
BEFORE = NOVEMBER._replace(then=Then(head=1_000))


def worked_in(url: str) -> tuple[House, dict[str, str]]:
    """A house at an address in which the same was done as in every other: two coils to nails and away."""
    house = a_house(url, pin=PIN)
    shop = Shop(house)
    coil, other = shop.coil(heat="H 1"), shop.coil(heat="H 2")
    lots = shop.drawn(coil, 500_000, 400_000)
    shop.at("draw_1", RecordCheck(lots[0], "wire_diameter", readings=("2.51", "2.50", "2.49")))
    shop.at("draw_1", UnloadInput(remainder=1_150_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    late = house.clock.at
    house.clock.forward(hours=3)
    shop.at("draw_2", LoadInput(other, product="wire_25", end="outer"), happened=late)
    nails = shop.nails(lots[0], 300_000)
    shop.asked(CloseRun(), "off", "nail_1")
    shop.tumbled(nails, 290_000)
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, lots[1]), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    house.post(PlaceHold("brittle", coil), "qa")
    made = {"coil": coil, "first": lots[0], "second": lots[1], "nails": nails, "shipment": shipment}
    return house, {**made, "pan": shop.pan("pan_18")}


def asked_over_http(house: House, made: dict[str, str]) -> Said:
    """What the five pages and the lineage say, as programs get it."""
    desk = office(house, "qa").client
    whats = (
        f"machine:{house.thing('station', 'draw_1')}",
        f"person:{house.people['operator']}",
        "supplier:nordhavn",
    )
    heat, heat_of_coil = {"other": "H 1"}, {"heat": "H 1"}
    stretch = {"number": made["coil"], "from": "100 kg", "to": "450 kg", "end": "outer"}
    wanted: dict[str, tuple[str, dict[str, str]]] = {
        "common": ("/compare", {"q": f"{made['nails']}\n{made['second']}"}),
        **{f"met {what}": ("/met", {"what": what}) for what in whats},
        "met heat": ("/met", heat),
        "stretch": ("/stretch", stretch),
        "gaps": ("/gaps", {}),
        **{f"yields by {by}": ("/yields", {"by": by}) for by in GROUPINGS},
        "yields narrowed": ("/yields", {"by": "station", **heat_of_coil}),
        "yields as known before": ("/yields", {"by": "heat", "known": "2026-11-02T06:00:20"}),
        "runs behind": ("/yields/runs", heat_of_coil),
        "runs that changed": ("/yields/changes", {"known": "2026-11-02T06:00:20"}),
        "scrap": ("/yields/scrap", heat_of_coil),
        "missing": ("/yields/missing", {}),
        "up": (f"/lots/{made['nails']}/lineage.json", {}),
        "down": (f"/lots/{made['coil']}/lineage.json", {"direction": "down"}),
    }
    said: Said = {}
    for name, (address, query) in wanted.items():
        answer = desk.get(address, query_string={**query, "format": "json"})
        assert answer.status_code == 200, (name, answer.text)
        said[name] = answer.get_json()
    drawn = desk.get(f"/lots/{made['first']}/picture.svg")
    assert drawn.status_code == 200
    return {**said, "picture": drawn.text}


def asked_by_command(house: House, made: dict[str, str], read: Callable[[], str]) -> Said:
    """The lineage as the command line tells it, to programs and to people."""
    said: Said = {}
    for name, number, *words in (
        ("up", made["nails"], "--json"),
        ("down", made["coil"], "--down", "--json"),
        ("shipment", made["shipment"], "--up"),
    ):
        read()
        assert main(["trace", number, *words, "--database", house.database.url]) == 0
        told = read()
        said[name] = json.loads(told) if "--json" in words else told
    return said


def reads_whole(database: Database, made: dict[str, str]) -> list[str]:
    """What the questions read from end to end."""
    found = []
    with database.reading() as connection:
        nails = find_lot(connection, made["nails"])
        asked: dict[str, Callable[[], Any]] = {
            "back": lambda: trace(connection, made["nails"], "up"),
            "forward": lambda: trace(connection, made["coil"], "down"),
            "sources": lambda: sources_on(connection, made["pan"]),
            "recall": lambda: recall(connection, made["coil"]),
            "held": lambda: held_by(connection, made["nails"]),
            "yields": lambda: yields(connection, NOVEMBER, "heat"),
            "yields narrowed": lambda: yields(connection, OF_HEAT, "station"),
            "yields as known before": lambda: yields(connection, BEFORE, "process"),
            "runs behind": lambda: runs(connection, OF_HEAT),
            "runs that changed": lambda: changes(connection, BEFORE),
            "scrap": lambda: scrap(connection, OF_HEAT),
            "many held": lambda: held_among(connection, [(nails.id, None)]),
        }
        for question in asked.values():
            found += read_whole(plans(connection, question))
        for kind in KINDS:
            met = Met(kind, made["coil"])
            found += read_whole(plans(connection, lambda met=met: lots_met(connection, met, Window(0, 9))))
        found += read_whole(plans(connection, lambda: gaps(connection, 0)))
        planted = text("SELECT * FROM edge WHERE taken > 1")
        assert read_whole(plans(connection, lambda: connection.execute(planted))), "the finder is not blind"
    return found


def test_every_question_is_answered_alike(
    tmp_path: Path, postgres: PostgresServer, capsys: pytest.CaptureFixture[str]
) -> None:
    found = []
    with postgres.database() as address:
        for url in (sqlite_url(tmp_path), address):
            house, made = worked_in(url)
            try:
                commands = asked_by_command(house, made, lambda: capsys.readouterr().out)
                found.append((made, asked_over_http(house, made), commands))
                assert reads_whole(house.database, made) == []
            finally:
                house.database.close()
    (made, pages, commands), there = found
    assert (made, pages, commands) == there
    assert made["first"] in {one["lot"] for one in pages["stretch"]["lots"]}
    assert [one["lot"] for one in pages["met heat"]["lots"]] == [made["coil"]]
    assert all(pages[name]["lots"] for name in pages if name.startswith("met "))
    assert pages["common"]["causes"]
    assert {one["gap"] for one in pages["gaps"]["gaps"]} >= {"difference", "late entry"}
    assert (pages["up"], pages["down"]) == (commands["up"], commands["down"])
