"""Which server do the page parts meet in their tests?

A small plant with scripted answers, served over real HTTP by waitress in a thread. It can be silent, go
away and come back on the same port; it notes every post it was sent.
"""

import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from flask import Flask, Response, jsonify, render_template, request
from jinja2 import ChoiceLoader, FileSystemLoader
from markupsafe import Markup
from waitress.server import create_server

ROOT = Path(__file__).resolve().parents[2]
CSP = (
    "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'; "
    "connect-src 'self'"
)

ANSWERS: dict[str, dict[str, Any]] = {
    "R2600012383": {
        "verdict": "accepted",
        "say": "R26-000123-83 is loaded: 1,204 kg.",
        "next": "Make nails, then scan DONE",
    },
    "R2600012480": {"verdict": "already", "say": "Already loaded, 14:05.", "detail": "Nothing changed."},
    "P2600021017": {
        "verdict": "refused",
        "say": "This is pallet P26-000210-17.",
        "detail": "A stripper was expected. Scan the stripper first, or scan DONE.",
    },
    "N2600031009": {
        "verdict": "held",
        "say": "N26-000310-09 is on hold since Tue 24 Nov (zinc coat low).",
        "detail": "Put it aside and scan another, or call QA.",
    },
    "GO": {
        "verdict": "accepted",
        "say": "The run is closed.",
        "goto": "/station?next=Scan+the+next+stripper",
    },
    "N2600008311000653": {"verdict": "accepted", "say": "N26-000083-11-0006-53 is on the shipment, 2 now."},
    "AWAY": {"verdict": "accepted", "say": "Stays here.", "goto": "//elsewhere.example/"},
    "H0000000000000001": {"verdict": "accepted", "say": "Good shift, Ilse Brandt."},
}
QUESTION = {
    "verdict": "ask",
    "question": {
        "id": "odd-mass",
        "text": "The scale says 1,940 kg; 1,204 kg was expected. What is right?",
        "choices": [
            {"code": "AS-READ", "label": "1,940 kg is right"},
            {"code": "AGAIN", "label": "Weigh again", "scans": ["VX2262", "ANSWER2"]},
            {"code": "YES", "label": "It holds two strippers"},
        ],
        "drop": ["VX3038", "LEAVEIT"],
    },
}
ASKED = "C2600000734"
FREE = Markup('<strong class="tag tag-good"><span>released</span></strong>')
HELD = Markup('<strong class="tag tag-stop"><span>held</span></strong>')


@dataclass
class Script:
    """What the server does next, and what it was sent."""

    delay: float = 0.0
    status: int = 200
    problem: dict[str, Any] = field(default_factory=dict)
    posts: list[dict[str, Any]] = field(default_factory=list)
    answers: dict[str, dict[str, Any]] = field(default_factory=dict)
    extra: dict[str, Any] = field(default_factory=dict)

    @property
    def texts(self) -> list[str]:
        return [post["text"] for post in self.posts]

    def keys_of(self, text: str) -> set[str]:
        return {post["key"] for post in self.posts if post["text"] == text}


def build_app(script: Script) -> Flask:
    """The page parts of the house, with test pages round them."""
    app = Flask("scripted", static_folder=str(ROOT / "trace/lotroot/web/static"), static_url_path="/static")
    app.jinja_loader = ChoiceLoader(  # type: ignore[assignment]  # Flask's own stub is narrower than its code
        [FileSystemLoader(ROOT / "templates/pages"), FileSystemLoader(Path(__file__).parent / "pages")]
    )
    app.after_request(_strict)
    _add_pages(app)
    _add_posts(app, script)
    return app


def _strict(response: Response) -> Response:
    response.headers["Content-Security-Policy"] = CSP
    response.headers["Cache-Control"] = "no-store"
    return response


def _lot(number: str) -> Markup:
    return Markup('<a class="lot" href="/office">{}</a>').format(number)


def _frame() -> dict[str, Any]:
    nobody = request.args.get("nobody")
    return {
        "kind": request.args.get("kind", "station"),
        "plant": "Alder Ford Wire",
        "demo": True,
        "station": {"code": "NM3", "name": "Nail machine 3"},
        "person": None if nobody else {"number": "H2600000411", "name": "Ilse Brandt"},
        "csrf_token": "token-of-this-page",
        "home": "/station",
        "scan": {
            "endpoint": request.args.get("endpoint", "/scan"),
            "signin": "/signin",
            "station": "NM3",
            "context": {"page": "station's <run>"},
            "next": request.args.get("next", "Scan the stripper"),
        },
        "made": [
            {"lot": _lot(f"N26-00031{n}-0{n}"), "mass": mass, "state": FREE}
            for n, mass in enumerate(("412.0", "96.5", "1,204.0"))
        ],
        "coils": [
            {"lot": _lot("C26-000007-34"), "heat": "4471-B", "share": "61.2", "mass": "736.8", "state": HELD},
            {"lot": _lot("C26-000009-28"), "heat": "4480-A", "share": "38.8", "mass": "467.2", "state": FREE},
        ],
    }


def _add_pages(app: Flask) -> None:
    @app.get("/station")
    def station() -> str:
        return render_template("station_test.html", **_frame())

    @app.get("/office")
    def office() -> str:
        pages = [
            {"label": "This morning", "url": "#", "current": False},
            {"label": "Lots", "url": "#", "current": True},
        ]
        nav = [{"word": "Office", "pages": pages}]
        return render_template(
            "office_test.html", **{**_frame(), "kind": "office", "station": None, "nav": nav}
        )

    @app.route("/form", methods=["GET", "POST"])
    def form() -> str:
        errors = []
        if request.method == "POST":
            errors = [
                {"field": "mass", "text": "“1.2.3” is no mass. Type kilograms, for example 1204 or 1204.5."},
                {"field": "certificate", "text": "Say whether the certificate is here or follows."},
            ]
        return render_template("form_test.html", **_frame(), errors=errors, values=request.form)

    @app.get("/signin")
    def signin() -> str:
        return render_template("form_test.html", **_frame(), values={})


def _add_posts(app: Flask, script: Script) -> None:
    @app.post("/scan")
    @app.post("/other-scan")
    def scan() -> tuple[Response, int]:
        time.sleep(script.delay)
        body = request.get_json()
        script.posts.append(
            body
            | {
                "path": request.path,
                "token": request.headers["X-CSRF-Token"],
                "header_key": request.headers["Idempotency-Key"],
            }
        )
        if script.status != 200:
            return jsonify(script.problem), script.status
        answer = script.answers.setdefault(body["key"], _answer(app, body, script))
        return jsonify(answer), 200

    @app.post("/portal")
    def portal() -> str:
        return "<html><body>Accept the terms of this network</body></html>"


def _answer(app: Flask, body: dict[str, Any], script: Script) -> dict[str, Any]:
    text = body["text"]
    if text in script.extra:
        return dict(script.extra[text])
    if text == ASKED:
        if not body["answers"]:
            return QUESTION
        return {"verdict": "asked_done", "say": f"Recorded: {body['answers']['odd-mass']}. In question."}
    answer = ANSWERS.get(text, {"verdict": "accepted", "say": f"{text} is recorded."})
    if answer["verdict"] == "accepted" and text.startswith("R"):
        loaded = app.jinja_env.get_template("loaded_test.html").render(loaded="R26-000123-83")
        return answer | {"fragments": {"loaded": loaded}, "context": {"loaded": text}}
    return answer


class Floor:
    """The scripted server: start, stop, and start again on the same port."""

    def __init__(self) -> None:
        self.script = Script()
        self.port = 0
        self.start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        self.server = create_server(build_app(self.script), host="127.0.0.1", port=self.port, threads=4)
        self.port = self.server.effective_port
        self.plugged = threading.Event()
        self.plugged.set()
        self.thread = threading.Thread(target=self._serve, daemon=True)
        self.thread.start()

    def _serve(self) -> None:
        """Answer until unplugged; then this thread, which alone owns the connections, closes them."""
        while self.plugged.is_set():
            self.server.asyncore.loop(timeout=0.02, map=self.server._map, count=1)
        for channel in list(self.server._map.values()):
            channel.handle_close()  # unlike close(), lets go of a file that is half sent

    def stop(self) -> None:
        """Close the port and every open connection, as when the plug is pulled."""
        self.server.task_dispatcher.shutdown()  # the workers first: they wake the loop through a pipe
        self.plugged.clear()
        self.thread.join(timeout=5)
