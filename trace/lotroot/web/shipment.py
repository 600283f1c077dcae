"""How does a dispatcher load a shipment in the rain: scan, see what is refused and why, let it leave?"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for

from lotroot.dispatch.handling import LoadShipment, OpenShipment, ReturnGoods, SendShipment, UnloadShipment
from lotroot.dispatch.shipments import find_shipment, latest_shipments, packages_of
from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.genealogy.walks import lots_numbered
from lotroot.identity import Command, ItemNumber, Number, is_shipment
from lotroot.identity.reading import read
from lotroot.identity.showing import shown
from lotroot.labelling.printed import labels_of
from lotroot.ledger.names import name_of, names_of
from lotroot.plant.adopted import current_plant, number_of, parties
from lotroot.web import cautions
from lotroot.web.acting import NEW, Errors, errors_of, record
from lotroot.web.desk import ONE_READ, desk
from lotroot.web.frame import frame, local, signed_in
from lotroot.web.packages import lot_words, packing_list, weight_list, weight_of
from lotroot.web.rows import Goods, begins_row, first_of_row, goods_scanned, span, without_row
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown

blueprint = Blueprint("shipment", __name__)
NAV = (("Shipment", "shipment.page"),)
HELP = (
    "Scan the shipment sheet, then every pallet. Scan the sheet once more and it leaves. ROW: the first and "
    "the last of a row. PART: what is scanned comes off, until DONE."
)
KEPT = ("shipment", "vehicle", "seal")


@blueprint.get("/shipment")
def page() -> str:
    """The dispatcher's page."""
    return _page()


@blueprint.post("/shipment")
def begin() -> Response:
    """Open a shipment to a customer."""
    command = OpenShipment(request.form.get("customer", ""), request.form.get("order_number", "").strip())
    opened = f"{url_for('shipment.page')}?shipment={NEW}"
    return record(command, opened, again=_page, field="customer")


@blueprint.post("/shipment/returns")
def came_back() -> Response:
    """Shipped goods came back."""
    reason = request.form.get("reason", "")
    if not reason:  # a scanner ends with Enter, which sends the form
        return make_response(_page([{"field": "reason", "text": "Choose why it came back."}]), 422)
    try:
        command = _return(request.form.get("number", ""), reason, request.form.get("place", ""))
    except (Unreadable, Unknown) as error:
        return make_response(_page(errors_of(error, "number")), 422)
    return record(command, url_for("shipment.page"), again=_page, field="number")


def _return(text: str, reason: str, place: str) -> ReturnGoods:
    value = read(text).value
    if not isinstance(value, Number | ItemNumber):
        raise Unreadable(
            "Only goods come back.",
            expected="The label of a pallet, a roll or a box.",
            next_step="Scan the label on the goods.",
        )
    with desk().house.reading() as connection:
        return ReturnGoods(str(value), reason, number_of(connection, "place", place))


@blueprint.get("/shipment/<number>/paper")
def paper(number: str) -> str:
    """Packing list and weight list of a shipment, to print and sign."""
    signed_in()
    with desk().house.reading() as connection:
        one = find_shipment(connection, number.replace("-", ""))
        plant = current_plant(connection)
        labels = labels_of(connection, one.row.number)
        values: dict[str, Any] = {
            "shipment": one.row,
            "shown": shown(one.row.number),
            "customer": name_of(connection, one.row.customer),
            "lines": packing_list(connection, plant, one.loads),
            "packages": weight_list(connection, one.loads),
            "total": weight_of(connection, one.loads).words,
            "left": f"{local(plant, one.row.left):%-d %B %Y, %H:%M}" if one.row.left else "not left yet",
            "label": labels[-1].event if labels else 0,
            "cautions": cautions.sentences(
                cautions.of_lots(lots_numbered(connection, (row.lot for row in one.loads)).values())
            ),
        }
    return render_template("shipment_paper.html", **frame(**values))


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    given = {name: request.args.get(name, "") for name in KEPT if request.args.get(name)}
    with desk().house.reading() as connection:
        names = names_of(connection)
        customers = [(row.code, names.get(row.code, row.code)) for row in parties(connection, "customer")]
    plant = found.plant
    values: dict[str, Any] = {"customers": customers, "errors": errors or []}
    values["reasons"] = [(one.code, one.words) for one in plant.reasons_of("return")] if plant else []
    values["places"] = [(code, place.name) for code, place in plant.places.items()] if plant else []
    for name, command in (("may_open", OpenShipment), ("may_return", ReturnGoods)):
        values[name] = not found.person or found.may(command)  # the badge may be scanned later
    values["chosen"] = given
    return render_template("shipment.html", **scan_frame(PAGE, kind="yard", context=given, **values))


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A shipment, what goes on or off it, or its own number once more: it leaves."""
    context = dict(scene.context)
    row = begins_row(scanned, context)
    if row is not None:
        return row
    if scanned.value is Command.PART:
        words = "Scan what comes off. A pallet comes off with all that is on it."
        return Say(words, context={**without_row(context), "off": 1})
    if scanned.value is Command.DONE and (context.get("off") or context.get("row")):
        return Say("Loading goes on: scan what goes on it.", context=without_row(context))
    if isinstance(scanned.value, Number) and is_shipment(scanned.value):
        return _shipment(scene, str(scanned.value), context)
    value = goods_scanned(scene, scanned)
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
    first = first_of_row(value, context)
    if first is not None:
        return first
    if context.get("off"):
        number, last = span(value, context)
        return Act(UnloadShipment(chosen, number, to=last), {**without_row(context), "off": 1})
    return Act(LoadShipment(chosen, *span(value, context)), without_row(context))


def _shipment(scene: Scene, number: str, context: dict[str, Any]) -> Act | Say:
    found = find_shipment(scene.connection, number)
    if context.get("shipment") == number and found.loads and not context.get("off"):
        return _leaves(scene, number, context)
    kept = without_row(context)
    if context.get("shipment") not in ("", None, number):
        kept = {}  # vehicle and seal are those of the other shipment
    name = name_of(scene.connection, found.row.customer)
    words = {"left": "has left already.", "cancelled": "was cancelled."}
    state = words.get(found.row.state, "is open. Scan what goes on it.")
    chosen = {**kept, "shipment": number, "chosen": scene.now}
    return Say(f"The shipment to {name} {state}", context=chosen)


def _leaves(scene: Scene, number: str, context: dict[str, Any]) -> Act:
    """The sheet once more; a sheet that a reader read twice must send nothing off."""
    chosen = context.get("chosen", 0)
    if isinstance(chosen, int) and abs(scene.now - chosen) < ONE_READ:
        raise Refused(
            "The sheet was read twice.",
            word="already",
            value=number,
            expected="Goods, or the sheet once more when all is on.",
            next_step="Go on; the shipment has not left.",
        )
    return Act(
        SendShipment(number, number, str(context.get("vehicle", "")), str(context.get("seal", ""))), {}
    )


def show(scene: Scene) -> Shown:
    """What is on the shipment, and how much it weighs."""
    number = str(scene.context.get("shipment", ""))
    values: dict[str, Any] = {"name": "", "number": number, "lines": [], "count": 0}
    following = "Scan the shipment sheet, or open a shipment below"
    if number:
        found = find_shipment(scene.connection, number)
        count = packages_of(found.loads)
        values |= {"name": name_of(scene.connection, found.row.customer), "shown": shown(number)}
        values |= {"lines": [_line(scene, row) for row in found.loads], "count": count}
        values |= {"weight": weight_of(scene.connection, found.loads).words, "shipment": found.row}
        values |= {name: scene.context.get(name, "") or found.row._mapping[name] for name in KEPT[1:]}
        following = _next(scene, found.row.state, count)
    values["listed"] = _listed(scene)
    parts = {"on-shipment": "_on_shipment.html", "carries": "_carries.html", "shipments": "_shipments.html"}
    return Shown(following, {name: render_template(html, **values) for name, html in parts.items()})


def _listed(scene: Scene) -> list[tuple[str, str, str, str]]:
    """The open shipments, and the last ones that left."""
    names = names_of(scene.connection)
    return [
        (row.number, shown(row.number), names.get(row.customer, row.customer), row.state)
        for row in latest_shipments(scene.connection)
    ]


def _next(scene: Scene, state: str, count: int) -> str:
    if state != "open":
        return "This shipment has left; scan another" if state == "left" else "It was cancelled; scan another"
    if scene.context.get("row"):
        return "Scan the last of the row" if scene.context.get("first") else "Scan the first of the row"
    if scene.context.get("off"):
        return "Scan all that comes off, then DONE"
    return "Scan the next; the sheet once more, and it leaves" if count else "Scan the first pallet"


def _line(scene: Scene, row: Any) -> dict[str, str]:
    lot = find_lot(scene.connection, row.lot)
    product = scene.plant.products.get(lot.product)
    return {
        "on": shown(row.carrier) if row.carrier else "by itself",
        "lot": lot_words(row),
        "product": product.name if product else lot.product,
        "amount": scene.amount(row.amount, lot.unit),
    }


PAGE = Page("shipment", meaning, show, HELP)
