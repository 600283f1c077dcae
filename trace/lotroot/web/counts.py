"""Which counts were there, what did each find otherwise than recorded, and how is that settled?"""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, render_template, url_for
from sqlalchemy import Connection, Row

from lotroot.counting.choices import DECIDED, OPEN, WRITTEN_OFF
from lotroot.counting.commands import CountGoods, SettleDifference
from lotroot.counting.counts import (
    differences_of,
    find_count,
    find_difference,
    latest_counts,
    seen_in,
    waiting_differences,
)
from lotroot.counting.inside import Progress, progress
from lotroot.counting.settling import GROUP
from lotroot.errors import LotrootError, Unreadable
from lotroot.genealogy.lots import lot_or_none
from lotroot.tracing.words import Words
from lotroot.web import filled
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.answers import iso
from lotroot.web.cells import Table, column, tag
from lotroot.web.count_shown import count_link, difference_plate, seen_row
from lotroot.web.count_words import goods_link, label_row, learn, product_of, said
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in, when
from lotroot.web.lineage_files import csv_answer

blueprint = Blueprint("counts", __name__)
NAV = (("Counts", "counts.page"),)
MOST = 50
"""The latest counts a page takes; older ones are opened by their number."""
CHOOSE = ("", "Choose")
FIELDS = (
    "state", "number", "first", "last", "carrier", "product", "unit", "recorded", "found", "recorded_at",
    "by", "at", "decided", "words", "typed_by",
)  # fmt: skip
"""Columns of the file: codes, numbers, base units, RFC 3339."""


@blueprint.get("/counts")
def page() -> str:
    """The last counts, each with what waits to be settled."""
    found = signed_in()
    with desk().house.reading() as connection:
        words = Words(connection)
        waiting = Counter(row.of_count for row in waiting_differences(connection))
        rows = [_line(connection, words, row, waiting) for row in latest_counts(connection, MOST)]
    columns = [
        column("Place", "place"),
        column("Begun", "begun"),
        column("By", "by"),
        column("Finished", "finished"),
        column("Seen", "seen"),
        column("To settle", "waiting", ""),
    ]
    table = Table("Counts", columns, rows, "Nothing was counted yet.")
    return render_template("counts.html", **frame(table=table, may_count=found.may(CountGoods)))


def _line(connection: Connection, words: Words, row: Row[Any], waiting: Counter[int]) -> dict[str, Any]:
    plant = words.plant
    open_now = row.state == "open"
    counted = progress(connection, row) if open_now else Progress(row.expected, row.seen, ())
    return {
        "place": count_link(row.id, words.called(row.place)),
        "begun": when(plant, row.opened),
        "by": words.called(row.person),
        "finished": tag("goes on") if open_now else when(plant, row.finished),
        "seen": said(counted),
        "waiting": str(waiting[row.id]) if waiting[row.id] else "",
    }


@blueprint.get("/counts/<int:number>")
def one(number: int) -> str:
    """One count with its differences, and the buttons to settle them."""
    return _page(number)


def _page(number: int, errors: Errors | None = None) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        count, words = find_count(connection, number), Words(connection)
        rows, seen = differences_of(connection, number), seen_in(connection, number)
        counted = progress(connection, count) if count.state == "open" else None
        words.learn({row.lot for row in (*rows, *seen)} - {""})
        learn(words, counted.unseen if counted else ())
        values: dict[str, Any] = {
            "number": number,
            "name": words.called(count.place),
            "place": count.place,
            "facts": _facts(words, count, counted),
            "waiting": [difference_plate(connection, words, row) for row in rows if row.choice in OPEN],
            "settled": _settled(words, [row for row in rows if row.choice not in OPEN]),
            "unseen": [label_row(words, label) for label in counted.unseen] if counted else None,
            "seen": [seen_row(words, row) for row in seen],
        }
    reasons = (
        [CHOOSE, *((one.code, one.words) for one in found.plant.reasons_of(GROUP))] if found.plant else []
    )
    may: dict[str, Any] = {"may_settle": found.may(SettleDifference), "may_count": found.may(CountGoods)}
    return render_template("count.html", **frame(reasons=reasons, errors=errors or [], **values, **may))


def _facts(words: Words, count: Row[Any], counted: Progress | None) -> list[tuple[str, str]]:
    plant = words.plant
    begun = ("Begun", f"{when(plant, count.opened)}, {words.called(count.person)}")
    if counted is not None:
        return [begun, ("So far", said(counted))]
    ended = f"{when(plant, count.finished)}, {words.called(count.finished_by)}"
    return [begun, ("Finished", ended), ("Result", said(Progress(count.expected, count.seen, ())))]


def _settled(words: Words, rows: Sequence[Row[Any]]) -> list[dict[str, Any]]:
    return [
        {
            "goods": goods_link(words, row),
            "product": product_of(words, row.lot),
            "kind": row.kind,
            "decided": ", ".join(part for part in (DECIDED[row.choice], row.words) if part),
            "by": words.called(row.person),
            "when": when(words.plant, row.at),
        }
        for row in rows
    ]


@blueprint.post("/counts/<int:number>/<int:seq>")
def settle(number: int, seq: int) -> Response:
    """Settle one difference by the button that was pressed."""

    def again(errors: Errors) -> str:
        return _page(number, errors)

    try:
        command = _command(number, seq)
    except LotrootError as error:
        return shown_again(error, again, f"settle-{seq}")
    back = url_for("counts.one", number=number)
    return record(command, back, again=again, field=f"settle-{seq}")


def _command(number: int, seq: int) -> SettleDifference:
    with desk().house.reading() as connection:
        row = find_difference(connection, number, seq)
        lot = lot_or_none(connection, row.lot)
    choice = filled.words("choice")
    reason = (
        (filled.words("reason") or filled.words("words")) if choice == WRITTEN_OFF else filled.words("words")
    )
    amount = filled.amount("amount", lot.unit) if lot is not None else 0
    if filled.words("amount") and not amount:  # left empty it means what is missing by the record
        raise Unreadable(
            "Nothing is no weight.",
            value=filled.words("amount"),
            expected="More than 0, or nothing typed for what is missing by the record.",
            next_step="Weigh it and enter the number; if it is not there, it was scanned by mistake.",
        )
    return SettleDifference(number, seq, choice, reason, amount)


@blueprint.get("/counts/<int:number>.csv")
def file(number: int) -> Response:
    """Everything that was seen, and every difference, as a file."""
    signed_in()
    with desk().house.reading() as connection:
        count, words = find_count(connection, number), Words(connection)
        seen, rows = seen_in(connection, number), differences_of(connection, number)
        words.learn({row.lot for row in (*rows, *seen)} - {""})
        lines = [_line_of(words, row, "seen", row.weighed) for row in seen]
        lines += [_line_of(words, row, row.kind, row.weighed) for row in rows]
    return csv_answer(f"count-{count.id}", FIELDS, lines)


def _line_of(words: Words, row: Row[Any], state: str, found: int) -> dict[str, Any]:
    lot = words.lot(row.lot)
    told = row._mapping
    return {
        "state": state,
        "number": row.lot,
        "first": row.first or "",
        "last": row.last or "",
        "carrier": told.get("carrier") or (row.spot if row.spot.startswith("P") else ""),
        "product": lot.product if lot is not None else "",
        "unit": lot.unit if lot is not None else "",
        "recorded": row.amount,
        "found": found or "",
        "recorded_at": words.called(row.stood) if row.stood else "",
        "by": words.called(row.person) if row.person else "",
        "at": iso(row.at) if row.at else "",
        "decided": DECIDED.get(told.get("choice") or "", ""),
        "words": told.get("words") or "",
        "typed_by": told.get("typed_by") or "",
    }
