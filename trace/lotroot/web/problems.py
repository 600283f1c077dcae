"""How does an error reach whoever is at the other end?

The tree of `lotroot.errors` is mapped to HTTP here and nowhere else: problem+json (RFC 9457) for programs and
for the scan field, a page in plain words for people. What went wrong inside is logged, never shown.
"""

import json
from typing import Any, NamedTuple

from flask import Flask, Response, make_response, render_template, request
from werkzeug.exceptions import HTTPException

from lotroot import errors
from lotroot.errors import LotrootError


class PageOld(LotrootError):
    """The page was loaded before this browser was signed in anew, or the request is forged."""

    def __init__(self) -> None:
        super().__init__(
            "This page is out of date; nothing was recorded.",
            expected="The page as it is now.",
            next_step="Load the page again, then repeat it.",
        )


class TooFast(LotrootError):
    """Too many tries in a row."""


class Kind(NamedTuple):
    """What a class of errors is called, and its HTTP status."""

    word: str
    status: int
    title: str


KINDS: dict[type[LotrootError], Kind] = {
    errors.KeyMissing: Kind("key-missing", 400, "The command has no key."),
    errors.NotSignedIn: Kind("who", 401, "Nobody is known here."),
    errors.NotAllowed: Kind("role", 403, "Somebody else may do this."),
    errors.Unknown: Kind("unknown", 404, "Nothing of that number or name is recorded."),
    errors.Refused: Kind("refused", 409, "This cannot be done as things stand."),
    errors.Question: Kind("ask", 409, "One question first."),
    errors.Unreadable: Kind("invalid", 422, "This cannot be used as it is."),
    errors.KeyReused: Kind("key-reused", 422, "The key was used for something else."),
    errors.Unavailable: Kind("unavailable", 503, "The database cannot be used now."),
    errors.Fault: Kind("fault", 500, "The record contradicts itself."),
    PageOld: Kind("page-old", 419, "This page is out of date."),
    TooFast: Kind("too-fast", 429, "Too many tries in a row."),
}

_HTTP = {
    400: ("The request cannot be read.", "A whole request.", "Send it again."),
    404: ("There is no such page.", "An address of this program.", "Go to the first page."),
    405: ("This address does not take that.", "Another method.", "Look it up in /api/openapi.json."),
    408: ("The request took too long.", "A whole request in time.", "Send it again."),
    413: ("This is too large.", "At most 1 MB, files at most 20 MB.", "Send a smaller file."),
    415: ("This is in the wrong form.", "Content-Type: application/json.", "Send it as JSON."),
}
_FAULT = (
    "The program has stumbled. What was acknowledged before is safe; this was not recorded.",
    "An answer.",
    "Try once more; if it stays, tell the administrator the time.",
)


def kind_of(error: LotrootError) -> Kind:
    """What an error is called and its status."""
    return next((kind for known, kind in KINDS.items() if isinstance(error, known)), KINDS[errors.Fault])


def problem(error: LotrootError) -> dict[str, Any]:
    """An error as RFC 9457 and CONTRACTS want it."""
    kind = kind_of(error)
    body: dict[str, Any] = {
        "type": f"/problems/{kind.word}",
        "title": kind.title,
        "status": kind.status,
        "detail": error.what,
        "value": error.value,
        "expected": error.expected,
        "next": error.next_step,
    }
    if isinstance(error, errors.Refused):
        body["word"] = error.word
    if isinstance(error, errors.Question):
        choices = [{"code": code, "label": label} for code, label in error.choices.items()]
        body["question"] = {"id": error.identifier, "text": error.what, "choices": choices}
    return body


def as_json(body: dict[str, Any], status: int, kind: str = "application/json") -> Response:
    """A JSON answer."""
    text = json.dumps(body, ensure_ascii=False, separators=(",", ":"))
    return Response(text, status=status, content_type=kind)


def answer_to(error: LotrootError) -> Response:
    """The answer to a request that ended in an error."""
    body = problem(error)
    if wants_json():
        return as_json(body, body["status"], "application/problem+json")
    page = render_template("problem.html", kind="office", problem=body)
    return make_response(page, body["status"])


def wants_json() -> bool:
    """Whether a program, not a person, asked."""
    return request.path.startswith(("/api/", "/scan/")) or request.accept_mimetypes.best == "application/json"


def speak_plainly(app: Flask) -> None:
    """Answer every error of an application in words."""
    app.register_error_handler(LotrootError, answer_to)
    app.register_error_handler(HTTPException, _http)


def _http(error: HTTPException) -> Response:
    status = error.code or 500
    if status < 400:
        return make_response(error.get_response())
    what, expected, next_step = _HTTP.get(status, _FAULT)
    said = LotrootError(what, value=request.path, expected=expected, next_step=next_step)
    body = {**problem(said), "type": f"/problems/http-{status}", "title": what, "status": status}
    if wants_json():
        return as_json(body, status, "application/problem+json")
    return make_response(render_template("problem.html", kind="office", problem=body), status)
