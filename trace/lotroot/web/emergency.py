"""Which emergency labels lie ready where, which came back and which did not, and how is a new pad made?"""

from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for

from lotroot.errors import LotrootError, Unknown, Unreadable
from lotroot.identity import ItemNumber, Number, read
from lotroot.identity.showing import shown
from lotroot.pads.handling import AnswerWithPad, DestroyPadLabels
from lotroot.pads.listing import letters_at, pad_or_none, pads_given
from lotroot.papers.pads import Pad, pad_form, pad_labels
from lotroot.papers.sheets import Paper
from lotroot.plant.adopted import current_plant, number_of
from lotroot.receiving.commands import ReserveNumbers
from lotroot.web import filled
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.desk import desk
from lotroot.web.emergency_pads import on_paper, seen
from lotroot.web.frame import frame, local, signed_in

blueprint = Blueprint("emergency", __name__)
NAV = (("Emergency labels", "emergency.page"),)

COUNTS = ("20", "40", "12", "60")
"""Labels of a pad: whole pages of cards of twelve, or about a shift's (common practice, no source)."""
REASONS = ("Torn or dirty", "Lost", "Thrown away", "Row crossed out on the form")


@blueprint.get("/emergency")
def page() -> str:
    """Every pad with what became of its labels."""
    return _page()


@blueprint.post("/emergency")
def give() -> Response:
    """Set numbers aside for a station."""
    code, _, letter = filled.words("what").partition(":")
    try:
        with desk().house.reading() as connection:
            keeper = number_of(connection, "station", code)
        count = filled.whole("count")
    except LotrootError as error:
        return shown_again(error, _page, "what")
    command = ReserveNumbers(letter=letter, count=count, keeper=keeper)
    return record(command, url_for("emergency.page"), again=_page, field="what")


@blueprint.post("/emergency/answer")
def answer() -> Response:
    """Let a label answer for goods whose own did not come out."""
    try:
        with desk().house.reading() as connection:
            number = filled.number(connection, "number")
        pad = _label_read(filled.words("pad"))
    except LotrootError as error:
        return shown_again(error, _page, "number")
    return record(AnswerWithPad(number, pad), url_for("emergency.page"), again=_page, field="pad")


@blueprint.post("/emergency/destroy")
def destroy() -> Response:
    """Strike labels off that are no more."""
    numbers = tuple(request.form.getlist("numbers"))
    reason = filled.words("words") or filled.words("reason")
    return record(DestroyPadLabels(numbers, reason), url_for("emergency.page"), again=_page, field="key")


@blueprint.get("/emergency/<int:event>/labels.pdf")
def labels(event: int) -> Response:
    """The labels of a pad, to cut or to peel."""
    return _paper(event, lambda pad: pad_labels(pad, demo=desk().demo))


@blueprint.get("/emergency/<int:event>/form.pdf")
def form(event: int) -> Response:
    """The form that goes with them."""
    return _paper(event, lambda pad: pad_form(pad, demo=desk().demo))


def _label_read(text: str) -> str:
    """The number of a scanned emergency label. Raises Unreadable."""
    value = read(text).value
    if isinstance(value, Number | ItemNumber):
        return str(value)
    raise Unreadable(
        "This is no emergency label.",
        value=text,
        expected="A label of a pad.",
        next_step="Scan the label that was stuck on the goods.",
    )


def _paper(event: int, made: Callable[[Pad], Paper]) -> Response:
    found = signed_in()
    with desk().house.reading() as connection:
        given = pad_or_none(connection, event)
        if given is None:
            raise Unknown(
                "There is no such pad.",
                value=str(event),
                expected="A pad of the list.",
                next_step="Open the page Emergency labels again.",
            )
        pad = on_paper(connection, given, f"{local(found.plant, given.at):%-d %B %Y, %H:%M}")
    answer = make_response(made(pad).pdf)
    answer.headers["Content-Type"] = "application/pdf"
    return answer


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        plant = current_plant(connection)
        given = pads_given(connection)
        pads = [seen(connection, found, one) for one in given]
    choices = [
        (f"{station.code}:{letter}", f"{station.name}: {', '.join(names)} ({letter})")
        for station in plant.stations.values()
        for letter, names in letters_at(plant, station).items()
    ]
    here = found.at.code if found.at else ""
    values: dict[str, Any] = {
        "pads": pads,
        "choices": choices,
        "counts": [(one, one) for one in COUNTS],
        "reasons": [(one, one) for one in REASONS],
        "kept": {
            "what": request.form.get("what") or next((code for code, _ in choices if _at(code, here)), ""),
            "count": request.form.get("count") or COUNTS[0],
            "number": request.form.get("number") or shown(request.args.get("number", "")),
            "pad": request.form.get("pad", ""),
        },
        "may_give": found.may(ReserveNumbers),
        "may_answer": found.may(AnswerWithPad),
        "may_destroy": found.may(DestroyPadLabels),
    }
    return render_template("emergency.html", **frame(errors=errors or [], **values))


def _at(choice: str, station: str) -> bool:
    return choice.startswith(f"{station}:")
