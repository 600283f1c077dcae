"""How trace-ready is the plant, and what stands in the way: the figure of each shipment, and every gap?"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.dispatch.shipments import find_shipment
from lotroot.errors import LotrootError, Unreadable
from lotroot.ledger.names import with_names
from lotroot.tracing.gaps import Gaps, gaps
from lotroot.tracing.readiness import WAYS, Readiness
from lotroot.tracing.words import Words
from lotroot.voiding.handling import said
from lotroot.web.answers import FILES, count, file_url, instead, iso, wanted
from lotroot.web.cells import Table, amounts, column, link
from lotroot.web.desk import desk
from lotroot.web.frame import Who, frame, signed_in, when
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json
from lotroot.work import MICROSECONDS

blueprint = Blueprint("gaps", __name__)

DAY = 24 * 3600 * MICROSECONDS
DAYS, MOST_DAYS = 30, 3_660
MOST = 40
"""Rows of a table; the files have up to 200 of each list."""
MEANING = (
    "Measured: weighed or counted at every step back. Reckoned: calculated or estimated at one of them. "
    "Apportioned: one weight divided over several lots. Bounded: goods were mixed, so it is one of several "
    "lots. Parts are rounded down."
)
COLUMNS = ("gap", "number", "run", "basis", "unit", "amount", "when", "words")
"""One row a gap; a shipment's row tells an amount for each way its goods are traced."""


@blueprint.get("/gaps")
def page() -> Response:
    """Of the last ?days=, 30 unless told."""
    found = signed_in()
    values: dict[str, Any] = {"days": request.args.get("days", "").strip() or str(DAYS)}
    try:
        since = desk().now() - days_of(values["days"]) * DAY
        with desk().house.reading() as connection:
            missing, words = gaps(connection, since), Words(connection)
            words.learn([*(row.lot for row in missing.unclosed), *(row.number for row in missing.weak)])
            sent = {one.shipment for one in missing.ready}
            customers = {number: find_shipment(connection, number).row.customer for number in sent}
            late = [with_names(connection, said(row)) for row in missing.late]
        if wanted() in FILES:
            return _file(missing, words, late)
        values |= {
            "said": _said(missing),
            "file_url": file_url,
            "tables": _tables(found, missing, words, (late, customers)),
        }
    except LotrootError as error:
        return instead("gaps.html", error, values)
    return make_response(render_template("gaps.html", **frame(**values)))


def days_of(text: str) -> int:
    """A number of days that was typed. Raises Unreadable."""
    if not text.isdecimal() or not 1 <= int(text[:9]) <= MOST_DAYS:
        raise Unreadable(
            "That is not a number of days.",
            value=text[:20],
            expected=f"1 to {MOST_DAYS}.",
            next_step="Enter how many days to look back.",
        )
    return int(text)


def _said(missing: Gaps) -> str:
    shipments = len({one.shipment for one in missing.ready})
    late = len(missing.late)
    return (
        f"{count(shipments, 'shipment')} left. {count(len(missing.parentless), 'lot')} without parents, "
        f"{late} late {'entry' if late == 1 else 'entries'}, {count(len(missing.unclosed), 'difference')}. "
        f"{count(missing.visited, 'lot')} {'was' if missing.visited == 1 else 'were'} looked at."
    )


def _tables(found: Who, missing: Gaps, words: Words, more: tuple[list[str], dict[str, str]]) -> list[Table]:
    late, customers = more
    tables = [
        _ready_table(missing, words, customers),
        _parentless_table(found, missing, words),
        _unclosed_table(found, missing, words),
        _weak_table(missing, words),
        _late_table(found, missing, words, late),
    ]
    return [_cut(one) for one in tables]


def _cut(whole: Table) -> Table:
    more = len(whole.rows) - MOST
    notes = [whole.note, f"{more} more are in the file." if more > 0 else ""]
    return whole._replace(rows=whole.rows[:MOST], note=" ".join(filter(None, notes)))


def _ready_table(missing: Gaps, words: Words, customers: dict[str, str]) -> Table:
    rows = [
        {
            "shipment": link(one.shipment),
            "customer": words.party(customers[one.shipment]),
            "stream": one.stream,
            **{way: _percent(one, way) for way in WAYS},
        }
        for one in missing.ready
    ]
    names = [column("Shipment", "shipment"), column("Customer", "customer"), column("Of its", "stream")]
    title = "How well each shipment can be traced back to what was received"
    return Table(
        title,
        [*names, *(column(way.capitalize(), way, "%") for way in WAYS)],
        rows,
        "Nothing left in this time.",
        MEANING,
    )


def _percent(one: Readiness, way: str) -> str:
    """Tenths of a percent, rounded down: 100.0 is all of it; nothing for none of it."""
    permille = one.permille(way)
    if not one.by_way.get(way):
        return ""
    return f"{permille // 10}.{permille % 10}"


def _parentless_table(found: Who, missing: Gaps, words: Words) -> Table:
    rows = [
        {
            "lot": link(row.number),
            "product": words.product(row.product),
            "run": link(row.run),
            "when": when(found.plant, row.born_at),
        }
        for row in missing.parentless
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column("Run", "run"),
        column("Made", "when"),
    ]
    return Table("Lots made here of which no parent is recorded", columns, rows, "None.")


def _unclosed_table(found: Who, missing: Gaps, words: Words) -> Table:
    units = [_unit(words, row.lot) for row in missing.unclosed]
    loaded = amounts(
        [(row.own, unit) for row, unit in zip(missing.unclosed, units, strict=True)], words.plant
    )
    gone = amounts(
        [(row.difference, unit) for row, unit in zip(missing.unclosed, units, strict=True)], words.plant
    )
    rows = [
        {
            "run": link(row.number),
            "lot": link(row.lot),
            "own": own,
            "difference": difference,
            "when": when(found.plant, row.closed),
        }
        for row, own, difference in zip(missing.unclosed, loaded.texts, gone.texts, strict=True)
    ]
    columns = [
        column("Run", "run"),
        column("Input", "lot"),
        column("Loaded", "own", loaded.unit),
        column("Missing (− too much)", "difference", gone.unit),
        column("Closed", "when"),
    ]
    return Table("Closed runs with a difference", columns, rows, "None.")


def _unit(words: Words, lot: str) -> str:
    row = words.lot(lot)
    return str(row.unit) if row is not None else "g"


def _weak_table(missing: Gaps, words: Words) -> Table:
    rows = [
        {
            "lot": link(row.number),
            "product": words.product(getattr(words.lot(row.number), "product", "")),
            "basis": row.basis,
            "links": str(row.links),
        }
        for row in missing.weak
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column("How its parents are known", "basis"),
        column("Links", "links", ""),
    ]
    return Table("Links that are estimated, apportioned or bounded", columns, rows, "None.")


def _late_table(found: Who, missing: Gaps, words: Words, late: list[str]) -> Table:
    rows = [
        {
            "what": what,
            "by": words.called(row.person) if row.person else "",
            "happened": when(found.plant, row.happened),
            "entered": when(found.plant, row.entered),
            "basis": row.basis,
        }
        for row, what in zip(missing.late, late, strict=True)
    ]
    columns = [
        column("What", "what"),
        column("By", "by"),
        column("Happened", "happened"),
        column("Entered", "entered"),
        column("How", "basis"),
    ]
    return Table("Late entries", columns, rows, "None.")


def _file(missing: Gaps, words: Words, late: list[str]) -> Response:
    rows = [*_ready_rows(missing), *_gap_rows(missing, words, late)]
    if wanted() == "csv":
        return csv_answer("gaps", COLUMNS, rows)
    return as_json({"visited": missing.visited, "gaps": rows}, 200)


def _row(gap: str, number: str, **more: Any) -> dict[str, Any]:
    blank: dict[str, Any] = {"run": "", "basis": "", "unit": "", "amount": 0, "when": "", "words": ""}
    return {"gap": gap, "number": number, **blank, **more}


def _ready_rows(missing: Gaps) -> list[dict[str, Any]]:
    return [
        _row("shipment", one.shipment, basis=way, amount=amount, words=one.stream)
        for one in missing.ready
        for way, amount in one.by_way.items()
        if amount
    ]


def _gap_rows(missing: Gaps, words: Words, late: list[str]) -> list[dict[str, Any]]:
    found = [
        _row("no parent", row.number, run=row.run, unit=row.unit, amount=row.amount, when=iso(row.born_at))
        for row in missing.parentless
    ]
    for row in missing.unclosed:
        of_run = {"run": row.number, "unit": _unit(words, row.lot), "when": iso(row.closed)}
        found.append(_row("difference", row.lot, amount=row.difference, **of_run))
    found += [_row("weak link", row.number, basis=row.basis, amount=int(row.given)) for row in missing.weak]
    return found + [
        _row("late entry", "", basis=row.basis, when=iso(row.happened), words=what)
        for row, what in zip(missing.late, late, strict=True)
    ]
