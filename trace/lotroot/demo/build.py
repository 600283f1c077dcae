"""How is the demo plant built, the same to the last hash every time?

Every posting goes through the door, with the days' own clock and UUIDs drawn from a fixed seed.
"""

import random
import tomllib
import uuid
from typing import Any

from lotroot.accounts.badges import keep_badge, set_pin
from lotroot.accounts.handling import AddParty, AddPerson
from lotroot.adoption import AdoptPlant
from lotroot.database import Database
from lotroot.demo.notation import Line, Names, days
from lotroot.errors import LotrootError, Question, Unreadable
from lotroot.identity import Badge, ItemNumber, number_from
from lotroot.labelling.handling import ProveLabel
from lotroot.labelling.printed import never_scanned
from lotroot.ledger.book import Head, head
from lotroot.ledger.codec import decode
from lotroot.posting.door import Door
from lotroot.posting.features import COMMANDS
from lotroot.processes.adoption import resolve
from lotroot.processes.reading import parse
from lotroot.settings import data_folder
from lotroot.work import MICROSECONDS, Answer, Envelope
from lotroot.worker import drain

SEED = 20261120
FOUNDED = 1_793_880_000 * MICROSECONDS
"""5 November 2026, 12:00 UTC: when the demo's people and firms were entered."""
MOST_QUESTIONS = 20
SCANNED_AFTER = 30 * 60 * MICROSECONDS


class Build:
    """One build: the door with the days' clock, the people by their key, the numbers by their names."""

    def __init__(self, database: Database) -> None:
        chance = random.Random(SEED)  # the demo must come out the same each time; nothing here is secret
        self.at = FOUNDED
        self.door = Door(
            database,
            clock=lambda: self.at,
            make_uuid=lambda: uuid.UUID(int=chance.getrandbits(128), version=4),
        )
        self.people: dict[str, str] = {"": ""}
        self.names = Names()
        self.posted = 0

    def post(self, command: Any, person: str = "", **more: Any) -> Answer:
        """Post one command at the clock's time."""
        self.posted += 1
        # as long as the keys a page makes (web/static/scan.js), so that the demo takes the room a plant does
        envelope = Envelope(key=f"demo-{self.posted:021d}", person=person, proved=True, **more)
        return self.door.post(command, envelope)


def build(database: Database, *, labels: bool = True) -> Head:
    """Fill an empty database with the demo plant; with `labels` each is printed, and later scanned."""
    work, lines = begun(database)
    for line in lines:
        act(work, line)
        if labels:
            drain(work.door)
            _prove_older(work)
    with database.reading() as connection:
        return head(connection)


def begun(database: Database) -> tuple[Build, list[Line]]:
    """The demo plant with its people and firms, and the lines of its days that are to be posted."""
    work = Build(database)
    folder = data_folder("demo_seed")
    text = resolve((folder / "plant.toml").read_text(encoding="utf-8"))
    work.post(AdoptPlant(text))
    _people_and_firms(work, tomllib.loads((folder / "people.toml").read_text(encoding="utf-8")))
    return work, list(days(folder / "days", parse(text).zone))


def _people_and_firms(work: Build, told: dict[str, Any]) -> None:
    first = ""
    for key, one in told["person"].items():
        answer = work.post(AddPerson(one["name"], tuple(one["roles"])), first)
        number = work.people[key] = answer.numbers[0]
        first = first or number
        with work.door.database.writing() as connection:
            keep_badge(connection, number, str(Badge(one["badge"])))
            set_pin(connection, number, one["pin"])
    for code, one in told["firm"].items():
        more = (one.get("market", ""), one.get("language", ""))
        work.post(AddParty(code, one["name"], one["kind"], one["country"], *more), first)


def act(work: Build, line: Line) -> None:
    """Post one line, answering its questions as the line says. Raises Unreadable naming the line."""
    work.at = max(work.at + 1, line.at)
    try:
        answer = _posted(work, line)
    except LotrootError as error:
        raise Unreadable(
            "A line of the demo's days was not taken.",
            value=f"{line.where}: {line.do}: {error.what}",
            expected=error.expected,
            next_step="Mend the file.",
        ) from error
    if "as" in line.aside:
        work.names.known[line.aside["as"]] = answer.numbers[0]
    for name, number in zip(line.aside.get("as_list", ()), answer.numbers, strict=False):
        work.names.known[name] = number
    if "as_run" in line.aside:
        work.names.known[line.aside["as_run"]] = next(one for one in answer.numbers if one.startswith("U"))


def _prove_older(work: Build) -> None:
    """Labels are scanned on their goods within half an hour, but for one in twenty."""
    with work.door.database.reading() as connection:
        waiting = [row for row in never_scanned(connection, work.at - SCANNED_AFTER) if row.event % 20]
    for row in waiting:
        number = str(ItemNumber(number_from(row.number), row.first)) if row.first else row.number
        work.post(ProveLabel(number, row.copy))


def _posted(work: Build, line: Line) -> Answer:
    with work.door.database.reading() as connection:
        plain = {name: work.names.resolved(connection, value) for name, value in line.fields.items()}
        station = work.names.resolved(connection, f"station:{line.station}") if line.station else ""
    command: Any = decode(COMMANDS[line.do], plain)
    more: dict[str, Any] = {"station": station, "basis": line.aside.get("basis", "at once")}
    if line.aside.get("already"):
        more |= {"already": True, "supervisor": work.people[line.aside["supervisor"]]}
    answers: dict[str, str] = {}
    for _ in range(MOST_QUESTIONS):
        try:
            return work.post(command, work.people[line.who], answers=dict(answers), **more)
        except Question as question:
            answers[question.identifier] = _chosen(line, question)
    raise Unreadable("A line of the demo's days is asked about again and again.", value=line.where)


def _chosen(line: Line, question: Question) -> str:
    """The answer the line gives to a question, by the start of the question's name."""
    given: dict[str, str] = line.aside.get("answers", {})
    for start, choice in given.items():
        if question.identifier.startswith(start) and choice in question.choices:
            return choice
    raise question
