"""Where do labels land that no printer takes, and which of them has nobody scanned yet?"""

import json
from typing import Any

from flask import Blueprint, Response, render_template, request, url_for

from lotroot.identity.showing import shown
from lotroot.labelling.facts import DOES_NOT_SCAN
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.printed import failed_jobs, tray, waiting_jobs
from lotroot.web.acting import record
from lotroot.web.desk import desk
from lotroot.web.frame import Who, frame, signed_in, when

blueprint = Blueprint("tray", __name__)
NAV = (("Label tray", "tray.page"),)

A_PAGE = 24
REPRINT = ("Torn or dirty", "Lost", DOES_NOT_SCAN, "Wanted again")
"""Why a label is printed again (common practice, no source)."""


@blueprint.get("/tray")
def page() -> str:
    """The labels as they would print, the latest first."""
    found = signed_in()
    before = request.args.get("before", "")
    with desk().house.reading() as connection:
        rows = tray(connection, A_PAGE, int(before) if before.isdecimal() and len(before) < 19 else 2**62)
        waiting, word = len(waiting_jobs(connection)), len(failed_jobs(connection))
    labels = [_label(found, row) for row in rows]
    older = url_for("tray.page", before=rows[-1].event) if len(rows) == A_PAGE else ""
    values: dict[str, Any] = {"labels": labels, "waiting": waiting, "word": word, "older": older}
    return render_template("tray.html", **frame(**values, may_print=found.may(PrintAgain), reasons=REPRINT))


@blueprint.post("/tray/again")
def again() -> Response:
    """Print a label again; it carries the next copy number."""
    number = request.form.get("number", "")
    first, last = (int(request.form.get(name, "0") or 0) for name in ("first", "last"))
    reason = request.form.get("reason", "").strip() or "printed again from the tray"
    return record(PrintAgain(number, reason, first, last), url_for("tray.page"))


def _mark(row: Any) -> str:
    """The word before the count, as it stands on the label."""
    return str(json.loads(row.fields).get("mark", "COPY"))


def _label(found: Who, row: Any) -> dict[str, Any]:
    span = f", items {row.first} to {row.last}" if row.last > row.first else ""
    return {
        "event": row.event,
        "number": row.number,
        "first": row.first,
        "last": row.last,
        "shown": shown(row.number) + span,
        "count": f"{_mark(row)} {row.copy}" if row.copy > 1 else "",
        "when": when(found.plant, row.printed_at),
        "proved": row.proved is not None,
        "serials": list(range(row.first, min(row.last, row.first + 11) + 1)) if row.first else [0],
        "more": max(row.last - row.first - 11, 0) if row.first else 0,
    }
