"""How does a whole delivery come in by the supplier's packing list: read first, then all or nothing?

The file is kept byte for byte when it is uploaded; what the page shows and what is recorded are both read
from those bytes.
"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.ledger.book import keep_file, kept_file
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import current_plant, parties
from lotroot.quantities import show_amount
from lotroot.receiving.dry_run import DryRun, Usual, delivery, dry_run
from lotroot.receiving.packing_list import read_list
from lotroot.receiving.sheet import Choices
from lotroot.web.acting import Errors, errors_of, record
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in, somebody
from lotroot.web.security import uploads

blueprint = Blueprint("delivery", __name__)
TOLD = ("supplier", "number", "order_number", "product", "heat", "unit", "file")
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
def take() -> Response:
    """Record the whole delivery as it was shown, or nothing."""
    form = request.form
    with desk().house.reading() as connection:
        run = _run(connection, form.get("file", ""))
    if not run.clean:
        return make_response(_page(run=run, digest=form.get("file", "")), 422)
    more = {"order_number": form.get("order_number", ""), "packing_list": form.get("file", "")}
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
        names = names_of(connection)
        plant = current_plant(connection)
        firms = [(row.code, names.get(row.code, row.code)) for row in parties(connection, "supplier")]
    products = [("", "As each row says")] + [(one.code, one.name) for one in plant.products.values()]
    told = {name: request.form.get(name, "") for name in TOLD} | {"file": digest}
    values: dict[str, Any] = {"firms": firms, "products": products, "told": told, "errors": errors or []}
    if run is not None:
        values |= {"rows": [_shown(plant.units, plant.products, one) for one in run.rows], "run": run}
        values["faults"] = [
            {"line": one.line, "column": one.column, "value": one.value, "expected": one.expected}
            for one in run.faults
        ]
    return render_template("delivery.html", **frame(**values))


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
        "bad": "; ".join(f"{fault.column}: {fault.value}" for fault in one.faults),
    }
