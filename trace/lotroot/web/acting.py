"""How does a form of an office page become one posting?

    @blueprint.post("/holds/<int:hold>/release")
    def release(hold: int) -> Response:
        return record(ReleaseHold(hold, ...), url_for("holds.page"), again=_page_with)

The form holds `key` and `csrf_token` (`_form.html`, macro head). When it is recorded, the browser goes to
`back` with `?done=`, and the page says there what was done (`_done.html`); `{number}` in it is the first
number of the answer, of what was just made. A command that takes a PIN is rehearsed, and asks it
first; a question is asked on a page of its own. `again(errors)` shows the form once more with what was typed.
"""

import dataclasses
import secrets
from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import urlsplit

from flask import Response, make_response, redirect, render_template, request

from lotroot.errors import Fault, LotrootError, Question, Unavailable
from lotroot.posting.features import handler_of
from lotroot.web.desk import Pending, desk
from lotroot.web.frame import frame, somebody
from lotroot.web.problems import PageOld, kind_of
from lotroot.work import Envelope

NEW = "{number}"
"""In an address to go back to: the number of what the act made."""

Errors = list[dict[str, str]]
Again = Callable[[Errors], str]


def new_key() -> str:
    """A key for one form: sent twice it is one act."""
    return secrets.token_hex(16)


def record(
    command: Any, back: str, *, again: Again | None = None, field: str = "", secret: str = ""
) -> Response:
    """Post a command for the person on duty; `field` is where the form puts an error, `secret` a new PIN.

    Raises LotrootError where there is no form to show again.
    """
    found = somebody()
    if found.signin is None:
        raise PageOld
    key = request.form.get("key", "")
    envelope = Envelope(key=key, person=found.person, station=found.station, secret=secret)
    pending = Pending(found.signin.id, command, envelope, back, "", desk().now())
    try:
        if handler_of(command).pin:
            pending = dataclasses.replace(pending, words=_to_be(pending))
            return seen(f"/pin/{desk().waiting.keep(pending)}")
        return carry_out(pending)
    except (Fault, Unavailable):
        raise
    except LotrootError as error:
        if again is None:
            raise
        return shown_again(error, again, field)


def shown_again(error: LotrootError, again: Again, field: str = "") -> Response:
    """The form once more, with what was typed, where it could not even be read into a command."""
    return make_response(again(errors_of(error, field)), kind_of(error).status)


def _to_be(pending: Pending) -> str:
    """What the PIN is asked for, in words; nothing where a question comes first."""
    try:
        return f"To be recorded: {desk().door.rehearse(pending.command, pending.envelope)}"
    except Question:
        return ""


def carry_out(pending: Pending) -> Response:
    """Post an act and go back to where it came from; a question gets a page first."""
    try:
        answer = desk().door.post(pending.command, pending.envelope)
    except Question as question:
        name = desk().waiting.keep(dataclasses.replace(pending, at=desk().now()))
        values = frame(question=question, action=f"/pin/{name}/answer", back=pending.back)
        return make_response(render_template("question.html", **values), 409)
    back = pending.back.replace(NEW, next(iter(answer.numbers), ""))
    joint = "&" if urlsplit(back).query else "?"
    return seen(f"{back}{joint}done={answer.posting}")


def with_answer(pending: Pending, answers: Mapping[str, str]) -> Pending:
    """The same act with one more question answered."""
    both = {**pending.envelope.answers, **answers}
    return dataclasses.replace(pending, envelope=dataclasses.replace(pending.envelope, answers=both))


def errors_of(error: LotrootError, field: str = "") -> Errors:
    """An error as the form macros want it."""
    return [{"field": field or "key", "text": str(error)}]


def seen(address: str) -> Response:
    """Go on with GET, so that loading the next page again repeats nothing."""
    return make_response(redirect(address, 303))
