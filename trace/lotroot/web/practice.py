"""What should somebody new to the demo try, and where is the sheet to scan from?

Only an application of the demo has these pages: they show badges and PINs, and everybody there is invented.
"""

from typing import Any, NamedTuple

from flask import Blueprint, Response, abort, current_app, make_response, render_template, request

from lotroot.demo.practice import groups, people, sheet
from lotroot.papers.sheets import Paper
from lotroot.web.desk import desk
from lotroot.web.frame import frame

blueprint = Blueprint("practice", __name__)
NAV = (("Practice", "practice.page"),)


class Errand(NamedTuple):
    """Three steps for one of the demo's people, ending in something to see."""

    person: str
    page: str
    title: str
    steps: tuple[str, ...]


ERRANDS = (
    Errand(
        "rufus",
        "/receiving",
        "Rufus receives a coil",
        (
            "Sign this device in at Receiving and scan Rufus's badge.",
            "Open Receiving, type HH71204 as a barcode of a tag says it, then 2009.5; answer by number.",
            "Look at the new label in the label tray.",
        ),
    ),
    Errand(
        "desmond",
        "/station",
        "Desmond draws a stripper",
        (
            "Sign in at Drawing machine 1 and scan Desmond's badge: rod is loaded already.",
            "Type 486 and Enter: a stripper is made and its label printed.",
            "Scan UNDO, then type the weight again.",
        ),
    ),
    Errand(
        "kelvin",
        "/station",
        "Kelvin cuts a bundle to a list",
        (
            "Sign in at Roll former 1, scan Kelvin's badge, then the coil of RAL 6005 on the sheet.",
            "Type 24x3.6 12x2.4 = 453 and Enter: 24 sheets of 3.6 m, 12 of 2.4 m, and kilograms.",
            "Type 10x6 = 1235: the weight is asked about. Choose, then look at both labels in the tray.",
        ),
    ),
    Errand(
        "dana",
        "/shipment",
        "Dana loads a shipment",
        (
            "Sign in at Dispatch and scan Dana's badge.",
            "Open a shipment and scan a pallet of the sheet.",
            "Scan the same pallet again, then something that is held: it is refused, and says why.",
        ),
    ),
    Errand(
        "quentin",
        "/holds",
        "Quentin follows a complaint",
        (
            "Sign in at the Laboratory and scan Quentin's badge.",
            "Open Complaints: a customer's nails break. Follow the box to its coil.",
            "Hold the coil, and see what else it reaches.",
        ),
    ),
    Errand(
        "ada",
        "/morning",
        "Ada looks at the morning",
        (
            "Sign in anywhere and scan Ada's badge.",
            "Open This morning: open runs, holds, differences, labels nobody has scanned.",
            "Open any lot from there and read its story.",
        ),
    ),
)


@blueprint.get("/practice")
def page() -> str:
    """What to try, as whom, and what to scan."""
    with desk().house.reading() as connection:
        found = groups(connection)
    values: dict[str, Any] = {"errands": ERRANDS, "people": {one.key: one for one in people()}}
    return render_template(
        "practice.html", **frame(groups=found, address=request.host_url, pages=len(_paper().pages), **values)
    )


@blueprint.get("/practice.pdf")
def paper() -> Response:
    """The practice sheet, to print."""
    return _file(_paper().pdf, "application/pdf")


@blueprint.get("/practice/<int:number>.png")
def picture(number: int) -> Response:
    """One page of the practice sheet, to scan from a second screen."""
    pages = _paper().pages
    if not 1 <= number <= len(pages):
        abort(404)
    return _file(pages[number - 1], "image/png")


def _paper() -> Paper:
    """The sheet as it was when somebody first asked for it: what is scanned later changes no code on it."""
    kept: dict[str, Paper] = current_app.extensions.setdefault("lotroot_practice", {})
    if "sheet" not in kept:
        with desk().house.reading() as connection:
            kept["sheet"] = sheet(connection)
    return kept["sheet"]


def _file(content: bytes, kind: str) -> Response:
    answer = make_response(content)
    answer.headers["Content-Type"] = kind
    return answer
