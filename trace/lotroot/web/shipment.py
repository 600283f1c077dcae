"""How does a dispatcher load a shipment in the rain: scan, see what is refused and why, let it leave?"""

from typing import Any

from flask import Blueprint, Response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.dispatch.handling import LoadShipment, OpenShipment, ReturnGoods, SendShipment, UnloadShipment
from lotroot.dispatch.shipments import find_shipment, shipments
from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Command, Number, is_shipment
from lotroot.identity.reading import read
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of, names_of
from lotroot.plant.adopted import number_of, parties
from lotroot.quantities import show_amount
from lotroot.stock.carriers import carrier_or_none
from lotroot.web.acting import Errors, record
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in, when
from lotroot.web.rows import Goods, begins_row, first_of_row, goods_scanned, span, without_row
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown

blueprint = Blueprint("shipment", __name__)
NAV = (("Shipment", "shipment.page"),)
HELP = "Scan the shipment sheet, then every pallet. Scan the sheet once more and it leaves."
KEPT = ("shipment", "vehicle", "seal")


@blueprint.get("/shipment")
def page() -> str:
    """The dispatcher's page."""
    return _page()


@blueprint.post("/shipment")
def begin() -> Response:
    """Open a shipment to a customer."""
    command = OpenShipment(request.form.get("customer", ""), request.form.get("order_number", "").strip())
    return record(command, url_for("shipment.page"), again=_page, field="customer")


@blueprint.post("/shipment/returns")
def came_back() -> Response:
    """Shipped goods came back."""
    form = request.form
    value = read(form.get("number", "")).value
    with desk().house.reading() as connection:
        place = number_of(connection, "place", form.get("place", ""))
    command = ReturnGoods(str(value), form.get("reason", ""), place)
    return record(command, url_for("shipment.page"), again=_page, field="number")


@blueprint.get("/shipment/<number>/paper")
def paper(number: str) -> str:
    """Packing list and weight list of a shipment, to print and sign."""
    found = signed_in()
    with desk().house.reading() as connection:
        one = find_shipment(connection, number.replace("-", ""))
        lines = [_paper_line(connection, row) for row in one.loads]
        customer = name_of(connection, one.row.customer)
    total = sum(line["grams"] for line in lines)
    left = when(found.plant, one.row.left) if one.row.left else "not left yet"
    values: dict[str, Any] = {"shipment": one.row, "shown": shown(one.row.number), "customer": customer}
    values |= {"lines": lines, "total": show_amount(total, "g", "kg", decimals=1), "left": left}
    return render_template("shipment_paper.html", **frame(**values))


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    given = {name: request.args.get(name, "") for name in KEPT if request.args.get(name)}
    with desk().house.reading() as connection:
        names = names_of(connection)
        listed = [
            (row.number, shown(row.number), names.get(row.customer, row.customer), row.state)
            for row in list(shipments(connection))[:12]
        ]
        customers = [(row.code, names.get(row.code, row.code)) for row in parties(connection, "customer")]
    plant = found.plant
    values: dict[str, Any] = {"listed": listed, "customers": customers, "errors": errors or []}
    values["reasons"] = [(one.code, one.words) for one in plant.reasons_of("return")] if plant else []
    values["places"] = [(code, place.name) for code, place in plant.places.items()] if plant else []
    values |= {"may_open": found.may(OpenShipment), "chosen": given}
    return render_template("shipment.html", **scan_frame(PAGE, kind="yard", context=given, **values))


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A shipment, what goes on or off it, or its own number once more: it leaves."""
    context = dict(scene.context)
    row = begins_row(scanned, context)
    if row is not None:
        return row
    if scanned.value is Command.PART:
        return Say("Scan what comes off.", context={**without_row(context), "off": 1})
    if isinstance(scanned.value, Number) and is_shipment(scanned.value):
        return _shipment(scene, str(scanned.value), context)
    value = goods_scanned(scanned)
    return None if value is None else _goods(value, context)


def _goods(value: Goods, context: dict[str, Any]) -> Act | Say:
    """Goods go onto the chosen shipment, or come off it."""
    chosen = str(context.get("shipment", ""))
    if not chosen:
        raise Unreadable(
            "No shipment is being loaded here.",
            value=shown(str(value)),
            expected="The sheet of an open shipment.",
            next_step="Scan the shipment sheet, or open a shipment below; then this again.",
        )
    if context.get("off"):
        return Act(UnloadShipment(chosen, str(value)), without_row(context))
    first = first_of_row(value, context)
    if first is not None:
        return first
    return Act(LoadShipment(chosen, *span(value, context)), without_row(context))


def _shipment(scene: Scene, number: str, context: dict[str, Any]) -> Act | Say:
    found = find_shipment(scene.connection, number)
    if context.get("shipment") == number and found.loads:
        carried = (str(context.get("vehicle", "")), str(context.get("seal", "")))
        return Act(SendShipment(number, number, *carried), {})
    name = name_of(scene.connection, found.row.customer)
    return Say(
        f"Shipment to {name}. Scan what goes on it.", context={**without_row(context), "shipment": number}
    )


def show(scene: Scene) -> Shown:
    """What is on the shipment, and how much it weighs."""
    number = str(scene.context.get("shipment", ""))
    values: dict[str, Any] = {"name": "", "number": number, "lines": [], "count": 0}
    following = "Scan the shipment sheet, or open a shipment below"
    if number:
        found = find_shipment(scene.connection, number)
        lines = [_line(scene, row) for row in found.loads]
        count = len({row.carrier or (row.lot, row.first) for row in found.loads})
        values |= {"name": name_of(scene.connection, found.row.customer), "lines": lines, "count": count}
        values["shown"] = shown(number)
        following = _next(scene, found.row.state, count)
    return Shown(following, {"on-shipment": render_template("_on_shipment.html", **values)})


def _next(scene: Scene, state: str, count: int) -> str:
    if state != "open":
        return "This shipment has left; scan another" if state == "left" else "It was cancelled; scan another"
    if scene.context.get("off"):
        return "Scan what comes off"
    if scene.context.get("row"):
        return "Scan the last of the row" if scene.context.get("first") else "Scan the first of the row"
    return "Scan the next; the sheet once more, and it leaves" if count else "Scan the first pallet"


def _line(scene: Scene, row: Any) -> dict[str, str]:
    lot = find_lot(scene.connection, row.lot)
    product = scene.plant.products.get(lot.product)
    return {
        "on": shown(row.carrier) if row.carrier else "by itself",
        "lot": shown(row.lot) + (f", {row.first} to {row.last}" if row.last else ""),
        "product": product.name if product else lot.product,
        "amount": scene.amount(row.amount, lot.unit),
    }


def _paper_line(connection: Connection, row: Any) -> dict[str, Any]:
    plant = signed_in().plant
    lot = find_lot(connection, row.lot)
    product = plant.products.get(lot.product) if plant else None
    grams = row.amount if lot.unit == "g" else (lot.mass or 0) * row.amount // max(lot.amount, 1)
    pallet = carrier_or_none(connection, row.carrier)
    return {
        "package": shown(row.carrier) if pallet else shown(row.lot),
        "product": product.name if product else lot.product,
        "size": product.size if product else "",
        "lot": shown(row.lot) + (f", {row.first} to {row.last}" if row.last else ""),
        "count": row.last - row.first + 1 if row.last else 1,
        "grams": grams,
        "kg": show_amount(grams, "g", "kg", decimals=1),
    }


PAGE = Page("shipment", meaning, show, HELP)
