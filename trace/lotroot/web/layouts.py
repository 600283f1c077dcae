"""Which label layouts are there, and how would a label of these goods look in one of them?

Nothing is printed and nothing recorded: a preview is a page and a picture to look at.
"""

from collections.abc import Collection, Mapping
from typing import Any, NamedTuple

from flask import Blueprint, Response, make_response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import LotrootError, Unknown, Unreadable
from lotroot.identity.showing import shown
from lotroot.labelling.preview import Asked, Preview, Shelved, choices, preview, shelf
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import parties
from lotroot.processes.definition import LayoutChoice
from lotroot.tracing.meaning import meant
from lotroot.web.desk import desk
from lotroot.web.find import is_badge
from lotroot.web.frame import frame, signed_in

blueprint = Blueprint("layouts", __name__, url_prefix="/layouts")
NAV = (("Label layouts", "layouts.page"),)

LONGEST = 200
_SCREEN_DOTS = 96
"""CSS pixels an inch: what a browser takes for true size."""


class Wanted(NamedTuple):
    """What the form asks for, as it was typed."""

    layout: str
    dpi: str
    text: str
    customer: str


@blueprint.get("")
def page() -> Response:
    """Every layout, and a preview of the one asked for."""
    found = signed_in()
    wanted = _wanted()
    shelved = shelf()
    values: dict[str, Any] = {"wanted": wanted, "rows": [_row(one) for one in shelved], "seen": None}
    values["faulty"] = [one for one in shelved if one.fault]
    values["layouts"] = [(one.name, _called(one)) for one in shelved if not one.fault and one.name != "badge"]
    values["resolutions"] = _resolutions(shelved)
    with desk().house.reading() as connection:
        names = names_of(connection)
        customers = [(row.code, names.get(row.code, row.code)) for row in parties(connection, "customer")]
        firms = {row.code for row in parties(connection, "customer")}
        values["chosen"] = [_choice(*one, names, firms) for one in choices(found.plant)]
        values["customers"] = [("", "nobody, our own"), *sorted(customers, key=lambda one: one[1])]
        if wanted.text or wanted.layout:
            values |= _seen(connection, wanted, found.station)
    return make_response(render_template("layouts.html", **frame(**values)), values.get("status", 200))


@blueprint.get("/preview.png")
def picture() -> Response:
    """The preview as dots: ?layout=, dpi=, number=, for=, side=."""
    found = signed_in()
    wanted = _wanted()
    with desk().house.reading() as connection:
        made = preview(connection, _asked(connection, wanted), desk().now(), found.station)
    side = request.args.get("side", "1")
    if not side.isdecimal() or not 1 <= int(side[:4]) <= len(made.pictures):
        raise Unknown(
            "There is no such picture.",
            value=wanted.layout,
            expected=" ".join(made.faults) or f"Side 1 to {len(made.pictures)}.",
            next_step="Open it from the page of the layouts.",
        )
    answer = make_response(made.pictures[int(side) - 1])
    answer.headers["Content-Type"] = "image/png"
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _wanted() -> Wanted:
    told = (request.args.get(name, "").strip() for name in ("layout", "dpi", "number", "for"))
    return Wanted(*(text[:LONGEST] for text in told))


def _seen(connection: Connection, wanted: Wanted, station: str) -> dict[str, Any]:
    """The preview for the page: pictures with their size on a screen, or what is wrong."""
    try:
        asked = _asked(connection, wanted)
    except LotrootError as fault:
        return {"seen": Preview(faults=(str(fault),)), "pictures": [], "status": 200}
    made = preview(connection, asked, desk().now(), station)
    width, height = (round(side * _SCREEN_DOTS / 25.4) for side in made.size)
    told: dict[str, Any] = {
        "layout": asked.layout,
        "dpi": asked.dpi or None,
        "number": asked.number,
        "for": asked.customer,
    }
    pictures = [
        {
            "url": url_for("layouts.picture", **{**told, "side": side}),
            "width": width,
            "height": height,
            "words": _words(asked, side if len(made.pictures) > 1 else 0),
        }
        for side in range(1, len(made.pictures) + 1)
    ]
    return {"seen": made, "pictures": pictures, "title": f"{shown(asked.number)} in layout {asked.layout}"}


def _asked(connection: Connection, wanted: Wanted) -> Asked:
    """What was typed, read. Raises Unreadable, Unknown."""
    if not wanted.text:
        raise Unreadable(
            "Of which goods?",
            expected="The number of a lot, an item, a pallet, a run, a shipment, a machine or a place.",
            next_step="Scan or type it.",
        )
    if is_badge(wanted.text):
        raise Unreadable(
            "Badges are shown to nobody.",
            expected="A label of goods, a machine or a place.",
            next_step="The administrator prints badges under People.",
        )
    if wanted.dpi and not (wanted.dpi.isdecimal() and len(wanted.dpi) < 5):
        raise Unreadable(
            "This is no resolution.",
            value=wanted.dpi,
            expected="Dots an inch, such as 203.",
            next_step="Choose one from the list.",
        )
    known = [row.code for row in parties(connection, "customer")]
    if wanted.customer and wanted.customer not in known:
        raise Unknown(
            f"No customer {wanted.customer[:40]} is known here.",
            value=wanted.customer[:40],
            expected="One of the list.",
            next_step="Choose one, or nobody.",
        )
    return Asked(wanted.layout, int(wanted.dpi or 0), meant(connection, wanted.text), wanted.customer)


def _words(asked: Asked, side: int) -> str:
    of = f", side {side}" if side else ""
    return f"Preview, not a label: {shown(asked.number)} in layout {asked.layout}{of}"


def _called(one: Shelved) -> str:
    width, height = one.size
    return f"{one.name}, {width:.0f} × {height:.0f} mm"


def _resolutions(shelved: list[Shelved]) -> list[tuple[str, str]]:
    found = sorted({dpi for one in shelved for dpi in one.resolutions})
    return [("", "as the layout comes"), *((str(dpi), f"{dpi} dots an inch") for dpi in found)]


def _choice(
    one: LayoutChoice, fault: str, names: Mapping[str, str], firms: Collection[str]
) -> dict[str, str]:
    unknown = (
        f"No customer {one.customer} is known here." if one.customer and one.customer not in firms else ""
    )
    who = names.get(one.customer, one.customer) or f"all of market {one.market}"
    return {"who": who, "of": one.of, "layout": one.layout, "fault": fault or unknown or "in use"}


def _row(one: Shelved) -> dict[str, str]:
    width, height = one.size
    return {
        "name": one.name,
        "size": f"{width:.0f}\u00a0×\u00a0{height:.0f}\u00a0mm" if not one.fault else "cannot be used",
        "dpi": ", ".join(map(str, one.resolutions)),
        "stock": one.stock or "not said",
        "ribbon": one.ribbon or "not said",
        "stands": ", ".join(one.exposure) or "not said",
        "sides": str(one.sides) if not one.fault else "",
        "needs": ", ".join(one.needs) or "a number alone",
    }
