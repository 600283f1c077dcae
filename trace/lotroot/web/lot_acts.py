"""What is done from the story of a number: hold, release, settle, confirm, print again, add a certificate?"""

from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response

from lotroot.errors import LotrootError, Unreadable
from lotroot.holds.handling import PlaceHold, ReleaseHold, SettleQuestion
from lotroot.labelling.asking import PrintForCustomer
from lotroot.labelling.handling import PrintAgain
from lotroot.production.correcting_inputs import ConfirmLinks
from lotroot.receiving.commands import AddCertificate
from lotroot.web import filled, lots
from lotroot.web.acting import record, shown_again
from lotroot.web.find import address
from lotroot.web.frame import signed_in
from lotroot.web.security import uploads

blueprint = Blueprint("lot_acts", __name__, url_prefix="/lots/<number>")


@blueprint.post("/hold")
def hold(number: str) -> Response:
    """Hold what the page is about, or a part of it, and all that was or will be made of it."""

    def told() -> PlaceHold:
        lot, first, last = _range("hold", *filled.span("hold_what"))
        return PlaceHold(filled.reason(signed_in().plant, "hold_reason", "hold_words"), lot, first, last)

    return _read_then_record(number, told, "hold_words")


@blueprint.post("/release")
def release(number: str) -> Response:
    """Release it from one hold, or a run from all that awaits checks; the PIN is asked for next."""

    def told() -> ReleaseHold:
        which, _, _ = filled.words("release_hold").partition("/")
        lot, first, last = _range("release", *filled.span("release_hold", after="/"))
        reason = filled.reason(signed_in().plant, "release_reason", "release_words")
        return ReleaseHold(int(which) if which.isdecimal() else 0, lot, reason, first, last)

    return _read_then_record(number, told, "release_words")


@blueprint.post("/settle")
def settle(number: str) -> Response:
    """A supervisor settles a question about it."""
    question = filled.words("question")
    words = filled.words("settle_words")
    command = SettleQuestion(int(question) if question.isdecimal() else 0, words)
    return _record(number, command, "settle_words")


@blueprint.post("/confirm")
def confirm(number: str) -> Response:
    """QA confirms what it was made of, as corrected."""
    return _record(number, ConfirmLinks(number[:11]), "key")


@blueprint.post("/label")
def label(number: str) -> Response:
    """Print its label again, or those of some of its items."""

    def told() -> PrintAgain:
        _, first, last = _range("label", number, 0, 0)
        reason = filled.words("label_words") or filled.words("label_reason")
        return PrintAgain(number, reason, first, last)

    return _read_then_record(number, told, "label_words")


@blueprint.post("/customer")
def customer(number: str) -> Response:
    """Print its label as a customer wants it."""
    command = PrintForCustomer(number, filled.words("customer"), layout=filled.words("customer_layout"))
    return _record(number, command, "customer_layout")


@blueprint.post("/certificate")
@uploads
def certificate(number: str) -> Response:
    """The certificate came."""
    return _record(number, AddCertificate(lots=(number[:11],), file=filled.kept("file")), "file")


def _record(number: str, command: Any, field: str) -> Response:
    return record(command, address(number), again=lambda errors: lots.show(number, errors), field=field)


def _read_then_record(number: str, told: Callable[[], Any], field: str) -> Response:
    """Record what a form tells; one that cannot be read is shown again with what was typed."""
    try:
        command = told()
    except LotrootError as error:
        return shown_again(error, lambda errors: lots.show(number, errors), field)
    return _record(number, command, field)


def _range(act: str, lot: str, first: int, last: int) -> tuple[str, int, int]:
    """The goods a form chose, or a range of items typed beside it. Raises Unreadable."""
    typed = [filled.words(f"{act}_{end}") for end in ("first", "last")]
    if not any(typed):
        return lot, first, last
    start, end = typed[0] or typed[1], typed[1] or typed[0]
    if not (start.isdecimal() and end.isdecimal() and 0 < int(start) <= int(end) <= 9999):
        raise Unreadable(
            f"Items {start} to {end} are no range.",
            value=f"{start} to {end}",
            expected="The first and the last item, such as 3 to 7.",
            next_step="Correct them, or leave both empty for all.",
        )
    return lot, int(start), int(end)
