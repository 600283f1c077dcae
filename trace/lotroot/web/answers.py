"""How is a question of a page's address answered: on the page, as JSON or CSV, or by what was wrong with it?

?format=json and ?format=csv ask for the file; its times are RFC 3339, and the end of a time is no part of it.
"""

from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlencode

from flask import Response, make_response, render_template, request

from lotroot.errors import LotrootError
from lotroot.tracing.met import Window
from lotroot.tracing.words import Words
from lotroot.web.frame import frame
from lotroot.web.problems import kind_of
from lotroot.work import MICROSECONDS

FILES = ("json", "csv")


def file_url(ending: str) -> str:
    """The address of the same answer as a file."""
    asked = {name: value for name, value in request.args.items() if value and name != "format"}
    return f"{request.path}?{urlencode({**asked, 'format': ending})}"


def wanted() -> str:
    """The file that is asked for, empty for the page."""
    return request.args.get("format", "")


def instead(template: str, error: LotrootError, values: dict[str, Any]) -> Response:
    """The page with what was wrong; nothing was asked of a record that could be changed."""
    if wanted() in FILES:
        raise error
    page = render_template(template, **frame(**values, error=error))
    return make_response(page, kind_of(error).status)


def when_words(window: Window, words: Words) -> str:
    """A time from one moment to another as the plant's clocks show it."""
    began, ended = words.time(window.since), words.time(window.until - 1)
    return began if began == ended else f"{began} to {ended}"


def iso(at: int) -> str:
    """Microseconds UTC as RFC 3339."""
    return datetime.fromtimestamp(at / MICROSECONDS, UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def count(number: int, word: str) -> str:
    """3 lots, 1 lot."""
    return f"{number} {word}{'' if number == 1 else 's'}"
