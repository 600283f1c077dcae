"""Who asks for this page, and what does every page show round its own part?"""

from datetime import datetime
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from flask import current_app, g, request, url_for
from sqlalchemy import Connection

from lotroot.accounts import signins
from lotroot.accounts.people import roles_of
from lotroot.accounts.signins import SignIn
from lotroot.errors import NotSignedIn
from lotroot.ledger.book import posting_by_id
from lotroot.ledger.names import name_of, with_names
from lotroot.plant.adopted import plant_or_none, thing_or_none
from lotroot.posting.door import answer_from
from lotroot.processes.definition import Plant, Station
from lotroot.production.opening import shift_of
from lotroot.web.desk import desk
from lotroot.web.security import cookie, csrf_token
from lotroot.work import MICROSECONDS


class Who(NamedTuple):
    """Who asks: a signed-in browser, the station it stands at, and the person on duty there.

    `person` and `station` are numbers, empty for none; `at` is that station in the plant.
    """

    signin: SignIn | None
    plant: Plant | None
    station: str
    at: Station | None
    person: str
    name: str
    roles: frozenset[str]

    def may(self, command: type) -> bool:
        """Whether the person's roles cover a command: to show or leave out a button, not to decide."""
        return self.plant is not None and self.plant.allows(self.roles, command.__name__)


def who() -> Who:
    """Who asks; looked up once a request."""
    if "who" not in g:
        with desk().house.reading() as connection:
            g.who = look_up(connection, signins.find(connection, cookie(), desk().now()))
    found: Who = g.who
    return found


def look_up(connection: Connection, found: SignIn | None) -> Who:
    """Everything a page needs of a sign-in; a duty at a station ends with its shift."""
    plant = plant_or_none(connection)
    if found is None or plant is None:
        return Who(found, plant, "", None, "", "", frozenset())
    thing = thing_or_none(connection, found.station) if found.station else None
    at = plant.stations.get(thing.code) if thing is not None and thing.kind == "station" else None
    over = bool(at) and shift_of(plant, found.since) != shift_of(plant, desk().now())
    person = "" if over else found.person
    name = name_of(connection, person) if person else ""
    roles = roles_of(connection, person) or frozenset()
    return Who(found, plant, found.station if at else "", at, person, name, roles)


def signed_in() -> Who:
    """Who asks, a browser that is signed in. Raises NotSignedIn."""
    found = who()
    if found.signin is None:
        raise NotSignedIn(
            "This device is not signed in.",
            expected="A device that was let in.",
            next_step="Sign it in, then open the page again.",
        )
    return found


def somebody() -> Who:
    """Who asks, a person who is known. Raises NotSignedIn."""
    found = signed_in()
    if not found.person:
        raise NotSignedIn(
            "Nobody is on duty at this device.",
            expected="A person's badge.",
            next_step="Scan your badge on the first page.",
        )
    return found


def frame(kind: str = "office", **more: Any) -> dict[str, Any]:
    """The values every template needs, and the page's own beside them."""
    found = who()
    person = {"number": found.person, "name": found.name} if found.person else None
    station = {"code": found.at.code, "name": found.at.name} if found.at else None
    plant = found.plant
    return {
        "kind": kind,
        "plant": plant.name if plant else "Lotroot",
        "station": station,
        "person": person,
        "demo": desk().demo,
        "csrf_token": csrf_token(),
        "home": url_for("first.page"),
        "nav": pages_for_nav() if kind == "office" and found.signin else [],
        "done": _done(),
        **more,
    }


def pages_for_nav() -> list[dict[str, Any]]:
    """The pages that put themselves into the list of pages, by the word they stand under, in their order.

    One that names a command is listed for those whose roles cover it; it may be opened by all.
    """
    listed: list[tuple[str, list[tuple[str, str, *tuple[type, ...]]]]] = current_app.extensions["lotroot_nav"]
    groups = [
        {"word": word, "pages": [_listed(one) for one in pages if _covers(one)]} for word, pages in listed
    ]
    return [group for group in groups if group["pages"]]


def _covers(entry: tuple[str, str, *tuple[type, ...]]) -> bool:
    return all(who().may(command) for command in entry[2:])


def _listed(entry: tuple[str, str, *tuple[type, ...]]) -> dict[str, Any]:
    label, endpoint = entry[:2]
    return {"label": label, "url": url_for(endpoint), "current": request.endpoint == endpoint}


def _done() -> str:
    """What the act said that led to this page (`?done=` and its posting's number)."""
    number = request.args.get("done", "")
    if not number.isdecimal() or len(number) > 12:
        return ""
    with desk().house.reading() as connection:
        made = posting_by_id(connection, int(number))
        if made is None or not made.answer or made.person != who().person:
            return ""
        return with_names(connection, answer_from(made).say)


def local(plant: Plant | None, at: int) -> datetime:
    """A time as the plant's clocks show it."""
    return datetime.fromtimestamp(at / MICROSECONDS, ZoneInfo(plant.zone if plant else "UTC"))


def when(plant: Plant | None, at: int) -> str:
    """A time as people read it: 14:05 today, else Tue 24 Nov, 14:05."""
    then, now = local(plant, at), local(plant, desk().now())
    return f"{then:%H:%M}" if then.date() == now.date() else f"{then:%a %-d %b, %H:%M}"
