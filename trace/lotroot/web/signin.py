"""How does a browser get in: as a terminal of a station, or as the office of a person?

A terminal is signed in with a code that the administrator made, in the demo by choosing a station; who works
there is then a matter of badges. An office is signed in with badge and PIN, for a working day.
"""

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.accounts import devices, signins
from lotroot.accounts.badges import check_pin, person_with
from lotroot.errors import LotrootError, NotAllowed, NotSignedIn
from lotroot.identity import Badge
from lotroot.plant.adopted import current_plant, number_of
from lotroot.web.acting import errors_of, seen
from lotroot.web.desk import desk
from lotroot.web.frame import frame, who
from lotroot.web.problems import kind_of
from lotroot.web.scan_body import read_quietly
from lotroot.web.security import cookie, new_cookie

blueprint = Blueprint("signin", __name__)


@blueprint.get("/signin")
def page() -> str:
    """The ways in."""
    return _page([])


@blueprint.post("/signin/code")
def by_code() -> Response:
    """A terminal shows the code that was made for it."""
    desk().tries.take(desk().now())
    try:
        with desk().house.writing() as connection:
            row = devices.use_code(connection, request.form.get("code", ""), desk().now())
            token = signins.begin(connection, desk().now(), device=row.number, station=row.station)
    except NotSignedIn as error:
        return _again(error, "code")
    desk().tries.forget()
    return _in(token, row.station)


@blueprint.post("/signin/station")
def by_station() -> Response:
    """In the demo any browser may be any station."""
    if not desk().demo:
        raise NotAllowed(
            "Stations are chosen freely in the demo only.",
            expected="The code made for this device.",
            next_step="Ask the administrator for a code.",
        )
    code = request.form.get("station", "")
    with desk().house.writing() as connection:
        current_plant(connection).station(code)
        station = number_of(connection, "station", code)
        token = signins.begin(connection, desk().now(), station=station)
    return _in(token, station)


@blueprint.post("/signin/badge")
def by_badge() -> Response:
    """A person signs an office in with badge and PIN.

    A scanner ends the badge with Enter, which sends the form before the PIN is typed: that is no wrong try.
    """
    badge, pin = request.form.get("badge", "").strip(), request.form.get("pin", "")
    desk().tries.take(desk().now())
    try:
        person = _person(badge)
    except (NotSignedIn, NotAllowed) as error:
        return _again(error, "badge")
    if not pin:
        desk().tries.forget()
        return make_response(_page([], badge))
    try:
        check_pin(desk().house, person, pin)
    except (NotSignedIn, NotAllowed) as error:
        return _again(error, "pin")
    desk().tries.forget()
    with desk().house.writing() as connection:
        token = signins.begin(connection, desk().now(), person=person)
    return _in(token, "")


@blueprint.post("/signout")
def out() -> Response:
    """This browser is signed out."""
    found = who().signin
    if found is not None:
        with desk().house.writing() as connection:
            signins.end(connection, found.id)
    new_cookie("")
    answer = seen("/signin")
    answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


def _in(token: str, station: str) -> Response:
    """Into the house with a new cookie: whatever cookie was there before means nothing now."""
    before = cookie()
    with desk().house.writing() as connection:
        old = signins.find(connection, before, desk().now())
        if old is not None:
            signins.end(connection, old.id)
    new_cookie(token)
    return seen("/station" if station else "/")


def _person(badge: str) -> str:
    value = read_quietly(badge)
    if not isinstance(value, Badge):
        raise NotSignedIn("This is no badge.", expected="Your badge.", next_step="Scan your badge.")
    with desk().house.reading() as connection:
        return person_with(connection, str(value))


def _again(error: LotrootError, field: str) -> Response:
    return make_response(_page(errors_of(error, field)), kind_of(error).status)


def _page(errors: list[dict[str, str]], badge: str = "") -> str:
    """The ways in; `badge` goes back to the browser that scanned it just now, to be sent with its PIN."""
    with desk().house.reading() as connection:
        stations = list(current_plant(connection).stations.values())
    return render_template("signin.html", **frame(stations=stations, errors=errors, badge=badge))
