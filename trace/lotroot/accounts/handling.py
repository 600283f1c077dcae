"""How do people, badges, PINs, suppliers and customers enter the record?"""

import re
from dataclasses import dataclass

from lotroot.accounts import badges, enrolment, firms
from lotroot.accounts.firms import check_market
from lotroot.accounts.people import (
    BadgeIssued,
    PersonAdded,
    PersonLeft,
    PinSet,
    RolesChanged,
    roles_of,
)
from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.identity.showing import shown
from lotroot.ledger.names import give_name, name_of
from lotroot.plant.facts import PartyAdded, party
from lotroot.work import Answer, Handler, Work

_CODE = re.compile(r"[a-z0-9][a-z0-9-]{1,30}")


@dataclass(frozen=True)
class AddPerson:
    """Somebody starts to work here; `roles` as in plant.toml. A badge is made for them."""

    name: str
    roles: tuple[str, ...]


@dataclass(frozen=True)
class ChangeRoles:
    """A person gets other roles."""

    member: str
    roles: tuple[str, ...]


@dataclass(frozen=True)
class RemovePerson:
    """A person leaves; their badge and PIN lead nowhere from now on."""

    member: str


@dataclass(frozen=True)
class IssueBadge:
    """A person gets a new badge; the lost one is revoked."""

    member: str


@dataclass(frozen=True)
class SetPin:
    """A person gets a new PIN, which travels beside the command, never in it."""

    member: str


@dataclass(frozen=True)
class AddParty:
    """The plant begins to deal with a supplier or customer, known by a short code."""

    code: str
    name: str
    kind: str
    country: str = ""
    market: str = ""
    language: str = ""


def _add_person(work: Work, command: AddPerson) -> Answer:
    roles = _known_roles(work, command.roles)
    if not command.name.strip():
        raise _nameless("person")
    number = work.number("H")
    work.record(PersonAdded(number, roles))
    give_name(work.connection, number, command.name.strip())
    badges.issue_badge(work.connection, number)
    work.record(BadgeIssued(number))
    return Answer(f"{shown(number)} works here now, as {', '.join(roles)}.", (number,))


def _change_roles(work: Work, command: ChangeRoles) -> Answer:
    was = _known_person(work, command.member)
    roles = _known_roles(work, command.roles)
    work.record(RolesChanged(command.member, roles, tuple(sorted(was))))
    who = shown(command.member)
    return Answer(f"{who} now has: {', '.join(roles)}.", (command.member,))


def _remove_person(work: Work, command: RemovePerson) -> Answer:
    _known_person(work, command.member)
    work.record(PersonLeft(command.member))
    who = shown(command.member)
    return Answer(f"{who} is signed out for good. The badge no longer works.", (command.member,))


def _issue_badge(work: Work, command: IssueBadge) -> Answer:
    _known_person(work, command.member)
    badges.issue_badge(work.connection, command.member)
    work.record(BadgeIssued(command.member))
    who = shown(command.member)
    return Answer(f"{who} has a new badge; the old one no longer works.", (command.member,))


def _set_pin(work: Work, command: SetPin) -> Answer:
    _known_person(work, command.member)
    badges.set_pin(work.connection, command.member, work.secret)
    work.record(PinSet(command.member))
    return Answer(f"The PIN of {shown(command.member)} is set.", (command.member,))


def _add_party(work: Work, command: AddParty) -> Answer:
    if command.kind not in ("supplier", "customer"):
        raise Unreadable(
            "A firm is a supplier or a customer.",
            value=command.kind,
            expected="supplier or customer",
            next_step="Choose one.",
        )
    if not _CODE.fullmatch(command.code):
        raise Unreadable(
            "This short code cannot be used.",
            value=command.code,
            expected="2 to 31 small letters, digits and hyphens.",
            next_step="Choose another.",
        )
    if not command.name.strip():
        raise _nameless(command.kind)
    known = work.connection.execute(party.select().where(party.c.code == command.code)).first()
    if known is not None:
        raise Refused(
            f"{command.code} is taken by {name_of(work.connection, command.code)}.",
            word="already",
            value=command.code,
            expected="A code not used yet.",
            next_step="Choose another code.",
        )
    check_market(command.market, command.language)
    told = (command.country, command.market, command.language)
    work.record(PartyAdded(command.code, command.kind, *told))
    give_name(work.connection, command.code, command.name.strip())
    return Answer(f"{command.name.strip()} is a {command.kind} now.", (command.code,))


def _nameless(what: str) -> Unreadable:
    return Unreadable(f"A {what} needs a name.", expected="The name people use.", next_step="Enter the name.")


def _known_roles(work: Work, roles: tuple[str, ...]) -> tuple[str, ...]:
    unknown = [role for role in roles if role not in work.plant.roles]
    if unknown or not roles:
        raise Unreadable(
            "A person needs roles this plant knows.",
            value=", ".join(unknown) or "none",
            expected=f"One or more of: {', '.join(work.plant.roles)}.",
            next_step="Choose from the list.",
        )
    return tuple(sorted(set(roles)))


def _known_person(work: Work, number: str) -> frozenset[str]:
    roles = roles_of(work.connection, number)
    if roles is None:
        raise Unknown(
            "Nobody with that number works here.",
            value=number,
            expected="A person on the list.",
            next_step="Choose from People.",
        )
    return roles


HANDLERS: dict[type, Handler] = {
    AddPerson: Handler(_add_person, first=True, pin=True),
    ChangeRoles: Handler(_change_roles, pin=True),
    RemovePerson: Handler(_remove_person, pin=True),
    IssueBadge: Handler(_issue_badge, pin=True),
    SetPin: Handler(_set_pin, first=True, pin=True),
    AddParty: Handler(_add_party),
    **enrolment.HANDLERS,
    **firms.HANDLERS,
}
