"""How is the scanner at this computer set, and what should be changed?"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.identity.scanner_check import NONE, SUFFIXES, Arrived, Checked, check
from lotroot.identity.scanner_codes import BARS, QR
from lotroot.papers.scanner import scanner_sheet
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.scan_body import LONGEST_TEXT

blueprint = Blueprint("scanner", __name__)
NAV = (("Try a scanner", "scanner.page"),)

NAMES = {BARS: "Bars", QR: "QR"}
LONGEST = 600_000
"""Milliseconds of a scan; more is nobody's scan."""


@blueprint.get("/scanner")
def page() -> str:
    """The field that takes the test codes."""
    signed_in()
    return _page(None, "", frozenset())


@blueprint.post("/scanner")
def tried() -> str:
    """What one scan says of the scanner. Without a script it was Enter, or no form came."""
    signed_in()
    # Blanks round a text are a scanner's own, and a test code has none: they are shown, not cut off.
    text = request.form.get("text", "")[:LONGEST_TEXT]
    suffix = request.form.get("suffix", "")
    arrived = Arrived(text, suffix if suffix in SUFFIXES else NONE, _whole(request.form.get("ms", "")))
    found = check(arrived)
    seen = {one for one in request.form.get("seen", "").split() if one in NAMES}
    return _page(found, text, frozenset(seen | ({found.code} if found.code else set())))


@blueprint.get("/scanner/sheet.pdf")
def paper() -> Response:
    """The test sheet, to print."""
    return _file(scanner_sheet(demo=desk().demo).pdf, "application/pdf")


@blueprint.get("/scanner/sheet.png")
def picture() -> Response:
    """The test sheet, to scan from another screen."""
    return _file(scanner_sheet(demo=desk().demo).pages[0], "image/png")


def _whole(text: str) -> int:
    return min(int(text), LONGEST) if text.isdecimal() and len(text) < 8 else 0


def _page(found: Checked | None, text: str, seen: frozenset[str]) -> str:
    values: dict[str, Any] = {
        "found": found,
        "name": NAMES.get(found.code, "") if found else "",
        "text": text,
        "seen": " ".join(sorted(seen)),
        "codes": [(name, code in seen) for code, name in NAMES.items()],
    }
    return render_template("scanner.html", **frame(**values))


def _file(content: bytes, kind: str) -> Response:
    answer = make_response(content)
    answer.headers["Content-Type"] = kind
    return answer
