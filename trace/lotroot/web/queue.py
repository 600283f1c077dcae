"""Which labels have not come out yet, why, and what does somebody beside the goods say of each?"""

from typing import Any

from flask import Blueprint, Response, render_template, request
from sqlalchemy import Connection, Row

from lotroot.identity.showing import shown
from lotroot.labelling import outbox
from lotroot.labelling.printers import after, printers, seen
from lotroot.labelling.settling import MOVABLE, DropLabel, PrintNow, SayPrinted, SendElsewhere, job_words
from lotroot.labelling.waiting import Told, open_jobs, told, unlabelled_at
from lotroot.web.acting import record
from lotroot.web.cells import link
from lotroot.web.desk import desk
from lotroot.web.frame import Who, frame, signed_in, when, who
from lotroot.web.wording import thing_name

blueprint = Blueprint("queue", __name__)
NAV = (("Labels waiting", "queue.page"),)

DROPPED = ("It has a label from the pad", "The goods are gone", "It is not needed")
"""Why a label is left out (ours)."""

ASKS = (outbox.LATE, outbox.UNKNOWN, outbox.FAILED)


@blueprint.get("/queue")
def page() -> str:
    """What needs somebody's word first, then what waits and what is under way."""
    found = signed_in()
    here = request.args.get("station", "")
    with desk().house.reading() as connection:
        jobs = [job for job in open_jobs(connection) if here in ("", job.station)]
        known = {code: one.name for code, one in printers(connection).items()}
        rows = [_row(connection, found, job, known) for job in jobs]
        trouble = _troubles(connection, known)
    values: dict[str, Any] = {
        "asks": [row for row in rows if row["state"] in ASKS],
        "waits": [row for row in rows if row["state"] not in ASKS],
        "trouble": trouble,
        "may": found.may(PrintNow),
        "reasons": DROPPED,
        "here": here,
    }
    return render_template("queue.html", **frame(**values))


def _row(connection: Connection, found: Who, job: Row[Any], known: dict[str, str]) -> dict[str, Any]:
    goods = told(job)
    other = after(connection, job.printer)
    return {
        "id": job.id,
        "state": job.state,
        "unknown": job.state == outbox.UNKNOWN,
        "number": link(job.number),
        "shown": shown(job.number),
        "which": job.copy,
        "what": _what(goods),
        "amount": goods.amount,
        "made": when(found.plant, job.queued),
        "station": thing_name(connection, found.plant, job.station) if found.plant and job.station else "",
        "printer": known.get(job.printer, job.printer) if job.printer else "Label tray",
        "words": job_words(job),
        "reason": job.reason,
        "other": other.name if other is not None else "",
    }


def _what(goods: Told) -> str:
    return " ".join(word for word in (goods.kind, goods.product) if word)


def _troubles(connection: Connection, known: dict[str, str]) -> list[str]:
    """Each printer's trouble as a sentence."""
    return [
        f"{known.get(code, code)} {row.trouble or row.remark}".rstrip(".") + "."
        for code, row in sorted(seen(connection).items())
        if code in known and (row.trouble or row.remark)
    ]


@blueprint.post("/queue/<int:job>/print")
def print_now(job: int) -> Response:
    """Somebody stands beside the goods: print it at its own printer."""
    return record(PrintNow(job), _back())


@blueprint.post("/queue/<int:job>/elsewhere")
def elsewhere(job: int) -> Response:
    """Print it at the next printer."""
    return record(SendElsewhere(job), _back())


@blueprint.post("/queue/<int:job>/printed")
def is_there(job: int) -> Response:
    """Somebody holds it."""
    return record(SayPrinted(job), _back())


@blueprint.post("/queue/<int:job>/drop")
def drop(job: int) -> Response:
    """It is not wanted any more."""
    return record(DropLabel(job, request.form.get("reason", "")), _back())


def _back() -> str:
    here = request.form.get("station", "")
    return f"/queue?station={here}" if here.isalnum() and len(here) < 20 else "/queue"


@blueprint.get("/labels-waiting")
def fragment() -> str:
    """What the station of this terminal waits for; its pages ask again every few seconds."""
    signed_in()
    at = who()
    with desk().house.reading() as connection:
        return waiting_here(connection, at.station, desk().now())


def waiting_here(connection: Connection, station: str, now: int) -> str:
    """The part of a station's page that says which goods stand without a label, and why."""
    rows = unlabelled_at(connection, station, now)
    known = printers(connection)
    mine = [code for code in dict.fromkeys(job.printer for job in rows) if code in known]
    states = seen(connection) if rows else {}
    trouble = [
        f"{known[code].name} {states[code].trouble}".rstrip(".") + "."
        for code in mine
        if code in states and states[code].trouble
    ]
    first = next((job for job in rows if job.state in MOVABLE), None)
    other = after(connection, first.printer) if first is not None else None
    return render_template(
        "_labels_waiting.html",
        rows=[_short(job) for job in rows[:4]],
        count=len(rows),
        trouble=trouble,
        station=station,
        ask=any(job.state in ASKS for job in rows),
        other=other.name if other is not None else "",
    )


def _short(job: Row[Any]) -> dict[str, str]:
    goods = told(job)
    return {
        "number": shown(job.number),
        "what": _what(goods),
        "amount": goods.amount,
        "words": job_words(job),
        "reason": job.reason if job.state in (outbox.FAILED, outbox.UNKNOWN) else "",
    }
