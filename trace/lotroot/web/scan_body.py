"""What does one posted scan say, and may it say so?

The form is the contract at the head of static/scan.js; JSON is read as strictly as a command's.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from flask import request
from sqlalchemy import Connection

from lotroot.errors import KeyMissing, Unreadable
from lotroot.goods import typed
from lotroot.identity import Badge, Number, read
from lotroot.ledger.canonical import parse
from lotroot.reserved import stands_for
from lotroot.stock.typed import TYPED_BY
from lotroot.tracing.outside import number_in
from lotroot.web.scene import Context, Scanned
from lotroot.work import MICROSECONDS

LONGEST_TEXT = 256
LATE = 30 * MICROSECONDS
"""A scan this old when it is sent was kept: it happened then. Younger ones are timed by the server."""

_KEY = re.compile(r"[A-Za-z0-9-]{16,48}")  # what is posted beside it gets the key and a word
_FIELDS = {"key", "text", "context", "at", "person", "station", "answers", "after", "typed_by"}


@dataclass(frozen=True)
class Body:
    """One scan as it was sent. `age` is how long ago it was made, in microseconds.

    `typed_by` is scale or hand, empty where nobody can tell.
    """

    key: str
    text: str
    context: Context
    age: int
    person: str
    station: str
    answers: Mapping[str, str]
    typed_by: str = ""

    @property
    def late(self) -> bool:
        """Whether it was kept before it was sent."""
        return self.age > LATE


def read_body() -> Body:
    """The scan in this request. Raises Unreadable or KeyMissing."""
    plain = json_object()
    unknown = sorted(set(plain) - _FIELDS)
    if unknown:
        raise _unfit(unknown[0], "The fields that static/scan.js sends.")
    key = request.headers.get("Idempotency-Key", "")
    if not _KEY.fullmatch(key) or plain.get("key") != key:
        raise KeyMissing(
            "The scan has no key of its own.",
            value=key,
            expected="The same key in the body and in Idempotency-Key.",
            next_step="Load the page again and repeat the scan.",
        )
    return Body(
        key=key,
        text=_text(plain, "text", LONGEST_TEXT),
        context=_object(plain, "context"),
        age=_age(_text(plain, "at", 40)),
        person=_text(plain, "person", 11),
        station=_text(plain, "station", 60),
        answers=_answers(plain),
        typed_by=_typed_by(plain),
    )


def json_object() -> dict[str, Any]:
    """The JSON object a request brings. Raises Unreadable."""
    if not request.is_json:
        raise Unreadable(
            "The body is not JSON.",
            value=request.mimetype,
            expected="Content-Type: application/json.",
            next_step="Send it as JSON.",
        )
    try:
        plain = parse(request.get_data().decode())
    except UnicodeDecodeError as error:
        raise _unfit("the body", "Text in UTF-8.") from error
    if not isinstance(plain, dict):
        raise _unfit("the body", "A JSON object.")
    return plain


def scanned(text: str) -> Scanned:
    """What a text proves to be; what it does not prove is left to the page."""
    try:
        found = read(text)
    except Unreadable as error:
        return Scanned(text, None, unreadable=error)
    # A badge is a secret: its text goes no further than this.
    return Scanned("" if isinstance(found.value, Badge) else text, found.value, found.copy)


def on_goods(connection: Connection, read_as: Scanned) -> Scanned:
    """A scan of an emergency label that was stuck on goods means those goods; any other is what it is."""
    value = read_as.value
    if not isinstance(value, Number):
        return read_as
    meant = stands_for(connection, str(value))
    return read_as if meant == str(value) else read_as._replace(text=meant, value=typed(meant))


def known_outside(connection: Connection, found: Scanned) -> Scanned:
    """The same, or with the number of ours that a GS1 symbol means. Raises Unreadable."""
    number = number_in(connection, found.text) if found.value is None else ""
    return found._replace(value=typed(number), unreadable=None) if number else found


def _age(at: str) -> int:
    """How long ago a scan was made, by the clock that made it: X-Sent-At tells what that clock says now."""
    made, sent = _moment(at), _moment(request.headers.get("X-Sent-At", ""))
    if made is None or sent is None:
        return 0
    return max(int((sent - made).total_seconds()) * MICROSECONDS, 0)


def _moment(text: str) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.tzinfo is not None else None


def _text(plain: Mapping[str, Any], name: str, longest: int) -> str:
    value = plain.get(name)
    if value is None:
        return ""
    if not isinstance(value, str) or len(value) > longest:
        raise _unfit(name, f"Text of at most {longest} characters.")
    return value


def _object(plain: Mapping[str, Any], name: str) -> Context:
    value = plain.get(name)
    if value is None:
        return {}
    if not isinstance(value, dict):
        raise _unfit(name, "An object.")
    return value


def _answers(plain: Mapping[str, Any]) -> Mapping[str, str]:
    answers = _object(plain, "answers")
    if not all(isinstance(choice, str) for choice in answers.values()):
        raise _unfit("answers", "The code of a choice for each question.")
    return dict(answers)


def _typed_by(plain: Mapping[str, Any]) -> str:
    word = _text(plain, "typed_by", 5)
    if word not in TYPED_BY:
        raise _unfit("typed_by", "scale, hand or nothing.")
    return word


def _unfit(name: str, expected: str) -> Unreadable:
    return Unreadable(
        f"“{name}” cannot be used as it is.",
        value=name,
        expected=expected,
        next_step="Load the page again and repeat the scan.",
    )


def read_quietly(text: str) -> object:
    """What a text proves to be, None where it proves nothing."""
    try:
        return read(text).value
    except Unreadable:
        return None
