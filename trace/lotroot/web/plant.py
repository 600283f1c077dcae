"""What is set up here: the plant's version, its things with their labels, its devices, and its health?"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for

from lotroot.accounts.devices import devices
from lotroot.accounts.enrolment import AllowDevice, RevokeDevice
from lotroot.adoption import AdoptPlant
from lotroot.errors import Unreadable
from lotroot.ledger.book import head
from lotroot.ledger.names import names_of
from lotroot.papers.sheets import command_sheet, place_sheet
from lotroot.papers.things import thing_groups
from lotroot.plant.adopted import current_plant, things
from lotroot.processes.adoption import resolve
from lotroot.stock.carriers import coded_carriers
from lotroot.web.acting import Errors, record
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in, somebody

blueprint = Blueprint("plant", __name__)
FED = {
    "in_turn": "one after the other",
    "side_by_side": "side by side across the width",
    "together": "together, each from its payoff",
    "mixed": "mixed",
    "as_is": "unchanged, under the same number",
}
ORDERED = {"kept": "comes out first", "reversed": "lies innermost", "lost": "cannot be told afterwards"}
NAV = (("Plant", "plant.page"),)


@blueprint.get("/plant")
def page() -> str:
    """The plant as adopted, its sheets to print, and the devices that may take part."""
    return _page()


@blueprint.post("/plant")
def adopt() -> Response:
    """Adopt a plant.toml that was chosen or pasted."""
    given = request.files.get("file")
    content = given.read() if given and given.filename else request.form.get("text", "").encode()
    try:
        text = resolve(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        error = Unreadable(
            "The file is not text.", expected="A plant.toml in UTF-8.", next_step="Choose another file."
        )
        return make_response(_page([{"field": "file", "text": str(error)}]), 422)
    except Unreadable as error:
        return make_response(_page([{"field": "file", "text": str(error)}]), 422)
    return record(AdoptPlant(text), url_for("plant.page"), again=_page, field="file")


@blueprint.get("/plant/plant.toml")
def text() -> Response:
    """The adopted text, with the catalogue written out."""
    somebody()
    with desk().house.reading() as connection:
        return _file(current_plant(connection).text.encode(), "text/plain; charset=utf-8")


@blueprint.get("/plant/commands.pdf")
def commands() -> Response:
    """The command sheet to laminate."""
    signed_in()
    return _file(command_sheet(demo=desk().demo).pdf, "application/pdf")


@blueprint.get("/plant/things.pdf")
def sheet() -> Response:
    """Labels of stations, payoffs, places, vessels, tools and carriers."""
    signed_in()
    with desk().house.reading() as connection:
        plant = current_plant(connection)
        groups = thing_groups(plant, things(connection), coded_carriers(connection))
    return _file(place_sheet(groups, demo=desk().demo).pdf, "application/pdf")


@blueprint.post("/plant/devices")
def allow() -> Response:
    """Let a new device in; its code shows on this page until it is used."""
    told = (request.form.get("name", ""), request.form.get("station", ""))
    return record(AllowDevice(*told), url_for("plant.page"), again=_page, field="name")


@blueprint.post("/plant/devices/<number>/revoke")
def revoke(number: str) -> Response:
    """A device is let in no more."""
    return record(RevokeDevice(number), url_for("plant.page"), again=_page)


def _file(content: bytes, kind: str) -> Response:
    answer = make_response(content)
    answer.headers["Content-Type"] = kind
    return answer


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        plant = current_plant(connection)
        names = names_of(connection)
        last = head(connection)
        known = list(things(connection))
        allowed = [
            {"number": row.number, "name": names.get(row.number, row.number), "row": row}
            for row in devices(connection)
        ]
    stations = {row.code: row.number for row in known if row.kind == "station"}
    values: dict[str, Any] = {
        "version": plant,
        "stations": [(stations.get(code, ""), one.name) for code, one in plant.stations.items()],
        "processes": [
            {"name": one.name, "feed": FED.get(one.feed, ""), "order": ORDERED.get(one.order, "")}
            for one in plant.processes.values()
        ],
        "devices": allowed,
        "head": last,
        "engine": desk().house.engine_version(),
        "errors": errors or [],
    }
    return render_template("plant.html", **frame(**values, may_adopt=found.may(AdoptPlant)))
