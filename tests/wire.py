"""A client that speaks HTTP over a socket and looks to a test like Flask's own."""

import http.client
import json
import uuid
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode, urlsplit


class Heard:
    """One answer."""

    def __init__(self, answer: http.client.HTTPResponse) -> None:
        self.status_code = answer.status
        self.headers = answer.headers
        self.data = answer.read()
        self.location = answer.headers.get("Location", "")

    @property
    def text(self) -> str:
        """The answer as text."""
        return self.data.decode()

    def get_json(self) -> Any:
        """The answer as JSON."""
        return json.loads(self.data)


class Wire:
    """One browser's worth of cookies over real connections to an address."""

    def __init__(self, address: str) -> None:
        self.place = urlsplit(address)
        self.cookies: dict[str, str] = {}

    def get(self, path: str, headers: dict[str, str] | None = None) -> Heard:
        """Fetch a page or picture."""
        return self._send("GET", path, None, headers or {})

    def post(self, path: str, **given: Any) -> Heard:
        """Send a form (`data`) or JSON (`json`)."""
        headers = dict(given.get("headers", {}))
        if "json" in given:
            headers["Content-Type"] = "application/json"
            return self._send("POST", path, json.dumps(given["json"]).encode(), headers)
        headers["Content-Type"] = "application/x-www-form-urlencoded"
        return self._send("POST", path, urlencode(given.get("data", {})).encode(), headers)

    def _send(self, method: str, path: str, body: bytes | None, headers: dict[str, str]) -> Heard:
        connection = http.client.HTTPConnection(str(self.place.hostname), self.place.port, timeout=30)
        kept = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        sent = {"Cookie": kept, "X-Request-Id": uuid.uuid4().hex, **headers}
        connection.request(method, path, body, sent)
        answer = connection.getresponse()
        for line in answer.headers.get_all("Set-Cookie") or []:
            for name, morsel in SimpleCookie(line).items():
                self.cookies[name] = morsel.value
        heard = Heard(answer)
        connection.close()
        return heard
