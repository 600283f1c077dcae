"""Which lots met a machine, a tool, an instrument, a person, a shift, a supplier or a heat?"""

import re
from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple

from flask import Blueprint, Response, make_response, render_template, request
from sqlalchemy import Connection

from lotroot.errors import LotrootError, Unknown, Unreadable
from lotroot.genealogy.lots import as_alias, lots_with
from lotroot.identity import Number, is_thing, read
from lotroot.plant.adopted import current_plant, parties, thing_or_none, things
from lotroot.tracing.fate import Fate, fate
from lotroot.tracing.met import FOR_EVER, KINDS, Meeting, Met, Window, last_change, lots_met
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, count, file_url, instead, iso, wanted, when_words
from lotroot.web.cells import Table, column, link, tag, together
from lotroot.web.desk import desk
from lotroot.web.filled import time_of
from lotroot.web.find import is_badge
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json
from lotroot.work import MICROSECONDS

blueprint = Blueprint("met", __name__)

MONTH = 30 * 24 * 3600 * MICROSECONDS
MOST = 200
"""Rows of the page; the files have all."""
KIND_OF_THING = {"station": "machine", "resource": "tool", "instrument": "instrument"}
SHIFT = re.compile(r"\d{4}-\d\d-\d\d \S.*")
FIELDS = ("what", "other", "since", "until")
COLUMNS = ("lot", "product", "how", "run", "since", "until", "held")
"""Columns of the file."""


class Found(NamedTuple):
    """The lots that met something in a time, and what became of them."""

    met: Met
    window: Window
    meetings: Sequence[Meeting]
    fate: Fate


@blueprint.get("/met")
def page() -> Response:
    """The lots that met ?what= (kind:number) or ?other= between ?since= and ?until=."""
    plant = signed_in().plant
    values: dict[str, Any] = {name: request.args.get(name, "").strip() for name in FIELDS}
    values["other"] = "" if is_badge(values["other"]) else values["other"]
    try:
        with desk().house.reading() as connection:
            words = Words(connection)
            values["choices"] = _choices(connection, words)
            asked = _meant(connection, values["what"], values["other"])
            if asked is not None:
                until = time_of(values["until"], plant) if values["until"] else desk().now()
                since = (
                    time_of(values["since"], plant) if values["since"] else _since(connection, asked, until)
                )
                found = _found(connection, asked, Window(since, until))
                if wanted() in FILES:
                    return _met_file(found, words)
                values |= _met_page(found, words)
    except LotrootError as error:
        return instead("met.html", error, values)
    return make_response(render_template("met.html", **frame(**values)))


def _found(connection: Connection, asked: Met, window: Window) -> Found:
    meetings = lots_met(connection, asked, window)
    return Found(asked, window, meetings, fate(connection, {one.lot for one in meetings}))


def _since(connection: Connection, asked: Met, until: int) -> int:
    """A tool is asked about since it was last put in, everything else for a month."""
    changed = last_change(connection, asked.number, until) if asked.what == "tool" else None
    return until - MONTH if changed is None else changed


def _choices(connection: Connection, words: Words) -> list[tuple[str, list[tuple[str, str]]]]:
    """What can be asked about, under headings as people sort it."""
    named = [
        (row.kind, f"{KIND_OF_THING[row.kind]}:{row.number}", words.called(row.number))
        for row in things(connection)
        if row.kind in KIND_OF_THING
    ]
    people = [(f"person:{number}", name) for number, name in words.people()]
    firms = [(f"supplier:{row.code}", words.party(row.code)) for row in parties(connection, "supplier")]

    def of(kind: str) -> list[tuple[str, str]]:
        return sorted(((code, name) for one, code, name in named if one == kind), key=lambda one: one[1])

    return [
        ("Machines", of("station")),
        ("Tools", of("resource")),
        ("Instruments", of("instrument")),
        ("People", people),
        ("Suppliers", firms),
    ]


def _meant(connection: Connection, what: str, other: str) -> Met | None:
    """What was chosen or typed; None for nothing. Raises Unreadable or Unknown."""
    if other:
        return _typed(connection, other)
    kind, _, number = what.partition(":")
    if not kind:
        return None
    if kind not in KINDS or not number:
        raise _not_met(what)
    return Met(kind, number)


def _typed(connection: Connection, text: str) -> Met:
    try:
        value = read(text).value
    except Unreadable:
        value = None
    if isinstance(value, Number) and is_thing(value):
        thing = thing_or_none(connection, str(value))
        if thing is None or thing.kind not in KIND_OF_THING:
            raise _not_met(text)
        return Met(KIND_OF_THING[thing.kind], str(value))
    if lots_with(connection, "heat", text):
        return Met("heat", as_alias(text))
    if SHIFT.fullmatch(text):
        return Met("shift", _shift(connection, text))
    if value is not None:
        raise _not_met(text)
    raise Unknown(
        f"No heat {text[:40]} is recorded.",
        value=text,
        expected="A heat, a shift such as 2026-11-24 night, or the label of a machine or tool.",
        next_step="Type it as the tag says it, or choose from the list.",
    )


def _shift(connection: Connection, text: str) -> str:
    """A shift as runs have it. Raises Unknown for one that never is: it would have met nothing."""
    day, _, name = text.partition(" ")
    shift = f"{day} {name.strip().lower()}"
    codes = [one.code for one in current_plant(connection).shifts]
    try:
        date.fromisoformat(day)
        is_one = shift.partition(" ")[2] in codes
    except ValueError:
        is_one = False
    # A shift of a description that was in force before counts where something was made in it.
    if is_one or lots_met(connection, Met("shift", shift), Window(0, FOR_EVER)):
        return shift
    raise Unknown(
        f"No shift {text[:40]} is known.",
        value=text,
        expected=f"A day such as 2026-11-24 and one of: {', '.join(codes)}.",
        next_step="Type it as a run's page says it.",
    )


def _not_met(text: str) -> Unreadable:
    return Unreadable(
        "No lots are asked for by this.",
        value=text[:60],
        expected="A machine, a tool, an instrument, a person, a shift, a supplier or a heat.",
        next_step="For goods or a pan open their own page; for a tank or a drum choose its machine.",
    )


def _met_page(found: Found, words: Words) -> dict[str, Any]:
    words.learn(one.lot for one in found.meetings)
    held = found.fate.held
    rows = [
        {
            "lot": together([link(one.lot), tag("held", "stop") if one.lot in held else ""]),
            "product": _product(one.lot, words),
            "how": one.how,
            "run": link(one.run),
            "when": _when(one, words),
        }
        for one in found.meetings[:MOST]
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column("How it met it", "how"),
        column("Run", "run"),
        column("When", "when"),
    ]
    more = len(found.meetings) - MOST
    note = f"{more} more are in the file." if more > 0 else ""
    table = Table("Lots that met it", columns, rows, "None in this time.", note)
    return {"said": _met_words(found, words), "tables": [table], "file_url": file_url}


def _when(one: Meeting, words: Words) -> str:
    """From when to when it met it; what is on the machine now has no end yet."""
    if one.until == FOR_EVER:
        return f"{words.time(one.since)}, still on"
    return when_words(Window(one.since, one.until + 1), words)


def _product(lot: str, words: Words) -> str:
    row = words.lot(lot)
    return words.product(row.product) if row is not None else ""


def _met_words(found: Found, words: Words) -> str:
    lots = {one.lot for one in found.meetings}
    name = words.called(found.met.number)
    name = words.party(found.met.number) if found.met.what == "supplier" else name
    said = [f"{count(len(lots), 'lot')} met {name}, {when_words(found.window, words)}."]
    said.append(f"{count(found.fate.visited - len(lots), 'further lot')} came of that.")
    if found.fate.customers:
        firms = ", ".join(words.party(one) for one in found.fate.customers)
        said.append(f"{count(len(found.fate.left), 'lot')} left, to {firms}.")
    return " ".join(said)


def _met_file(found: Found, words: Words) -> Response:
    words.learn(one.lot for one in found.meetings)
    rows = [
        {
            "lot": one.lot,
            "product": _product(one.lot, words),
            "how": one.how,
            "run": one.run,
            "since": iso(one.since),
            "until": "" if one.until == FOR_EVER else iso(one.until),
            "held": one.lot in found.fate.held,
        }
        for one in found.meetings
    ]
    if wanted() == "csv":
        return csv_answer("met", COLUMNS, rows)
    asked = {"what": found.met.what, "number": found.met.number}
    times = {"since": iso(found.window.since), "until": iso(found.window.until)}
    after = {"shipped": list(found.fate.left), "customers": list(found.fate.customers)}
    return as_json({**asked, **times, "visited": found.fate.visited, "lots": rows, **after}, 200)
