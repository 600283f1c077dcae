"""What does the receiving page show: read off the tag, still to be told, received last?"""

from typing import Any

from flask import render_template

from lotroot.identity.showing import shown
from lotroot.ledger.names import names_of
from lotroot.processes.definition import Kind
from lotroot.receiving.details import COIL
from lotroot.receiving.receipts import certificates_awaited, details_due, latest_receipts
from lotroot.web import tag_read
from lotroot.web.cells import link
from lotroot.web.scene import Context, Scene, Shown

SHOWN_LAST = 8


def show(scene: Scene) -> Shown:
    """What has been read off the tag so far, and what is still to be said."""
    context, plant = scene.context, scene.plant
    product = plant.products.get(str(context.get("product", "")))
    kind = plant.kind(product.kind) if product else None
    facts = [
        ("Product", product.name if product else "not told yet"),
        ("Supplier", _supplier_name(scene) or "not told yet"),
        *((label, _text(context[name])) for name, label in tag_read.NAMES.items() if context.get(name)),
        *_amounts(scene),
    ]
    if context.get("certificate"):
        facts.append(("Certificate", "to follow"))
    if context.get("number"):
        facts.append(("Its label", shown(str(context["number"]))))
    if str(context.get("hold_reason", "")) in plant.reasons:
        facts.append(("On hold", plant.reasons[str(context["hold_reason"])].words))
    parts = {
        "tag-read": render_template("_tag_read.html", facts=facts),
        "received-last": render_template("_received_last.html", **_last(scene)),
    }
    return Shown(_next(context, kind), parts)


def _last(scene: Scene) -> dict[str, Any]:
    """What came last, and what its papers are still to follow for."""
    products = scene.plant.products
    due = {row.lot for row in details_due(scene.connection)}
    receipts = [
        {
            "lot": link(row.lot),
            "product": products[row.product].name if row.product in products else row.product,
            "amount": "details due" if row.lot in due else scene.amount(row.amount, row.unit),
            "number": row.supplier_number,
            "heats": row.heats,
        }
        for row in latest_receipts(scene.connection, SHOWN_LAST)
    ]
    return {"receipts": receipts, "papers": [link(row.lot) for row in certificates_awaited(scene.connection)]}


def _supplier_name(scene: Scene) -> str:
    code = str(scene.context.get("supplier", ""))
    return names_of(scene.connection).get(code, code)


def _amounts(scene: Scene) -> list[tuple[str, str]]:
    units = {"mass_theirs": "g", "pieces": "pcs"}
    return [
        (tag_read.OTHERS[name], scene.amount(int(scene.context[name]), unit))
        for name, unit in units.items()
        if scene.context.get(name)
    ]


def _text(value: Any) -> str:
    return " and ".join(value) if isinstance(value, list) else str(value)


def _next(context: Context, kind: Kind | None) -> str:
    if not tag_read.begun(context):
        return "Scan the supplier's tag"
    if not context.get("heats") and (kind is None or kind.letter == COIL):
        return (
            "Scan the heat, or type our weight" if kind else "Scan the rest of the tag, then type our weight"
        )
    if kind is not None and kind.unit == "pcs":
        return "Type our count"
    return "Type our amount" if kind is not None and kind.unit != "g" else "Type our weight"
