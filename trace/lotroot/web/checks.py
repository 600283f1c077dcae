"""What was read or counted, on what, and does it pass? One form for every check the plant knows."""

from functools import partial
from typing import Any

from flask import Blueprint, Response, render_template, request

from lotroot.errors import Unreadable
from lotroot.identity.showing import shown
from lotroot.quality.handling import RecordCheck
from lotroot.web import filled
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.check_choices import due_on
from lotroot.web.desk import desk
from lotroot.web.find import address
from lotroot.web.frame import frame, signed_in

blueprint = Blueprint("checks", __name__, url_prefix="/lots/<number>")


@blueprint.get("/check")
def page(number: str) -> str:
    """Choose what was checked and enter it."""
    return _page(number, [])


@blueprint.post("/check")
def save(number: str) -> Response:
    """Record it. A check that fails asks whether to hold what failed."""
    again = partial(_page, number)
    if not filled.words("characteristic"):
        missing = Unreadable("It is not said yet what was checked.", next_step="Choose it.")
        return shown_again(missing, again, "characteristic")
    try:
        counts = filled.whole("count"), filled.whole("found")
    except Unreadable as error:
        return shown_again(error, again, "count")
    readings = tuple(filled.words("readings").replace(";", " ").split())
    what, gauge, remark = (filled.words(name) for name in ("characteristic", "instrument", "remark"))
    command = RecordCheck(number, what, readings, *counts, gauge, remark)
    return record(command, address(number), again=again, field="characteristic")


def _page(number: str, errors: Errors) -> str:
    plant = signed_in().plant
    with desk().house.reading() as connection:
        due = due_on(connection, number)
    every = plant.characteristics.values() if plant else ()
    known = sorted(every, key=lambda one: (due.index(one.code) if one.code in due else len(due), one.name))
    named = [(one.code, f"{one.name} ({one.unit})" if one.unit else one.name) for one in known]
    choices = [("", "Choose"), *named]
    values: dict[str, Any] = {"choices": choices, "number": number, "shown": shown(number), "errors": errors}
    return render_template("check.html", **frame(kept=dict(request.form.items()), **values))
