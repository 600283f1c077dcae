"""How does a whole delivery come in by the supplier's packing list: read first, then all or nothing?

The file is kept byte for byte when it is uploaded; what the page shows and what is recorded are both read
from those bytes.
"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.ledger.book import keep_file, kept_file
from lotroot.plant.adopted import current_plant
from lotroot.quantities import show_amount
from lotroot.receiving.dry_run import DryRun, Usual, delivery, dry_run
from lotroot.receiving.facts import TO_FOLLOW
from lotroot.receiving.packing_list import read_list
from lotroot.receiving.sheet import Choices
from lotroot.web.acting import Errors, errors_of, record
from lotroot.web.coming import products, suppliers
from lotroot.web.desk import desk
from lotroot.web.filled import kept
from lotroot.web.frame import frame, signed_in, somebody
from lotroot.web.scene import Scene
from lotroot.web.security import uploads

blueprint = Blueprint("delivery", __name__)
TOLD = ("supplier", "number", "order_number", "product", "heat", "unit", "file")
FIELDS = {
    "supplier_number": "Supplier's number",
    "heats": "Heat",
    "mass": "Their weight",
    "pieces": "Pieces",
    "grade": "Grade",
    "size": "Size",
    "order_number": "Our order",
    "product": "Product",
    "remark": "Remark",
    "paint_batch": "Paint batch",
}
NOBODY = Unreadable(
    "Nobody is named who sent it.", expected="The supplier of the list.", next_step="Choose the supplier."
)


@blueprint.get("/receiving/list")
def page() -> str:
    """The form that takes a packing list."""
    signed_in()
    return _page()


@blueprint.post("/receiving/list")
@uploads
def read() -> Response:
    """Show every row as it will be read, and name every bad one; nothing is recorded."""
    somebody()
    given = request.files.get("list")
    digest = request.form.get("file", "")
    if given is not None and given.filename:
        with desk().house.writing() as connection:
            digest = keep_file(connection, given.filename[-120:], "text/csv", given.read())
    if not request.form.get("supplier"):
        return make_response(_page(errors_of(NOBODY, "supplier"), digest=digest), 422)
    try:
        with desk().house.reading() as connection:
            run = _run(connection, digest)
            return make_response(_page(run=run, digest=digest))
    except Unreadable as error:
        return make_response(_page(errors_of(error, "list")), 422)


@blueprint.post("/receiving/list/record")
@uploads
def take() -> Response:
    """Record the whole delivery as it was shown, or nothing."""
    form = request.form
    with desk().house.reading() as connection:
        run = _run(connection, form.get("file", ""))
    if not run.clean:
        return make_response(_page(run=run, digest=form.get("file", "")), 422)
    follows = TO_FOLLOW if form.get("certificate_follows") else ""
    more = {
        "order_number": form.get("order_number", ""),
        "packing_list": form.get("file", ""),
        "certificate": kept("certificate") or follows,
    }
    command = delivery(run, form.get("number", ""), **more)
    return record(command, url_for("receiving.page"), again=_page)


def _run(connection: Connection, digest: str) -> DryRun:
    row = kept_file(connection, digest)
    if row is None:
        raise Unreadable(
            "No packing list was chosen.", expected="The supplier's CSV file.", next_step="Choose the file."
        )
    form = request.form
    sheet = read_list(row.bytes, Choices(unit=form.get("unit", "")))
    usual = Usual(form.get("product", ""), form.get("heat", ""))
    return dry_run(connection, sheet, form.get("supplier", ""), usual)


def _page(errors: Errors | None = None, run: DryRun | None = None, digest: str = "") -> str:
    with desk().house.reading() as connection:
        plant = current_plant(connection)
        scene = Scene(connection, plant, "", "", None, desk().now())
        sent_by = {"supplier": request.form.get("supplier", "")}
        values: dict[str, Any] = {
            "firms": list(suppliers(scene, {}).items()),
            "products": [("", "As each row says"), *products(scene, sent_by).items()],
            "kept": kept_file(connection, digest) if digest else None,
        }
        if run is not None and values["kept"]:
            values["read_as"] = _read_as(values["kept"].bytes, plant.units)
    told = {name: request.form.get(name, "") for name in TOLD} | {"file": digest}
    values |= {"told": told, "errors": errors or []}
    if run is not None:
        values |= {"rows": [_shown(plant.units, plant.products, one) for one in run.rows], "run": run}
        values["faults"] = _faults(run)
    return render_template("delivery.html", **frame(**values))


def _read_as(content: bytes, units: Any) -> list[tuple[str, str]]:
    """Which heading was taken for what, what was left out, and what the list adds up to."""
    sheet = read_list(content, Choices(unit=request.form.get("unit", "")))
    taken = [(FIELDS[field], f"“{heading}”") for field, heading in sheet.columns.items() if field in FIELDS]
    rows = ", ".join(f"{line} ({text[:40]})" for line, text in sheet.skipped[:6])
    total = show_amount(sheet.mass, "g", units.get("g", "g")) if sheet.mass else ""
    others = [
        ("Together", f"{total}, as the list's own total says" if sheet.total else total),
        ("Columns left out", ", ".join(sheet.ignored)),
        ("Rows left out", rows),
    ]
    return [*taken, *((name, value) for name, value in others if value)]


def _faults(run: DryRun) -> list[dict[str, str]]:
    """What does not fit, the same fault of many rows in one line."""
    rows: dict[tuple[str, str, str], list[int]] = {}
    for one in run.faults:
        rows.setdefault((one.column, one.value, one.expected), []).append(one.line)
    return [
        {"line": _lines(lines), "column": column, "value": value, "expected": expected}
        for (column, value, expected), lines in rows.items()
    ]


def _lines(lines: list[int]) -> str:
    told = ", ".join(str(one) for one in lines[:6])
    return told if len(lines) <= 6 else f"{told} and {len(lines) - 6} more"


def _shown(units: Any, products: Any, one: Any) -> dict[str, Any]:
    product = products.get(one.becomes.product)
    return {
        "line": one.row.line,
        "number": one.becomes.supplier_number,
        "product": product.name if product else "?",
        "heats": ", ".join(one.becomes.heats),
        "mass": show_amount(one.becomes.mass_theirs, "g", units.get("g", "g"))
        if one.becomes.mass_theirs
        else "",
        "known": "received before" if one.known else "",
        "bad": "; ".join(
            f"{fault.column}: {fault.value}" if fault.value else fault.column for fault in one.faults
        ),
    }
