"""How do other programs record commands and read lots?

Exactly as CONTRACTS says: POST /api/commands/<command> with Idempotency-Key, a flat object of the command's
fields with person, station, happened and answers; 201 with the answer, 200 and Idempotency-Replayed when it
was recorded before; problems as problem+json. Credentials travel in headers only: the device's token as
Bearer, a PIN as Lotroot-PIN, a supervisor's badge and PIN as Lotroot-Supervisor and Lotroot-Supervisor-PIN.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from flask import Blueprint, Response, request
from sqlalchemy import Connection

from lotroot.accounts import devices
from lotroot.accounts.badges import check_pin, person_with
from lotroot.errors import Unknown, Unreadable
from lotroot.ledger.codec import decode
from lotroot.posting.door import answer_body
from lotroot.posting.features import COMMANDS, handler_of
from lotroot.tracing import trace
from lotroot.tracing.contract import as_json as lineage_json
from lotroot.tracing.meaning import meant
from lotroot.web.desk import desk
from lotroot.web.openapi import document
from lotroot.web.problems import as_json
from lotroot.web.scan_body import json_object
from lotroot.web.security import by_token
from lotroot.work import MICROSECONDS, Envelope

blueprint = Blueprint("api", __name__, url_prefix="/api")

ENVELOPE = ("person", "station", "happened", "answers", "basis", "already")
"""The fields of every command beside its own."""


@blueprint.post("/commands/<name>")
@by_token
def command(name: str) -> Response:
    """Record one command."""
    with desk().house.reading() as connection:
        device = devices.device_with(connection, _bearer())
    kind = COMMANDS.get(name)
    if kind is None:
        raise Unknown(
            f"There is no command {name}.",
            value=name,
            expected="A command of /api/openapi.json.",
            next_step="Look up the command's name.",
        )
    plain = json_object()
    told = {key: plain.pop(key) for key in ENVELOPE if key in plain}
    made: Any = decode(kind, plain)
    answer = desk().door.post(made, _envelope(made, told, device.station))
    response = as_json(answer_body(answer), 200 if answer.replayed else 201)
    if answer.replayed:
        response.headers["Idempotency-Replayed"] = "true"
    return response


@blueprint.post("/devices")
@by_token
def enrol() -> Response:
    """Make a device known with its code: {"code": "..."} gives {"device", "station", "token"}, once."""
    code = json_object().get("code", "")
    desk().tries.take(desk().now())
    with desk().house.writing() as connection:
        row = devices.use_code(connection, str(code), desk().now())
        token = devices.give_token(connection, row.number)
    desk().tries.forget()
    return as_json({"device": row.number, "station": row.station, "token": token}, 201)


@blueprint.get("/lots/<number>")
@by_token
def lot(number: str) -> Response:
    """One lot: what it is, where it stands, whether it is held."""
    with desk().house.reading() as connection:
        devices.device_with(connection, _bearer())
        found = lineage_json(trace(connection, meant(connection, number), "down"))
    (own,) = [one for one in found["lots"] if one["depth"] == 0][:1] or [{}]
    return _with_tag({**own, "on_hand": [one for one in found["on_hand"] if one["lot"] == own.get("lot")]})


@blueprint.get("/lots/<number>/lineage")
@by_token
def lineage(number: str) -> Response:
    """Where a lot came from, or what became of it: ?direction=up or down."""
    direction = request.args.get("direction", "up")
    if direction not in ("up", "down"):
        raise Unreadable(
            "A lineage goes up or down.",
            value=direction,
            expected="direction=up or direction=down",
            next_step="Correct the address.",
        )
    with desk().house.reading() as connection:
        devices.device_with(connection, _bearer())
        found = trace(connection, meant(connection, number), "up" if direction == "up" else "down")
    return _with_tag(lineage_json(found))


@blueprint.get("/openapi.json")
@by_token
def openapi() -> Response:
    """The description of all of this, OpenAPI 3.1."""
    return _with_tag(document())


def _with_tag(body: dict[str, Any]) -> Response:
    """A JSON answer that a poll can ask about again: 304 while nothing changed."""
    response = as_json(body, 200)
    response.add_etag()
    response.make_conditional(request)
    return response


def _bearer() -> str:
    kind, _, token = request.headers.get("Authorization", "").partition(" ")
    return token.strip() if kind.lower() == "bearer" else ""


def _envelope(made: Any, told: Mapping[str, Any], station: str) -> Envelope:
    """What came beside the command's own fields. Raises Unreadable naming the field that does not fit."""
    for name in ("person", "station", "basis"):
        if not isinstance(told.get(name, ""), str):
            raise _unfit(name, told[name], "Text.")
    if not isinstance(told.get("already", False), bool):
        raise _unfit("already", told["already"], "true or false.")
    person = told.get("person", "")
    pin = request.headers.get("Lotroot-PIN", "")
    proved = bool(pin and handler_of(made).pin)
    if proved:
        check_pin(desk().house, person, pin)
    return Envelope(
        key=request.headers.get("Idempotency-Key", ""),
        person=person,
        station=told.get("station", station),
        happened=_happened(told.get("happened")),
        answers=_answers(told.get("answers", {})),
        basis=told.get("basis", "at once"),
        already=told.get("already", False),
        supervisor=_supervisor() if told.get("already") else "",
        secret=request.headers.get("Lotroot-New-PIN", ""),
        proved=proved,
    )


def _supervisor() -> str:
    """The supervisor whose badge and PIN came in the headers, or nobody."""
    badge = request.headers.get("Lotroot-Supervisor", "")
    if not badge:
        return ""
    with desk().house.reading() as connection:
        person = _badge_of(connection, badge)
    check_pin(desk().house, person, request.headers.get("Lotroot-Supervisor-PIN", ""))
    return person


def _badge_of(connection: Connection, badge: str) -> str:
    return person_with(connection, badge)


def _happened(text: Any) -> int | None:
    """A time by RFC 3339 with its offset, as microseconds UTC; None where none is told."""
    if text is None:
        return None
    expected = "A time with its offset, such as 2026-11-24T14:05:00+01:00."
    try:
        then = datetime.fromisoformat(text)
    except (TypeError, ValueError) as error:
        raise _unfit("happened", text, expected) from error
    if then.tzinfo is None:
        raise _unfit("happened", text, expected)
    return round(then.timestamp() * MICROSECONDS)


def _answers(given: Any) -> dict[str, str]:
    if not isinstance(given, dict) or not all(isinstance(one, str) for one in given.values()):
        raise _unfit("answers", given, "An object of question and choice, both text.")
    return given


def _unfit(name: str, value: Any, expected: str) -> Unreadable:
    return Unreadable(
        f"The field “{name}” cannot be used as it is.",
        value=repr(value)[:60],
        expected=expected,
        next_step="Correct the field and send it again.",
    )
