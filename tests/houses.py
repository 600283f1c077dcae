"""How does a test get a house to work in: a database, a plant, and a person in every role?

    house = a_house(tmp_path)
    answer = house.post(ReceiveLot(...), "receiver", station=house.thing("station", "receiving"))

The clock is the test's own and goes on one second a posting, so that a day can pass between two lines.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from itertools import count, islice
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import plants
from compiled_once import compiled_once
from engines import filled_once
from lotroot import house as program
from lotroot.accounts.handling import AddParty, AddPerson, SetPin
from lotroot.adoption import AdoptPlant
from lotroot.database import Database
from lotroot.ledger.book import events, head
from lotroot.ledger.events import Recorded
from lotroot.ledger.tables import event
from lotroot.plant.adopted import current_plant, number_of
from lotroot.posting.door import Door
from lotroot.posting.features import APPLIES
from lotroot.posting.status import begin_status, tables
from lotroot.processes.adoption import resolve
from lotroot.work import MICROSECONDS, Answer, Envelope
from sqlalchemy import Connection, Table, create_engine, select

MONDAY = 1_793_613_600 * MICROSECONDS
"""2 November 2026, 10:00 UTC: six in the morning in the plants of the tests."""

FILE = "house.db"

SUPPLIERS = {"nordhavn": ("Nordhavn Staal", "DK"), "bellmead": ("Bellmead Rod and Wire", "GB")}
CUSTOMERS = {"tamarind": ("Tamarind Hardware", "TT"), "osprey": ("Osprey Building Supplies", "BB")}
PROVING = ("administrator", "qa", "supervisor", "manager")
"""The roles with acts that ask for a PIN."""


@dataclass
class Clock:
    """The house's clock, in microseconds UTC: a second goes by at each look."""

    at: int = MONDAY

    def __call__(self) -> int:
        self.at += MICROSECONDS
        return self.at

    def forward(self, *, minutes: int = 0, hours: int = 0, days: int = 0) -> None:
        """Let time go by."""
        self.at += ((days * 24 + hours) * 60 + minutes) * 60 * MICROSECONDS


@dataclass
class House:
    """One database with the door into it; `people` are numbers by the role they have.

    `founding` is how many events it began with.
    """

    door: Door
    clock: Clock
    people: dict[str, str] = field(default_factory=dict)
    founding: int = 0
    _keys: Iterator[int] = field(default_factory=lambda: count(1))

    @property
    def database(self) -> Database:
        return self.door.database

    def post(self, command: Any, who: str = "administrator", **envelope: Any) -> Answer:
        """Post as the person of a role (or a person's number), PIN proved, under a key of its own."""
        person = self.people.get(who, who)
        stated = {"key": f"test-key-{next(self._keys):012d}", "proved": True, **envelope}
        return self.door.post(command, Envelope(person=person, **stated))

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection to look with."""
        with self.database.reading() as connection:
            yield connection

    def ask(self, question: Any, *args: Any, **named: Any) -> Any:
        """What a query that takes a connection first answers: house.ask(find_lot, number)."""
        with self.reading() as connection:
            return question(connection, *args, **named)

    def thing(self, kind: str, code: str, owner: str = "") -> str:
        """The number on the label of a place, station, payoff ... by its code in the plant."""
        return str(self.ask(number_of, kind, code, owner))

    def rows(self, table: Any) -> list[dict[str, Any]]:
        """All rows of a table, in the order of its key."""
        with self.reading() as connection:
            return rows_of(connection, table)

    def status(self) -> dict[str, list[dict[str, Any]]]:
        """Every status table as it stands."""
        return {table.name: self.rows(table) for table in tables("status")}

    def rebuilt(self) -> dict[str, list[dict[str, Any]]]:
        """Every status table made anew from the events alone; must equal `status()`."""
        scratch = compiled_once(create_engine("sqlite://"))
        with self.reading() as connection, scratch.connect() as target:
            _as_at_the_first_hour(connection, target, self.founding)
            _replay(islice(events(connection), self.founding, None), target)
            return {table.name: rows_of(target, table) for table in tables("status")}


def rows_of(connection: Connection, table: Table) -> list[dict[str, Any]]:
    """All rows of a table, in the order of its key."""
    query = select(table).order_by(*table.primary_key)
    return [dict(row) for row in connection.execute(query).mappings()]


_first_hours: dict[tuple[int, str | None], bytes] = {}
"""What the founding events alone make of status, by how many there are and the hash that chains them."""


def _replay(recorded: Iterable[Recorded], target: Connection) -> None:
    for one in recorded:
        for apply in APPLIES:
            apply(target, one)


def _as_at_the_first_hour(source: Connection, target: Connection, founding: int) -> None:
    """Status as a house's first events make it, into an empty database in memory.

    Hundreds of houses begin with the same events, down to the hash of the last one: replayed once.
    """
    file = target.connection.driver_connection
    chained = source.scalar(select(event.c.hash).where(event.c.id == founding))
    if (founding, chained) not in _first_hours:
        begin_status(target)
        _replay(islice(events(source), founding), target)
        target.commit()
        _first_hours[founding, chained] = file.serialize()
    file.deserialize(_first_hours[founding, chained])


def a_house(where: Path | str, text: str | None = None, pin: str = "") -> House:
    """A new house in a folder (SQLite) or at a database URL, with the invented plant or the one given.

    It has a person for each role of that plant, two suppliers and two customers; with `pin` the roles that
    need one have it. It is copied from one that was built once for each text, engine and process.
    """
    plant = plants.demo_text() if text is None else text
    database = Database(f"sqlite:///{where / FILE}" if isinstance(where, Path) else where)
    model = _copied(database, plant, pin)
    clock = Clock(model.at)
    return House(Door(database, clock), clock, dict(model.people), model.events, count(model.posts))


def _copied(database: Database, plant: str, pin: str) -> "Model":
    """Make an empty database a copy of a house at its first hour; says how that house stands."""
    if database.path is None:
        return filled_once(database.url, (plant, pin), lambda url: _stands(Database(url), plant, pin))
    program.make_private(database)
    model, files = _model(plant, pin)
    for ending, content in files.items():
        Path(database.path + ending).write_bytes(content)
    return model


def _built(database: Database, plant: str, pin: str) -> House:
    program.create(database)
    clock = Clock()
    house = House(Door(database, clock), clock)
    house.post(AdoptPlant(resolve(plant)), "")
    _people(house)
    for kind, firms in (("supplier", SUPPLIERS), ("customer", CUSTOMERS)):
        for code, (name, country) in firms.items():
            house.post(AddParty(code, name, kind, country))
    for role in PROVING if pin else ():
        house.post(SetPin(house.people[role]), secret=pin)
    return house


@dataclass(frozen=True)
class Model:
    """What a test's house goes on from: who is there, when, and how much was recorded and posted."""

    people: dict[str, str]
    at: int
    events: int
    posts: int


def _stands(database: Database, plant: str, pin: str) -> Model:
    house = _built(database, plant, pin)
    recorded = house.ask(head).count
    house.database.close()
    return Model(house.people, house.clock.at, recorded, next(house._keys))


@cache
def _model(plant: str, pin: str) -> tuple[Model, dict[str, bytes]]:
    """A house at its first hour, and its files by what their names have after the database's."""
    with TemporaryDirectory() as folder:
        model = _stands(Database(f"sqlite:///{folder}/{FILE}"), plant, pin)
        return model, {one.name.removeprefix(FILE): one.read_bytes() for one in Path(folder).iterdir()}


def _people(house: House) -> None:
    """Ada founded the house and may do everything in it; the others have one role each."""
    allowed = house.ask(current_plant).roles
    roles = [role for role, commands in allowed.items() if commands]
    first = "administrator"
    house.people[first] = house.post(AddPerson("Ada Okafor", tuple(roles)), "").numbers[0]
    for role in roles:
        if role != first:
            house.people[role] = house.post(AddPerson(f"The {role}", (role,))).numbers[0]
