"""How is a new plant set up from the command line?"""

import argparse
import sys
import uuid
from contextlib import closing
from pathlib import Path

from lotroot.accounts.badges import badge_of, check_new_pin
from lotroot.accounts.handling import AddPerson, SetPin
from lotroot.adoption import AdoptPlant
from lotroot.cli.options import Commands, add_command, new_pin_from, say, text_of
from lotroot.database import Database
from lotroot.errors import Unavailable, Unreadable
from lotroot.house import create, hold
from lotroot.identity import number_from as parsed
from lotroot.ledger import high_water
from lotroot.posting.door import Door
from lotroot.processes.adoption import resolve
from lotroot.processes.bounds import check_bounds
from lotroot.processes.reading import parse
from lotroot.work import Envelope


def add_to(commands: Commands) -> None:
    """Add init."""
    one = add_command(
        commands,
        "init",
        init,
        "Set up a new plant: database, plant.toml, first administrator.",
        "Makes the database, adopts the plant that a plant.toml describes, and gives the first\n"
        "administrator a number, a badge and a PIN. The badge is printed below: it is how they sign in\n"
        "the first time. Everybody else is then added on the People page, or with lotroot people add.\n\n"
        "  lotroot init --plant plant.toml --administrator 'Marva Joseph'",
    )
    one.add_argument(
        "--plant", metavar="FILE", default="plant.toml", help="what the plant is (default: plant.toml)"
    )
    one.add_argument("--administrator", metavar="NAME", help="the first administrator's name (else asked)")
    one.add_argument("--pin-file", metavar="FILE", help="a file that holds their PIN (else asked)")


def init(arguments: argparse.Namespace) -> int:
    """Set up a new plant. All that can be refused is refused before anything is made."""
    text = resolve(text_of(arguments.plant))
    check_bounds(parse(text))
    name = arguments.administrator or _asked_name()
    pin = new_pin_from(arguments.pin_file, name)
    check_new_pin(pin)
    with closing(Database(arguments.database)) as database:
        _require_no_numbers(database)
        create(database)
        hold(database)
        _set_up(Door(database), text, name, pin)
    return 0


def _set_up(door: Door, text: str, name: str, pin: str) -> None:
    plant = door.post(AdoptPlant(text), Envelope(_key(), ""))
    person = door.post(AddPerson(name, ("administrator",)), Envelope(_key(), "")).numbers[0]
    # Nobody has a PIN yet to prove themselves with.
    door.post(SetPin(person), Envelope(_key(), person, secret=pin, proved=True))
    with door.database.reading() as connection:
        badge = badge_of(connection, person)
    say(plant.say)
    say(f"{name} administers it: number {parsed(person).shown}, badge {badge}.")
    say("Next: lotroot serve, then sign in with that badge.")


def _key() -> str:
    return f"init-{uuid.uuid4()}"


def _asked_name() -> str:
    if not sys.stdin.isatty():
        raise Unreadable(
            "The first administrator has no name.",
            expected="Their name.",
            next_step="Add: --administrator 'Marva Joseph'",
        )
    sys.stderr.write("Name of the first administrator: ")
    sys.stderr.flush()
    name = sys.stdin.readline().strip()
    if not name:
        raise Unreadable("The first administrator has no name.", next_step="Start again.")
    return name


def _require_no_numbers(database: Database) -> None:
    """Where a database was lost, starting anew would give its numbers a second time."""
    beside = high_water.beside(database.path)
    if beside is not None and beside.exists() and not Path(str(database.path)).exists():
        raise Unavailable(
            "Another database stood here: the file of the highest numbers it gave is left.",
            value=str(beside),
            expected=f"No {beside.name} beside a new database.",
            next_step="Restore its backup with lotroot restore; if it was a trial, delete that file.",
        )
