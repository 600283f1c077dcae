"""How does a test work at a terminal, over HTTP, as a browser's scan field would?

    terminal = Terminal(a_house(tmp_path)).at("nail_1")
    terminal.badge("operator")
    assert terminal.scan("R2600012383")["verdict"] == "accepted"

Answers are the JSON of static/scan.js; `context` and the person on duty are kept as the page keeps them.
"""

import re
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import count
from typing import Any, cast

from flask import Flask
from flask.testing import FlaskClient
from houses import House
from lotroot.accounts.badges import badge_of
from lotroot.database import Database
from lotroot.posting.door import Door
from lotroot.web.app import create_app
from lotroot.web.desk import Desk
from werkzeug.test import TestResponse

_keys = count(1)
NOON = datetime(2026, 11, 2, 12, tzinfo=UTC)
"""The clock of the tests' devices; only the time between scan and sending counts."""


def web(house: House, *, demo: bool = True) -> Flask:
    """The web application of a house."""
    return create_app(house.database, house.door, demo=demo)


class AtDesk(FlaskClient):
    """A browser of one house, though the application is the same for all houses of a test process."""

    desk: Desk

    def open(self, *args: Any, **kwargs: Any) -> TestResponse:
        self.application.extensions["lotroot"] = self.desk
        return super().open(*args, **kwargs)


@cache
def _of_all() -> tuple[Flask, dict[str, Any]]:
    """One application, which takes as long to make as a journey of some scans, and its pages."""
    app = create_app(Database("sqlite://"), Door(Database("sqlite://")), demo=True)
    app.test_client_class = AtDesk
    return app, app.extensions["lotroot"].pages


def _client(house: House) -> FlaskClient:
    app, pages = _of_all()
    client = cast(AtDesk, app.test_client())
    client.desk = Desk(house.database, house.door, demo=True, pages=pages)
    return client


class Terminal:
    """One browser: its cookie, its page, and what it keeps between two scans.

    `app` is an application of its own where a test changes it.
    """

    def __init__(self, house: House, app: Flask | None = None) -> None:
        self.house = house
        self.client = app.test_client() if app else _client(house)
        self.page = "station"
        self.context: dict[str, Any] = {}
        self.station = ""
        self.last: dict[str, Any] = {}
        self._token = ""

    def at(self, station: str) -> "Terminal":
        """Signed in as the terminal of a station (its code)."""
        assert self.post("/signin/station", station=station).status_code == 303
        self.station = station
        return self

    def on(self, page: str) -> "Terminal":
        """On another page that takes scans."""
        self.page, self.context = page, {}
        return self

    def token(self, address: str = "/signin") -> str:
        """The token against forged requests, as a page of this browser holds it."""
        found = re.search(r'name="csrf-token" content="(\w+)"', self.client.get(address).text)
        assert found
        return found[1]

    def kept_token(self) -> str:
        """The token of the page that stands open: it lasts until somebody signs in or off."""
        self._token = self._token or self.token()
        return self._token

    def post(self, address: str, **form: str) -> TestResponse:
        """Send a form."""
        answer = self.client.post(address, data={"csrf_token": self.kept_token(), **form})
        if address.startswith("/sign"):
            self._token = ""
        return answer

    def badge(self, who: str) -> dict[str, Any]:
        """Scan the badge of a person (a role of the house)."""
        return self.scan(str(self.house.ask(badge_of, self.house.people[who])))

    def scan(self, text: str, **more: Any) -> dict[str, Any]:
        """Scan one text; the answer, which must be a verdict."""
        response = self.send(self.body(text, **more))
        assert response.status_code == 200, response.text
        self.last = response.get_json()
        self.context = self.last.get("context", self.context)
        return self.last

    def answer(self, text: str, choice: str, **more: Any) -> dict[str, Any]:
        """Scan a text that is asked about, and choose an answer."""
        body = self.body(text, **more)
        asked = self.send(body).get_json()
        assert asked["verdict"] == "ask", asked
        codes = [one["code"] for one in asked["question"]["choices"]]
        assert choice in codes, codes
        again = {**body, "key": new_key(), "answers": {**body["answers"], asked["question"]["id"]: choice}}
        response = self.send({**again, "after": body["key"]})
        assert response.status_code == 200, response.text
        self.last = response.get_json()
        self.context = self.last.get("context", self.context)
        return self.last

    def body(self, text: str, *, late: timedelta = timedelta(0), **more: Any) -> dict[str, Any]:
        """A scan as the page would post it, made `late` before it is sent."""
        return {
            "key": new_key(),
            "text": text,
            "context": self.context,
            "at": (NOON - late).isoformat(),
            "person": None,
            "station": self.station or None,
            "answers": {},
            **more,
        }

    def send(self, body: dict[str, Any], **headers: str) -> TestResponse:
        """Post a scan."""
        kept = {
            "X-CSRF-Token": self.kept_token(),
            "Idempotency-Key": body["key"],
            "X-Sent-At": NOON.isoformat(),
        }
        return self.client.post(f"/scan/{self.page}", json=body, headers={**kept, **headers})


def new_key() -> str:
    """A key as the page makes them."""
    return f"scan{next(_keys):022d}"
