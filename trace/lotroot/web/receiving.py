"""What does the receiving page show, and what does its form record?

Scans are read by `receiving_scans`; the form says what no barcode does.
"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for

from lotroot.errors import Question, Unreadable
from lotroot.identity.showing import shown
from lotroot.ledger.book import keep_file
from lotroot.plant.adopted import number_of
from lotroot.receiving.commands import CompleteReceipt, OpenStock, ReceiveLot
from lotroot.receiving.receipts import details_due
from lotroot.stock.typed import HAND
from lotroot.web.acting import Errors, errors_of, record
from lotroot.web.coming import products, suppliers
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in, somebody
from lotroot.web.receiving_scans import KEPT, PAGE
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Scene
from lotroot.web.security import uploads

blueprint = Blueprint("receiving", __name__)
NAV = (("Receiving", "receiving.page"),)
UNTOLD = Unreadable(
    "Nobody has told what it is.", expected="A product of this plant.", next_step="Choose the product."
)


@blueprint.get("/receiving")
def page() -> str:
    """The receiving page: scan or type what the tag says."""
    return _page()


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    given = {name: request.args.get(name, "") for name in KEPT if request.args.get(name)}
    plant = found.plant
    with desk().house.reading() as connection:
        due = [(row.lot, shown(row.lot)) for row in details_due(connection)]
        values: dict[str, Any] = {"due": due}
        if plant:
            scene = Scene(connection, plant, "", "", None, desk().now())
            values["products"] = list(products(scene, {}).items())
            values["firms"] = list(suppliers(scene, {}).items())
    if plant:
        values["places"] = [(code, place.name) for code, place in plant.places.items()]
        values["holds"] = [(one.words, one.code) for one in plant.reasons_of("hold")]
        values["reasons"] = [("", "No hold")] + [(one.words, one.words) for one in plant.reasons_of("hold")]
    told = request.form if errors else {}
    more: dict[str, Any] = {"errors": errors or [], "told": told, **values}
    return render_template("receiving.html", **scan_frame(PAGE, context=given, **more))


@blueprint.post("/receiving/lot")
@uploads
def receive() -> Response:
    """Record a receipt, opening stock, or the details of an emergency receipt."""
    form = request.form
    told: dict[str, Any] = {
        name: form.get(name, "").strip()
        for name in (
            "product",
            "supplier",
            "supplier_number",
            "grade",
            "size",
            "order_number",
            "delivery",
            "remark",
            "paint_batch",
        )
    }
    if not told["product"] and form.get("what") != "emergency":
        return make_response(_page(errors_of(UNTOLD, "product")), 422)
    told["heats"] = tuple(one.strip() for one in form.get("heats", "").split(",") if one.strip())
    try:
        told |= _amounts(told["product"])
    except (Unreadable, Question) as error:
        return make_response(_page(errors_of(error, "amount")), 422)
    told |= {"certificate": _certificate(), "photo": _kept("photo")}
    back = url_for("receiving.page")
    if form.get("what") == "complete":
        return record(CompleteReceipt(lot=form.get("lot", ""), **told), back, again=_again, field="amount")
    place: dict[str, Any] = {"place": _place(), "hold_reason": form.get("hold_reason", "")}
    if form.get("what") == "stock":
        return record(OpenStock(**told, **place), back, again=_again, field="amount")
    command = ReceiveLot(**told, **place, emergency=form.get("what") == "emergency")
    return record(command, back, again=_again, field="amount")


def _again(errors: Errors) -> str:
    """The page once more, what a receipt lacks said at the field for it."""
    lacks = {"lacks the supplier.": "supplier", "lacks the heat.": "heats"}
    at = [
        {
            **one,
            "field": next((field for words, field in lacks.items() if words in one["text"]), one["field"]),
        }
        for one in errors
    ]
    return _page(at)


def _amounts(product: str) -> dict[str, Any]:
    """Our amount and theirs, read in the product's shown unit; empty means not told."""
    plant = somebody().plant
    if plant is None or product not in plant.products:
        return {"how": "weighed"}
    unit = plant.kind(plant.product(product).kind).unit
    ours, theirs = request.form.get("amount", "").strip(), request.form.get("mass_theirs", "").strip()
    found: dict[str, Any] = {"how": request.form.get("how", "weighed")}
    with desk().house.reading() as connection:
        scene = Scene(connection, plant, "", "", None, desk().now())
        if ours:
            found |= {"amount": scene.typed(ours, unit), "typed_by": HAND}
        if theirs:
            found["mass_theirs"] = scene.typed(theirs, "g")
    return found


def _place() -> str:
    code = request.form.get("place", "")
    if not code:
        return ""
    with desk().house.reading() as connection:
        return number_of(connection, "place", code)


def _certificate() -> str:
    return _kept("certificate") or ("to follow" if request.form.get("certificate_follows") else "")


def _kept(name: str) -> str:
    """Keep an uploaded file byte for byte; its hash, or empty where none came."""
    given = request.files.get(name)
    if given is None or not given.filename:
        return ""
    with desk().house.writing() as connection:
        return keep_file(connection, given.filename[-120:], given.mimetype, given.read())
