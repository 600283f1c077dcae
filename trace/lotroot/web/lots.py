"""One scan answers: what is this, what is it of, what was made of it, what was checked, where is it now?

The same page tells the story of a lot, an item, a carrier, a run or a shipment. What can be done from here
is posted to `lot_acts`; what was recorded wrongly is put right on the page of `corrections`.
"""

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for

from lotroot.errors import Unknown, Unreadable
from lotroot.identity import ItemNumber, Number, is_case, read
from lotroot.tracing import story
from lotroot.tracing.meaning import meant
from lotroot.web import find
from lotroot.web.acting import Errors
from lotroot.web.common import SHOWN
from lotroot.web.customer_choices import offered
from lotroot.web.desk import desk
from lotroot.web.find import address, instead
from lotroot.web.frame import signed_in
from lotroot.web.lot_view import values_of
from lotroot.web.proving import awaited
from lotroot.web.scans import scan_frame

blueprint = Blueprint("lots", __name__)


@blueprint.get("/t/<text>")
def scanned(text: str) -> Response:
    """The address inside a label's QR symbol, as a telephone's camera opens it."""
    return make_response(redirect(url_for("lots.page", text=text)))


@blueprint.get("/lots/<text>")
def page(text: str) -> Response:
    """The story of a number, however it is typed, or of a lot's other name."""
    signed_in()
    try:
        number = _canonical(text)
        if number != text or number.startswith("X"):
            return make_response(redirect(address(number)))
        return make_response(show(number))
    except (Unknown, Unreadable) as error:
        return instead(text, error)


def show(number: str, errors: Errors | None = None) -> str:
    """The story page of a canonical number. Raises Unknown, Unreadable."""
    found = signed_in()
    with desk().house.reading() as connection:
        told = story(connection, number)
        values = values_of(connection, found, told)
        values["lacks"] = awaited(connection, found.plant, told.holds)
        values |= offered(connection, found, number)
    kept = dict(request.form.items()) if errors else {}
    more = {**values, "errors": errors or [], "kept": kept}
    return render_template(
        "lot.html", **scan_frame(find.PAGE, kind="office", context={SHOWN: number}, **more)
    )


def _canonical(text: str) -> str:
    """The canonical number of a text. Raises Unknown, Unreadable."""
    with desk().house.reading() as connection:
        try:
            value = read(text).value
        except Unreadable:
            return meant(connection, text)
        if isinstance(value, Number) and is_case(value):
            return str(value)
        if isinstance(value, Number | ItemNumber):
            return meant(connection, text)
    raise Unreadable(
        "This is no number of goods.",
        expected="The number of a lot, an item, a carrier, a run or a shipment.",
        next_step="Scan the label on the goods.",
    )
