"""How does a lineage leave the page as a file that a spreadsheet or a program reads?"""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from flask import Blueprint, Response, make_response, request
from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.tracing import Direction, Kinsman, Lineage, as_json, trace
from lotroot.tracing.contract import time_text
from lotroot.tracing.lot_facts import source_facts_of
from lotroot.tracing.words import Words
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in
from lotroot.web.problems import as_json as json_answer
from lotroot.web.told import Told, in_words

blueprint = Blueprint("lineage_files", __name__)

COLUMNS = (
    "lot",
    "kind",
    "product",
    "depth",
    "amount",
    "unit",
    "stream",
    "part",
    "part_unit",
    "least",
    "most",
    "bound",
    "basis",
    "held",
    "supplier",
    "supplier_number",
    "heats",
    "standing",
    "shipped",
)
"""One row a lot and stream; amounts are whole numbers of their base unit, shipped names customers.

`least` and `most` are in the unit of `part`; `bound` says whether they are exact or outer.
"""


@blueprint.get("/lots/<number>/lineage.json")
def whole(number: str) -> Response:
    """The lineage, in the form that `lotroot trace --json` gives."""
    with desk().house.reading() as connection:
        found = trace(connection, number, _direction())
    answer = json_answer(as_json(found), 200)
    name = f"{found.asked.number}-{found.direction}.json"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@blueprint.get("/lots/<number>/lineage.csv")
def table(number: str) -> Response:
    """The lots of the lineage as CSV (RFC 4180), UTF-8 with the mark that spreadsheets look for."""
    with desk().house.reading() as connection:
        found = trace(connection, number, _direction())
        text = as_csv(connection, in_words(connection, found, Words(connection)))
    return _csv(text, f"{found.asked.number}-{found.direction}")


def csv_answer(name: str, columns: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> Response:
    """Rows by column as a file; several texts in one cell stand with a semicolon between them."""
    cells = [[_cell(row[column]) for column in columns] for row in rows]
    return _csv(_written(columns, cells), name)


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "; ".join(value) if isinstance(value, list) else value


def _csv(text: str, name: str) -> Response:
    answer = make_response(text.encode("utf-8-sig"))
    answer.headers["Content-Type"] = "text/csv; charset=utf-8; header=present"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer


def as_csv(connection: Connection, lineage: Told) -> str:
    """All lots of a lineage."""
    return _written(COLUMNS, _rows(connection, lineage))


def _written(columns: Sequence[str], rows: Iterable[Iterable[Any]]) -> str:
    written = io.StringIO()
    writer = csv.writer(written)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_harmless(cell) for cell in row])
    return written.getvalue()


def _rows(connection: Connection, up_or_down: Told) -> Iterator[tuple[Any, ...]]:
    lineage, words = up_or_down.lineage, up_or_down.words
    sources = source_facts_of(connection, [one.lot.number for one in lineage.lots], words)
    cut = lineage.older.lots if lineage.older else frozenset()
    for one in lineage.lots:
        if one.lot.number in cut:
            continue
        source = sources.get(one.lot.number)
        firm = (
            (source.supplier.name, source.supplier_number, "; ".join(source.heats))
            if source
            else ("", "", "")
        )
        mine = (one.lot.number, one.lot.kind, one.lot.product, one.depth, one.lot.amount, one.lot.unit)
        for chain, part in sorted(one.part.items()) or [("", 0)]:
            unit = up_or_down.unit(one.lot.number, one.lot.unit, chain)
            unit = up_or_down.asked_unit(chain) if lineage.direction == "up" else unit
            bound = one.bounds.get(chain)
            least, most, kind = (bound.least, bound.most, bound.word) if bound else (0, 0, "")
            known = (chain, part, unit, least, most, kind, one.basis, "yes" if one.held else "no")
            yield (*mine, *known, *firm, _standing(one, lineage, words), _shipped(one, lineage, words))
    yield from _older(up_or_down)


def _older(up: Told) -> Iterator[tuple[Any, ...]]:
    """One row a stream for all that was made before the answer looks back; no lot, but what it gave."""
    older = up.lineage.older
    if older:
        what = ("", "older", f"made before {time_text(older.before)}", "", "", "")
        for chain, part in sorted(older.part.items()):
            given = (chain, part, up.asked_unit(chain), "", "", "")  # what lies between is not told
            yield (*what, *given, older.basis, "yes" if older.held else "no", "", "", "", "", "")


def _standing(one: Kinsman, lineage: Lineage, words: Words) -> str:
    return "; ".join(
        sorted({words.called(each.place) for each in lineage.on_hand if each.lot == one.lot.number})
    )


def _shipped(one: Kinsman, lineage: Lineage, words: Words) -> str:
    mine = [each for each in lineage.shipments if one.lot.number in each.lots]
    return "; ".join(f"{each.shipment} {words.party(each.customer)}" for each in mine)


def _direction() -> Direction:
    signed_in()
    told_so = request.args.get("direction", "up")
    if told_so not in ("up", "down"):
        raise Unreadable(
            "A lineage goes up or down.",
            value=told_so,
            expected="direction=up or direction=down",
            next_step="Correct the address.",
        )
    return "up" if told_so == "up" else "down"


def _harmless(cell: Any) -> str:
    """A text that a spreadsheet does not take for a formula (OWASP, CSV injection); a number is none."""
    text = str(cell)
    if isinstance(cell, int):
        return text
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
