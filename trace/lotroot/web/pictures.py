"""How does a label look that was printed: as a bitmap dot for dot, and as a PDF?"""

import re
from typing import Any

from flask import Blueprint, Response, make_response, request
from sqlalchemy import Connection

from lotroot.accounts.badges import badge_of
from lotroot.errors import NotAllowed, Unknown, Unreadable
from lotroot.labelling.on_paper import Paper, labels_on_a4
from lotroot.labelling.printed import label_by_event
from lotroot.labelling.rendering import picture, pictures_pdf
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in

blueprint = Blueprint("pictures", __name__)

FOR_EVER = "private, max-age=31536000, immutable"
"""A label that was printed never changes: its event keeps every field of it."""


@blueprint.get("/labels/<int:event>.png")
def bitmap(event: int) -> Response:
    """One label as it was printed; ?serial= says which of a block of items."""
    told = request.args.get("serial", "")
    with desk().house.reading() as connection:
        row = _label(connection, event)
        serial = int(told) if told.isdecimal() and len(told) < 5 else 0
        found = picture(row, serial if row.first <= serial <= row.last else row.first)
    return _file(found.png, "image/png")


@blueprint.get("/labels/<int:event>.pdf")
def pdf(event: int) -> Response:
    """All labels of one print, to send to a printer of one's own."""
    with desk().house.reading() as connection:
        row = _label(connection, event)
        return _file(pictures_pdf(row), "application/pdf")


@blueprint.get("/labels/<int:event>/a4.pdf")
def on_a4(event: int) -> Response:
    """The labels of one print on A4 paper.

    ?right= and ?down= are mm the print is to be moved by, ?skip= how many places of the first sheet are gone,
    ?end_tags= how many tags for the boards of a pack are wanted instead.
    """
    paper = Paper(offset=(_mm("right"), _mm("down")), skip=_count("skip"))
    with desk().house.reading() as connection:
        content = labels_on_a4(_label(connection, event), paper, end_tags=_count("end_tags"))
    return _file(content, "application/pdf")


def _mm(name: str) -> float:
    """A length that was asked for, 0 where it was not."""
    told = request.args.get(name, "").strip() or "0"
    if not re.fullmatch(r"-?\d{1,2}(\.\d{1,2})?", told, re.ASCII):
        raise Unreadable(
            f"Not printed on A4: how far {name} the print is to be moved cannot be read.",
            value=told,
            expected="Millimetres with a point, such as 1.5 or -2.",
            next_step="Measure how far the print lies beside the label, and enter that.",
        )
    return float(told)


def _count(name: str) -> int:
    """A number that was asked for, 0 where it was not."""
    told = request.args.get(name, "").strip() or "0"
    if not re.fullmatch(r"\d{1,4}", told, re.ASCII):
        raise Unreadable(
            f"Not printed on A4: {name.replace('_', ' ')} is no count.",
            value=told,
            expected="A whole number.",
            next_step="Correct it and ask again.",
        )
    return int(told)


def _label(connection: Connection, event: int) -> Any:
    signed_in()
    row = label_by_event(connection, event)
    if row is None:
        raise Unknown(
            "No such label was printed.",
            value=str(event),
            expected="A label of the label tray.",
            next_step="Open the label tray and choose it there.",
        )
    if row.number.startswith("H") or badge_of(connection, row.number):
        raise NotAllowed(
            "Badges are shown to nobody.",
            expected="A label of goods, a machine or a place.",
            next_step="The administrator prints badges under People.",
        )
    return row


def _file(content: bytes, kind: str) -> Response:
    answer = make_response(content)
    answer.headers["Content-Type"] = kind
    answer.headers["Cache-Control"] = FOR_EVER
    return answer
