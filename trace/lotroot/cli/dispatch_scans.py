"""How long does a dispatcher wait for a scan, beside a request that does nothing?

The demo plant is served as `lotroot serve` does it; one client puts a pallet on a shipment and takes it
off again, each a command of the API and a durable posting. Only the putting on is timed.
"""

import gc
import http.client
import json
import secrets
import time
from typing import NamedTuple

from flask import Flask
from sqlalchemy import Connection, select

from lotroot.accounts import devices
from lotroot.accounts.enrolment import AllowDevice
from lotroot.bench.measuring import at
from lotroot.database import Database
from lotroot.demo.build import build
from lotroot.demo.practice import people
from lotroot.dispatch.facts import shipment
from lotroot.dispatch.handling import OpenShipment
from lotroot.errors import Fault
from lotroot.holds.reach import any_held
from lotroot.house import create
from lotroot.ledger.names import names_of
from lotroot.posting.door import Door
from lotroot.stock.standing import at_spot
from lotroot.stock.tables import carrier
from lotroot.web.answering import answering
from lotroot.web.app import create_app
from lotroot.work import Envelope

NOTHING = "/nothing"
SCANS = 300


class Scans(NamedTuple):
    """p50 and p99 in ms of a dispatch scan and of a route that does nothing."""

    scan: tuple[float, float]
    nothing: tuple[float, float]

    @property
    def ratio(self) -> float:
        """The scan's p99 over the other's."""
        return self.scan[1] / self.nothing[1]


def demo_plant(file: str) -> Database:
    """The demo plant in a new SQLite file, without its labels."""
    database = Database(file)
    create(database)
    build(database, labels=False)
    return database


def dispatch_scans(database: Database, scans: int = SCANS) -> Scans:
    """Measure on the demo plant; what was measured before in the same process is not looked through again."""
    gc.collect()
    gc.freeze()
    door = Door(database)
    with database.reading() as connection:
        numbers = {name: number for number, name in names_of(connection).items()}
        pallet = _pallet(connection)
        customer = str(connection.scalar(select(shipment.c.customer)))
    by_role = {role: numbers[one.name] for one in people() for role in one.roles}
    person = by_role["dispatcher"]
    token = _token(door, by_role["administrator"])
    opened = door.post(OpenShipment(customer), Envelope(person=person, key=_key("opened")))
    with answering(_app(database, door), threads=8) as port:
        client = http.client.HTTPConnection("127.0.0.1", port)
        told = {"shipment": opened.numbers[0], "number": pallet, "person": person}
        try:
            return _measured(client, token, told, scans)
        finally:
            client.close()


def _measured(client: http.client.HTTPConnection, token: str, told: dict[str, str], scans: int) -> Scans:
    taken, nothing = [], []
    for turn in range(scans + 10):
        begun_at = time.perf_counter_ns()
        _post(client, "load-shipment", token, told)
        scanned = time.perf_counter_ns() - begun_at
        _post(client, "unload-shipment", token, told)
        begun_at = time.perf_counter_ns()
        client.request("GET", NOTHING)
        client.getresponse().read()
        if turn >= 10:
            taken.append(scanned)
            nothing.append(time.perf_counter_ns() - begun_at)
    return Scans((at(taken, 0.5), at(taken, 0.99)), (at(nothing, 0.5), at(nothing, 0.99)))


def _post(client: http.client.HTTPConnection, name: str, token: str, told: dict[str, str]) -> None:
    headers = {
        "Authorization": f"Bearer {token}",
        "Content-Type": "application/json",
        "Idempotency-Key": _key(name),
    }
    client.request("POST", f"/api/commands/{name}", json.dumps(told), headers)
    response = client.getresponse()
    said = response.read()
    if response.status != 201:
        raise Fault(
            "A scan of the benchmark was refused.",
            value=said.decode(),
            expected="201",
            next_step="Look at the demo plant: is a closed pallet in the yard?",
        )


def _key(word: str) -> str:
    return f"{word}-{secrets.token_hex(16)}"


def _token(door: Door, administrator: str) -> str:
    allowed = door.post(AllowDevice("bench"), Envelope(person=administrator, key=_key("device"), proved=True))
    with door.database.writing() as connection:
        return devices.give_token(connection, allowed.numbers[0])


def _pallet(connection: Connection) -> str:
    """A closed pallet that stands in the plant, free to go."""
    rows = connection.execute(select(carrier).where(carrier.c.state == "closed", carrier.c.code == ""))
    for row in rows:
        on_it = at_spot(connection, row.number)
        if row.spot.startswith("T") and not any_held(
            connection, [(one.lot, one.first, one.last) for one in on_it]
        ):
            return str(row.number)
    raise Fault(
        "The demo plant has no pallet to load.",
        expected="A closed pallet in the yard that is not held.",
        next_step="Look at demo_seed.",
    )


def _app(database: Database, door: Door) -> Flask:
    """The application with a route beside it that does nothing."""
    app = create_app(database, door, demo=True)
    app.add_url_rule(NOTHING, view_func=lambda: "", endpoint="nothing")
    return app
