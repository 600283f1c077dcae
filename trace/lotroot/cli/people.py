"""How are people listed and added from the command line?"""

import argparse
import uuid
from contextlib import closing

from lotroot.accounts.badges import badge_of, check_new_pin, check_pin, person_with
from lotroot.accounts.handling import AddPerson, SetPin
from lotroot.accounts.people import everybody
from lotroot.cli.options import Commands, Parser, add_command, add_database, pin_from, say, text_of
from lotroot.database import Database
from lotroot.errors import Unreadable
from lotroot.house import look_into, open_house
from lotroot.identity import Badge, Number, read
from lotroot.identity import number_from as parsed
from lotroot.ledger.names import name_of
from lotroot.posting.door import Door
from lotroot.work import Envelope


def add_to(commands: Commands) -> None:
    """Add people list and people add."""
    one = add_command(
        commands,
        "people",
        list_people,
        "List who works here, or add somebody.",
        "  lotroot people list\n  lotroot people add 'Kern Ali' --role operator --by H26-000166-37",
    )
    acts = one.add_subparsers(metavar="ACT", title="acts (list, if none is named)")
    listing: Parser = acts.add_parser("list", help="one line each: number, roles, name")
    listing.set_defaults(run=list_people)
    add_database(listing)
    _add_adding(acts.add_parser("add", help="add somebody; prints their number and badge"))


def _add_adding(one: Parser) -> None:
    one.set_defaults(run=add_person)
    add_database(one)
    one.add_argument("name", metavar="NAME", help="the name people use")
    one.add_argument(
        "--role",
        action="append",
        required=True,
        metavar="ROLE",
        help="receiver, operator, treater, supervisor, qa, dispatcher, manager or administrator; "
        "several times for several roles",
    )
    one.add_argument(
        "--by", required=True, metavar="NUMBER", help="the administrator who adds them: number or badge"
    )
    one.add_argument("--by-pin-file", metavar="FILE", help="a file that holds that one's PIN (else asked)")
    one.add_argument("--pin-file", metavar="FILE", help="a file that holds a first PIN for the new one")


def list_people(arguments: argparse.Namespace) -> int:
    """One line each: number, roles, name, and who has left."""
    with closing(look_into(arguments.database)) as database, database.reading() as connection:
        for row in everybody(connection):
            left = "" if row.active else " (left)"
            roles = ",".join(row.roles.split())
            say(f"{parsed(row.number).shown}\t{roles}\t{name_of(connection, row.number)}{left}")
    return 0


def add_person(arguments: argparse.Namespace) -> int:
    """Add somebody in the name of an administrator, whose PIN proves them."""
    pin = text_of(arguments.pin_file).strip() if arguments.pin_file else None
    if pin is not None:
        check_new_pin(pin)
    with closing(open_house(arguments.database)) as database:
        _add(database, arguments, pin)
    return 0


def _add(database: Database, arguments: argparse.Namespace, pin: str | None) -> None:
    by = _administrator(database, arguments.by)
    check_pin(database, by, pin_from(arguments.by_pin_file, arguments.by))
    door = Door(database)
    answer = door.post(AddPerson(arguments.name, tuple(arguments.role)), Envelope(_key(), by, proved=True))
    person = answer.numbers[0]
    if pin is not None:
        door.post(SetPin(person), Envelope(_key(), by, secret=pin, proved=True))
    with database.reading() as connection:
        badge = badge_of(connection, person)
    say(answer.say)
    say(f"Number {parsed(person).shown}, badge {badge}.")


def _administrator(database: Database, text: str) -> str:
    value = read(text).value
    if isinstance(value, Badge):
        with database.reading() as connection:
            return person_with(connection, str(value))
    if isinstance(value, Number):
        return str(value)
    raise Unreadable(
        "This is nobody's number or badge.",
        value=text,
        expected="A number such as H26-000166-37, as lotroot people lists them.",
        next_step="Look it up with: lotroot people",
    )


def _key() -> str:
    return f"people-{uuid.uuid4()}"
