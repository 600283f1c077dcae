"""What was read or counted, on what, and does it pass? One form for every check the plant knows."""

from typing import Any

from flask import Blueprint, Response, render_template, request

from lotroot.identity.showing import shown
from lotroot.quality.handling import RecordCheck
from lotroot.web import filled
from lotroot.web.acting import Errors, record
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
    command = RecordCheck(
        number,
        filled.words("characteristic"),
        tuple(filled.words("readings").replace(";", " ").split()),
        filled.whole("count"),
        filled.whole("found"),
        filled.words("instrument"),
        filled.words("remark"),
    )
    return record(
        command, address(number), again=lambda errors: _page(number, errors), field="characteristic"
    )


def _page(number: str, errors: Errors) -> str:
    plant = signed_in().plant
    known = sorted(plant.characteristics.values(), key=lambda one: one.name) if plant else []
    choices = [(one.code, f"{one.name} ({one.unit})" if one.unit else one.name) for one in known]
    values: dict[str, Any] = {"choices": choices, "number": number, "shown": shown(number), "errors": errors}
    return render_template("check.html", **frame(kept=dict(request.form.items()), **values))
