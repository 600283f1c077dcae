"""What must somebody look at this morning: open runs, holds, questions, labels, differences, late entries?"""

from collections.abc import Iterable
from typing import Any

from flask import Blueprint, Response, render_template, request, url_for
from sqlalchemy import Connection, bindparam, select

from lotroot.counting.choices import KINDS
from lotroot.counting.counts import open_counts, waiting_differences
from lotroot.genealogy.lots import lots_in_doubt
from lotroot.holds.handling import SettleQuestion
from lotroot.holds.naming import WORDS, source_words
from lotroot.holds.standing import Standing, standing_holds
from lotroot.identity import Family, number_from
from lotroot.identity.showing import shown
from lotroot.labelling.printed import failed_jobs, latest_unscanned, to_destroy
from lotroot.labelling.printers import printers
from lotroot.ledger.book import recent
from lotroot.ledger.names import name_of, with_names
from lotroot.plant.adopted import thing_or_none
from lotroot.production.runs import open_runs
from lotroot.questions import open_questions
from lotroot.receiving.receipts import certificates_awaited, details_due
from lotroot.stock.tables import MISSING, line
from lotroot.tracing.words import Words, items
from lotroot.voiding.handling import said
from lotroot.web.acting import Errors, record
from lotroot.web.cells import link, together
from lotroot.web.count_shown import count_link
from lotroot.web.desk import desk
from lotroot.web.frame import Who, frame, signed_in, when
from lotroot.work import MICROSECONDS

blueprint = Blueprint("morning", __name__)
NAV = (("This morning", "morning.page"),)

DAY = 24 * 3600 * MICROSECONDS
UNSCANNED = 2 * 3600 * MICROSECONDS
"""A label nobody has scanned two hours after it was printed is worth a look (ours)."""
MOST = 50
"""As many of each kind as a page takes, the latest."""

_late_ones = (
    select(recent)
    .where(recent.c.basis != "at once", recent.c.entered >= bindparam("since"))
    .order_by(recent.c.id.desc())
    .limit(MOST)
)


@blueprint.get("/morning")
def page() -> str:
    """Everything that waits for somebody, each line leading to its page."""
    return _page()


def _page(errors: Errors | None = None, settling: int = 0) -> str:
    """The list; after an error with what was said of the question that was to be settled."""
    found = signed_in()
    now = desk().now()
    with desk().house.reading() as connection:
        values: dict[str, Any] = {
            "runs": [_run(connection, found, row) for row in open_runs(connection)],
            "holds": [_hold(one) for one in standing_holds(connection)],
            "doubted": lots_in_doubt(connection),
            "questions": _questions(connection, found),
            "unscanned": _labels(connection, found, latest_unscanned(connection, now - UNSCANNED, MOST)),
            "destroy": _labels(connection, found, to_destroy(connection, now - DAY)),
            "counts": _counts(connection, found),
            "failed": list(failed_jobs(connection))[:MOST],
            "differences": _differences(connection, found, now - DAY),
            "late": [_late(connection, found, row) for row in _late_entries(connection, now - DAY)],
            "details": [row.lot for row in details_due(connection)],
            "certificates": [row.lot for row in certificates_awaited(connection)],
        }
        values["what"] = _products(connection, values)
    may = found.may(SettleQuestion)
    settled = found.plant.reasons_of("settled") if found.plant else ()
    values |= {"errors": errors or [], "settling": settling, "said": request.form.get("words", "")}
    return render_template("morning.html", **frame(shown=shown, may_settle=may, settled=settled, **values))


@blueprint.post("/morning/questions/<int:question>")
def settle(question: int) -> Response:
    """A supervisor settles a question by a reason's button, in words, or by both."""
    told = (request.form.get(name, "").strip() for name in ("why", "words"))
    words = ": ".join(one for one in told if one)
    return record(
        SettleQuestion(question, words),
        url_for("morning.page"),
        again=lambda errors: _page(errors, question),
        field=f"words-{question}",
    )


def _products(connection: Connection, values: dict[str, Any]) -> dict[str, str]:
    """What each lot is that is named by its number; what came in an emergency is not told yet."""
    lots = {*values["doubted"], *values["certificates"], *(one["subject"] for one in values["questions"])}
    lots |= {lot for one in values["holds"] for lot in one["lots"]}
    words = Words(connection)
    words.learn(lots)
    known = {lot: words.lot(lot) for lot in lots - set(values["details"])}
    return {lot: words.product(row.product) for lot, row in known.items() if row is not None}


def _label(words: Words, found: Who, row: Any, names: dict[str, str]) -> dict[str, str]:
    of_items = f", {items(row.first, row.last)}" if row.last else ""
    known = words.lot(row.number[:11])
    family = number_from(row.number[:11]).family
    other = "pallet" if family is Family.CARRIER else family.word
    return {
        "label": together([link(row.number), of_items], ""),
        "what": words.product(known.product) if known is not None else other,
        "which": f"label {row.copy}" if row.copy > 1 else "the first label",
        "when": when(found.plant, row.printed_at),
        "printer": names.get(row.printer, row.printer) or "Label tray",
        "how": "did not scan" if row.unreadable else "",
    }


def _labels(connection: Connection, found: Who, rows: Iterable[Any]) -> list[dict[str, str]]:
    """Labels with what they are on, as many as a page takes."""
    some = list(rows)[:MOST]
    words = Words(connection)
    words.learn(row.number[:11] for row in some)
    names = {code: one.name for code, one in printers(connection).items()}
    return [_label(words, found, row, names) for row in some]


def _run(connection: Connection, found: Who, row: Any) -> dict[str, str]:
    station = thing_or_none(connection, row.station)
    plant = found.plant
    name = plant.stations[station.code].name if plant and station and station.code in plant.stations else ""
    process = plant.processes[row.process].name if plant and row.process in plant.processes else row.process
    return {
        "run": link(row.number),
        "what": process,
        "station": name,
        "since": when(plant, row.opened),
        "by": name_of(connection, row.person),
    }


def _hold(standing: Standing) -> dict[str, Any]:
    """A hold with the lots it names, without those that were released."""
    words = f"{WORDS[standing.hold.kind]}: {standing.hold.reason}"
    return {
        "id": standing.hold.id,
        "words": ", ".join(part for part in (words, source_words(standing.hold)) if part),
        "lots": list(dict.fromkeys(one.lot for one in standing.roots if one.live)),
    }


def _questions(connection: Connection, found: Who) -> list[dict[str, Any]]:
    """What is in question, with what was put in question along with it counted as one.

    What a count put there is settled with the count, which may move goods.
    """
    counted = {
        int(event): url_for("counts.one", number=row.of_count, _anchor=f"field-settle-{row.seq}")
        for row in waiting_differences(connection)
        for event in row.questions.split()
    }
    together: dict[tuple[str, int], list[Any]] = {}
    for row in open_questions(connection):
        together.setdefault((row.reason, row.at), []).append(row)
    return [
        {
            **_question(connection, found, rows[0]),
            "others": [row.subject for row in rows[1:]],
            "count": counted.get(rows[0].event, ""),
        }
        for rows in together.values()
    ]


def _question(connection: Connection, found: Who, row: Any) -> dict[str, Any]:
    who = name_of(connection, row.person) if row.person else ""
    return {
        "id": row.event,
        "subject": row.subject,
        "shown": shown(row.subject),
        "url": f"/lots/{row.subject}",
        **_thing(connection, row.subject),
        "reason": row.reason,
        "by": who,
        "when": when(found.plant, row.at),
    }


def _counts(connection: Connection, found: Who) -> list[dict[str, Any]]:
    """Counts that go on, and those with differences that nobody has settled."""
    words = Words(connection)
    waiting: dict[int, list[str]] = {}
    places: dict[int, str] = {}
    for row in waiting_differences(connection):
        waiting.setdefault(row.of_count, []).append(row.kind)
        places[row.of_count] = row.place
    rows = [
        {
            "place": count_link(number, words.called(places[number])),
            "what": ", ".join(f"{kinds.count(kind)} {kind}" for kind in KINDS if kind in kinds),
        }
        for number, kinds in sorted(waiting.items())
    ]
    going_on = [
        {
            "place": count_link(row.id, words.called(row.place)),
            "what": f"goes on since {when(found.plant, row.opened)}, begun by {words.called(row.person)}",
        }
        for row in open_counts(connection)
    ]
    return [*rows[:MOST], *going_on[:MOST]]


def _thing(connection: Connection, subject: str) -> dict[str, str]:
    """A bin goes by its name, and its page is that of all bins."""
    row = thing_or_none(connection, subject) if subject.startswith(Family.THING) else None
    return {"shown": Words(connection).called(subject), "url": "/bins"} if row is not None else {}


def _differences(connection: Connection, found: Who, since: int) -> list[dict[str, str]]:
    query = (
        select(line)
        .where(MISSING, line.c.at >= since)
        .order_by(line.c.at.desc(), line.c.event.desc())
        .limit(MOST)
    )
    rows = connection.execute(query).all()
    words = Words(connection)
    words.learn(row.lot for row in rows)
    return [
        {
            "lot": together([link(row.lot), words.product(getattr(words.lot(row.lot), "product", ""))], " "),
            "run": link(row.run) if row.run else "",
            "amount": words.amount_of(row.lot, abs(row.amount)),
            "sign": "missing" if row.amount > 0 else "too much",
            "when": when(found.plant, row.at),
        }
        for row in rows
    ]


def _late_entries(connection: Connection, since: int) -> list[Any]:
    return list(connection.execute(_late_ones, {"since": since}))


def _late(connection: Connection, found: Who, row: Any) -> dict[str, str]:
    return {
        "what": with_names(connection, said(row)),
        "by": name_of(connection, row.person) if row.person else "",
        "happened": when(found.plant, row.happened),
        "entered": when(found.plant, row.entered),
        "basis": row.basis,
    }
