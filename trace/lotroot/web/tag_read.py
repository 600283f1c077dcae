"""What has been read off a supplier's tag so far, and what does the next barcode of it say?

A tag in progress stands in the page's context: texts by field, `heats` as a list, `mass_theirs` in g,
`pieces` as their count, and `read`, the fields in the order they were read, so that UNDO takes back the last.
"""

from collections.abc import Mapping
from typing import Any

from lotroot.errors import Refused
from lotroot.genealogy.lots import as_alias
from lotroot.identity.tags import Tag, read_tag
from lotroot.receiving.facts import NOT_ON_TAG
from lotroot.web.coming import products, suppliers
from lotroot.web.scene import Say, Scene

Tagged = dict[str, Any]

NAMES = {
    "supplier_number": "Supplier's number",
    "heats": "Heat",
    "grade": "Grade",
    "size": "Size",
    "order_number": "Our order",
    "delivery": "Their delivery",
    "paint_batch": "Paint batch",
}
OTHERS = {
    "mass_theirs": "Their weight",
    "pieces": "Their count",
    "hold_reason": "The hold",
    "number": "The label",
}
CHOICES = {
    "supplier_number": "The supplier's coil or pack number",
    "heats": "The heat",
    "grade": "The grade",
    "size": "The size",
    "order_number": "Our order number",
    "delivery": "The supplier's delivery",
    "paint_batch": "The paint batch",
}
FIELDS = {
    "S": "supplier_number",
    "1S": "supplier_number",
    "3S": "supplier_number",
    "H": "heats",
    "K": "order_number",
    "2K": "delivery",
}
"""Data identifiers (ASC MH10.8.2) that say which field they fill; the others are asked about."""
OF_SUPPLIER = ("order_number", "delivery")
"""What is kept from one piece to the next, but not for another supplier."""
WEIGHTS = ("Q", "2Q", "7Q")
QUESTION = "tag-part"


def begun(context: Mapping[str, Any]) -> bool:
    """Whether anything of the goods in hand was read yet."""
    return bool(context.get("read"))


def read_part(scene: Scene, text: str, context: Tagged, name: str = "") -> Say:
    """Take a barcode of the tag; its identifier says what it is, or the receiver does.

    Raises Unreadable, a Question, or Refused where it was read before.
    """
    tag = read_tag(text)
    known = _known_code(scene, tag, context)
    if known:
        return chosen(scene, known, context)
    if not name and tag.identifier in WEIGHTS:
        return _their_amount(scene, tag, context)
    name = name or FIELDS.get(tag.identifier, "") or _asked(scene, tag)
    coded = tag.meaning and tag.value[:1].isalnum()  # "P-1188" is a paint batch's own P, no identifier
    value = tag.value if coded else tag.text
    said = _heat(scene, value, context) if name == "heats" else _text(scene, name, value, context)
    detail = f"From {tag.text}: {tag.meaning}." if coded else ""
    return Say(said, detail=detail, context=context)


def chosen(scene: Scene, found: tuple[str, str], context: Tagged) -> Say:
    """A product or a supplier was told; `found` is which of them, and its code."""
    kind, code = found
    name = _names(scene, context)[kind][code]
    if context.get(kind) == code:
        raise already(name)
    if kind == "supplier":
        for one in OF_SUPPLIER:
            if one not in context.get("read", []):
                context.pop(one, None)
    context[kind] = code
    return Say(f"{name}.", context=context)


def known_name(scene: Scene, text: str, context: Tagged) -> tuple[str, str] | None:
    """The product or supplier whose code or whole name this is."""
    plain = text.strip().casefold()
    for kind, names in _names(scene, context).items():
        for code, name in names.items():
            if plain in (code.casefold(), name.casefold()):
                return kind, code
    return None


def no_heat(context: Tagged) -> Say:
    """The tag names no heat."""
    if context.get("heats") == [NOT_ON_TAG]:
        raise already("That no heat is on the tag")
    note(context, "heats", [NOT_ON_TAG])
    return Say("The tag names no heat.", context=context)


def taken_back(context: Tagged) -> Say:
    """The last part that was read is forgotten; nothing had been recorded of it."""
    *before, name = context["read"]
    value = context.pop(name)
    context["read"] = before
    if name == "heats" and len(value) > 1:
        note(context, name, value[:-1])
    gone = value[-1] if isinstance(value, list) else value
    words = f"{NAMES[name]} {gone}" if name in NAMES else OTHERS[name]
    return Say(f"{words} is forgotten.", context=context)


def note(context: Tagged, name: str, value: Any) -> None:
    """Keep a part of the goods in hand, the last one read."""
    context[name] = value
    context["read"] = [*(one for one in context.get("read", []) if one != name), name]


def already(what: str) -> Refused:
    """The same part read again."""
    return Refused(f"{what} was read already.", word="already", next_step="Scan the next barcode of the tag.")


def _names(scene: Scene, context: Tagged) -> dict[str, dict[str, str]]:
    return {"product": products(scene, context), "supplier": suppliers(scene, context)}


def _known_code(scene: Scene, tag: Tag, context: Tagged) -> tuple[str, str] | None:
    """Our part number or the supplier's own code on the tag, where it is one we know."""
    wanted = {"P": "product", "V": "supplier"}.get(tag.identifier)
    found = known_name(scene, tag.value, context) if wanted else None
    return found if found and found[0] == wanted else None


def _their_amount(scene: Scene, tag: Tag, context: Tagged) -> Say:
    """Their weight; or their count, where what comes is counted and no unit is told."""
    product = scene.plant.products.get(str(context.get("product", "")))
    unit = scene.plant.kind(product.kind).unit if product else "g"
    counted = unit == "pcs" and tag.identifier == "Q" and tag.value.isdecimal()
    name, base = ("pieces", "pcs") if counted else ("mass_theirs", "g")
    value = scene.typed(tag.value, base)
    if context.get(name) == value:
        raise already(OTHERS[name])
    note(context, name, value)
    return Say(f"{OTHERS[name]}: {scene.amount(value, base)}.", context=context)


def _asked(scene: Scene, tag: Tag) -> str:
    told = f" It is marked as {tag.meaning}." if tag.meaning else ""
    return scene.ask(QUESTION, f"What is {tag.text} on the tag?{told}", CHOICES)


def _heat(scene: Scene, value: str, context: Tagged) -> str:
    heats = [one for one in context.get("heats", []) if one != NOT_ON_TAG]
    if as_alias(value) in map(as_alias, heats):
        raise already(f"Heat {value}")
    if heats:
        last = heats[-1]
        choices = {
            "second": f"Two heats: {' and '.join([*heats, value])}",
            "instead": f"Only {value}: {last} was read wrongly",
        }
        if scene.ask("second-heat", f"Heat {last} was read before. What is {value}?", choices) == "instead":
            heats = heats[:-1]
    note(context, "heats", [*heats, value])
    return f"Heat {' and '.join(context['heats'])}."


def _text(scene: Scene, name: str, value: str, context: Tagged) -> str:
    before = str(context.get(name, ""))
    read = before and name in context.get("read", [])  # else it was kept from the goods before
    if read and as_alias(before) == as_alias(value):
        raise already(f"{NAMES[name]} {value}")
    if read:
        text = f"{NAMES[name]} {before} was read before. What is {value}?"
        scene.ask("other-value", text, {"instead": f"{NAMES[name]} is {value}; {before} was wrong"})
    note(context, name, value)
    return f"{NAMES[name]}: {value}."
