"""How does a coil or a pack get from the supplier's tag onto its own label: by scan, in any order?

What the tag's barcodes say is collected in the page (`context`); one typed number is our weight or count and
records the receipt. The form below it says everything else.
"""

import re
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import Question, Unreadable
from lotroot.identity import Command
from lotroot.identity.showing import shown
from lotroot.identity.tags import read_tag
from lotroot.ledger.book import keep_file
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import number_of, parties
from lotroot.receiving.commands import CompleteReceipt, OpenStock, ReceiveLot
from lotroot.receiving.facts import NOT_ON_TAG
from lotroot.receiving.receipts import certificates_awaited, details_due, latest_receipts
from lotroot.web.acting import Errors, errors_of, record
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in, somebody, when
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Context, Page, Say, Scanned, Scene, Shown
from lotroot.web.security import uploads

blueprint = Blueprint("receiving", __name__)
NAV = (("Receiving", "receiving.page"),)

KEPT = ("product", "supplier", "heat", "order_number", "delivery")
"""What SAME AGAIN keeps for the next coil of the same delivery."""

ASKED = {
    "supplier_number": "The supplier's coil or pack number",
    "heat": "The heat",
    "order_number": "Our order number",
    "delivery": "The supplier's delivery",
}
FIELDS = {
    "S": "supplier_number",
    "1S": "supplier_number",
    "3S": "supplier_number",
    "H": "heat",
    "K": "order_number",
    "2K": "delivery",
}
"""Data identifiers (ASC MH10.8.2) that say which field they fill; the others are asked about."""
WEIGHTS = ("Q", "2Q", "7Q")

_WEIGHT = re.compile(r"\d{1,6}([.,]\d{1,3})? ?(kg|t|lb|pcs|l)?")
"""What is read as our weight or count; longer figures are numbers on the tag."""

HELP = "Scan every barcode on the supplier's tag, then type our weight. DONE takes their weight."


@blueprint.get("/receiving")
def page() -> str:
    """The receiving page: scan or type what the tag says."""
    return _page()


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    given = {name: request.args.get(name, "") for name in KEPT if request.args.get(name)}
    plant = found.plant
    with desk().house.reading() as connection:
        values = _lists(connection)
    if plant:
        values["products"] = [(one.code, one.name) for one in plant.products.values()]
        values["places"] = [(code, place.name) for code, place in plant.places.items()]
        values["reasons"] = [("", "No hold")] + [(one.words, one.words) for one in plant.reasons_of("hold")]
    told = request.form if errors else {}
    more: dict[str, Any] = {"errors": errors or [], "told": told, **values}
    return render_template("receiving.html", **scan_frame(PAGE, context=given, **more))


def _lists(connection: Connection) -> dict[str, Any]:
    names, found = names_of(connection), signed_in()
    receipts = [
        {
            "shown": shown(row.lot),
            "lot": row.lot,
            "number": row.supplier_number,
            "heats": row.heats,
            "when": when(found.plant, row.at) if hasattr(row, "at") else "",
        }
        for row in latest_receipts(connection, 8)
    ]
    firms = [(row.code, names.get(row.code, row.code)) for row in parties(connection, "supplier")]
    due = [(row.lot, shown(row.lot)) for row in details_due(connection)]
    papers = [shown(row.lot) for row in certificates_awaited(connection)]
    return {"receipts": receipts, "firms": firms, "due": due, "papers": papers}


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
        )
    }
    told["heats"] = tuple(one.strip() for one in form.get("heats", "").split(",") if one.strip())
    try:
        told |= _amounts(told["product"])
    except (Unreadable, Question) as error:
        return make_response(_page(errors_of(error, "amount")), 422)
    told |= {"certificate": _certificate(), "photo": _kept("photo")}
    back = url_for("receiving.page")
    if form.get("what") == "complete":
        return record(CompleteReceipt(lot=form.get("lot", ""), **told), back, again=_page, field="amount")
    place: dict[str, Any] = {"place": _place(), "hold_reason": form.get("hold_reason", "")}
    if form.get("what") == "stock":
        return record(OpenStock(**told, **place), back, again=_page, field="amount")
    command = ReceiveLot(**told, **place, emergency=form.get("what") == "emergency")
    return record(command, back, again=_page, field="amount")


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
            found["amount"] = scene.typed(ours, unit)
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


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """What a scan means here: a part of the tag, our weight, or a command."""
    context = dict(scene.context)
    if isinstance(scanned.value, Command):
        return _command(scene, scanned.value, context)
    if scanned.value is not None:
        return None
    if _WEIGHT.fullmatch(scanned.text) and _ready(context):
        return _received(scene, context, weighed=scanned.text)
    return _part(scene, scanned.text, context)


def _ready(context: Context) -> bool:
    return bool(context.get("product") and context.get("supplier"))


def _command(scene: Scene, command: Command, context: dict[str, Any]) -> Act | Say | None:
    if command is Command.DONE:
        return _received(scene, context)
    if command is Command.NEXT:
        return Say("Cleared. Scan the next tag.", context={})
    if command is Command.SAME_AGAIN:
        kept = {name: context[name] for name in KEPT if name in context}
        return Say("The same supplier, product and heat. Scan the next number.", context=kept)
    if command is Command.NOT_ON_TAG:
        return Say("The tag names no heat.", context={**context, "heat": NOT_ON_TAG})
    if command is Command.EMERGENCY:
        return Act(ReceiveLot(product=context.get("product", ""), emergency=True), context)
    return None


def _received(scene: Scene, context: dict[str, Any], weighed: str = "") -> Act:
    if not _ready(context):
        raise Unreadable(
            "Nobody has said yet what this is and who sent it.",
            value=str(context.get("product", "")),
            expected="A product and a supplier.",
            next_step="Choose them above, then type the weight.",
        )
    unit = scene.plant.kind(scene.plant.product(context["product"]).kind).unit
    theirs = int(context.get("mass_theirs", 0))
    amount = scene.typed(weighed, unit, theirs or None) if weighed else theirs
    command = ReceiveLot(
        product=context["product"],
        supplier=context["supplier"],
        supplier_number=context.get("supplier_number", ""),
        heats=tuple(context[name] for name in ("heat", "heat_2") if context.get(name)),
        order_number=context.get("order_number", ""),
        delivery=context.get("delivery", ""),
        mass_theirs=theirs,
        amount=amount,
        how="weighed" if weighed else "theirs",
    )
    return Act(command, {name: context[name] for name in KEPT if name in context})


def _part(scene: Scene, text: str, context: dict[str, Any]) -> Say:
    """A barcode of the supplier's tag: its identifier says what it is, or the receiver does."""
    tag = read_tag(text)
    if tag.identifier in WEIGHTS:
        context["mass_theirs"] = scene.typed(tag.value, "g")
        return Say(f"Their weight: {scene.amount(context['mass_theirs'], 'g')}.", context=context)
    name = FIELDS.get(tag.identifier, "")
    name = name or scene.ask("tag-part", f"What is {tag.text} on the tag?", ASKED)
    if name == "heat" and context.get("heat") and context["heat"] != tag.value:
        name = "heat_2"
    context[name] = tag.value if tag.meaning else tag.text
    label = ASKED.get(name.removesuffix("_2"), name)
    return Say(f"{label}: {context[name]}.", context=context)


def show(scene: Scene) -> Shown:
    """What has been read off the tag so far."""
    plant, context = scene.plant, scene.context
    product = plant.products.get(str(context.get("product", "")))
    names = names_of(scene.connection)
    supplier = str(context.get("supplier", ""))
    facts = [
        ("Product", product.name if product else "choose it below"),
        ("Supplier", names.get(supplier, supplier) or "choose it below"),
        *((label, str(context[name])) for name, label in ASKED.items() if context.get(name)),
    ]
    if context.get("mass_theirs"):
        facts.append(("Their weight", scene.amount(int(context["mass_theirs"]), "g")))
    following = "Choose product and supplier"
    if _ready(context):
        following = "Type our weight" if context.get("heat") else "Scan the heat, or press Not on tag"
    return Shown(following, {"tag-read": render_template("_tag_read.html", facts=facts)})


PAGE = Page("receiving", meaning, show, HELP)
