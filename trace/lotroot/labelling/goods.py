"""What stands on the label of a lot, of its items, or of a carrier with goods on it?"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.genealogy.item_masses import Some, grams_of
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.labelling.origin import described_by_product, is_guess, made_of, origin
from lotroot.labelling.wording import amount_words, date_words, described, named
from lotroot.processes.definition import Output, Plant
from lotroot.production.cut_lists import pieces_of
from lotroot.production.cuts import cut_words_short, cuts_of_lot
from lotroot.production.runs import judged_by, run_or_none
from lotroot.quantities import THIN_SPACE, split_cumulative
from lotroot.stock.carriers import carrier_or_none
from lotroot.stock.standing import at_spot, standings, weights
from lotroot.work import LabelRequest

PART, PART_COIL = "PART", "part_coil"
COILS = (Family.COIL, Family.STRIP)
"""What hangs under a coil tag."""

MOST_LINES = 3
MOST_LETTERS = 20
"""Of a cut list on a bundle's label, where one small line is free: two or three lines of it."""

TREATED = (
    "Do not burn. Not for food, feed, drinking water or mulch.",
    "Wear gloves; wear a dust mask when cutting.",
)
"""Wood Handbook GTR-190, synopsis of the approved sheets; US Navy MO-312 page 138."""

SOLUTION = ("Read the registered label and the safety data sheet first.",)
"""The registered label is the legal document: Environment Canada TRD 2013 chapters A-1 and B-8."""


_OF_FAMILY = {Family.COIL: "coil", Family.STRIP: "coil", Family.STRIPPER: "stripper", Family.LUMBER: "lumber"}
_PLAIN, _IN_A_PAN = "lot", "pan_card"


def layout_of(connection: Connection, plant: Plant | None, lot: Row[Any], *, items: bool) -> str:
    """The layout of a lot's label, or of its items'.

    What the process output that makes this kind says; where that is the plain one, or nothing makes
    it, its family's own. A pan card is for what is in a pan; a coil put back with some of it used hangs
    under a part coil's tag.
    """
    output = maker_of(connection, plant, lot, "item" if items else "lot")
    if items:
        return output.layout if output is not None else "item"
    if output is not None and output.layout not in (_PLAIN, _IN_A_PAN):
        return output.layout
    if output is not None and output.layout == _IN_A_PAN and _carrier_of(connection, plant, lot):
        return _IN_A_PAN
    layout = _OF_FAMILY.get(Family(lot.number[0]), "lumber" if cautions(plant, lot) else _PLAIN)
    return PART_COIL if layout == "coil" and left_of(connection, lot) is not None else layout


def carrier_layout(carrier: Row[Any]) -> str:
    """A pan, tram or spool has its name on it for good; a pallet is built once."""
    return "place" if carrier.reusable else "pallet"


def maker_of(connection: Connection, plant: Plant | None, lot: Row[Any], as_: str) -> Output | None:
    """The process output that made a lot, else the first that makes lots of its kind."""
    if plant is None or lot.source:
        return None
    run = run_or_none(connection, lot.run)
    own = [judged_by(connection, run)[1]] if run is not None else []
    outputs = (output for process in [*own, *plant.processes.values()] for output in process.outputs)
    return next((output for output in outputs if output.kind == lot.kind and output.as_ == as_), None)


def run_fields(connection: Connection, plant: Plant | None, number: str) -> dict[str, Any]:
    """What a run's own label says: what is worked there, and what it makes."""
    run = run_or_none(connection, number)
    if run is None:
        return {"kind": "Run"}
    product = described(plant, run.product) if run.product else ""
    return {"kind": judged_by(connection, run)[1].name, "product": product}


def left_of(connection: Connection, lot: Row[Any]) -> int | None:
    """What is left of a lot that is partly used, in its unit; None of a whole one, or of items."""
    left = sum(row.amount for row in standings(connection, lot.number))
    return left if lot.axis == "amount" and 0 < left < lot.amount else None


def lot_fields(
    connection: Connection, plant: Plant | None, lot: Row[Any], request: LabelRequest
) -> dict[str, Any]:
    """Kind, product, amounts, origin and cautions of a lot, and the amount of each item of a block."""
    kind = plant.kinds.get(lot.kind) if plant is not None else None
    output = maker_of(connection, plant, lot, "item") if request.first else None
    fields = {
        "kind": output.name if output is not None else kind.name if kind is not None else lot.kind,
        "product": described(plant, lot.product),
        "date": date_words(lot.born_at, plant),
        "run": shown(lot.run),
        "cautions": list(cautions(plant, lot)),
        **described_by_product(plant, lot.product),
        **(origin(connection, lot) if lot.source else made_of(connection, lot, request.first, request.last)),
    }
    if lot.source and is_guess(connection, lot):
        fields |= {"kind": Family(lot.number[0]).word.capitalize()}
        fields |= dict.fromkeys(("product", "named", "size", "grade", "coating", "length"), "")
    if request.first:
        told = {**fields, "items": _items(connection, plant, lot, request)}
        return {**told, **_cut(connection, plant, lot, request)}
    return {**fields, **_amounts(connection, plant, lot), "carrier": _carrier_of(connection, plant, lot)}


def carrier_fields(connection: Connection, plant: Plant | None, carrier: Row[Any]) -> dict[str, Any]:
    """What a carrier is and, where it is built once, what is on it."""
    if carrier.reusable:
        return {"kind": carrier.kind.capitalize(), "product": _called(plant, carrier), "station": ""}
    rows = [row for row in at_spot(connection, carrier.number) if row.amount > 0]
    lots = {number: find_lot(connection, number) for number in dict.fromkeys(row.lot for row in rows)}
    products = list(dict.fromkeys(described(plant, lot.product) for lot in lots.values()))
    fields: dict[str, Any] = {"kind": carrier.kind.capitalize(), "content": _content(rows)}
    if not rows and carrier.state == "open":
        fields["product"] = "Scan it, then what goes on it.\nDONE prints its full label."
    if products:
        fields["product"] = products[0] if len(products) == 1 else f"{len(products)} products"
    if len(products) == 1:
        fields |= {"named": named(plant, next(iter(lots.values())).product)}
    if len({lot.unit for lot in lots.values()}) == 1:
        unit = next(iter(lots.values())).unit
        fields["amount"] = amount_words(sum(row.amount for row in rows), unit, plant)
    count = sum(row.last - row.first + 1 for row in rows if row.first)
    return {**fields, "count": _items_words(count)}


def _items_words(count: int) -> str:
    return f"{count} {'item' if count == 1 else 'items'}" if count else ""


def _content(rows: Sequence[Row[Any]]) -> list[str]:
    """Which lots are on a carrier, as many as an `extra` of three lines holds."""
    items: dict[str, int] = {}
    for row in rows:
        items[row.lot] = items.get(row.lot, 0) + (row.last - row.first + 1 if row.first else 0)
    lines = [
        f"{shown(number)}: {_items_words(count)}" if count else shown(number)
        for number, count in items.items()
    ]
    return lines if len(lines) <= MOST_LINES else [*lines[:2], f"and {len(lines) - 2} lots more"]


def _amounts(connection: Connection, plant: Plant | None, lot: Row[Any]) -> dict[str, Any]:
    """A lot's amount and mass; of a lot partly used, what is left of it; nothing nobody told yet."""
    if lot.source and not lot.amount:
        return {}
    left = left_of(connection, lot)
    amount = lot.amount if left is None else left
    fields = {"amount": amount_words(amount, lot.unit, plant), "part": "" if left is None else PART}
    if lot.mass and lot.unit != "g":
        mass = lot.mass if left is None else lot.mass * left // lot.amount
        fields["mass"] = amount_words(mass, "g", plant)
    return fields


def _items(
    connection: Connection, plant: Plant | None, lot: Row[Any], request: LabelRequest
) -> list[dict[str, Any]]:
    """Serial and amount of each item of a block: what the scale said, else the nominal amount, else
    its part of what the lot's unweighed items amount to (RULES 21)."""
    weighed = weights(connection, lot.number, 1, max(lot.items, request.last))
    if lot.unit == "pcs":
        weighed |= {serial: pieces_of(cuts) for serial, cuts in cuts_of_lot(connection, lot.number).items()}
    product = plant.products.get(lot.product) if plant is not None else None
    nominal = product.item_amount if product is not None else None
    parts = {} if nominal is not None else _parts(lot, weighed)
    entries = []
    for serial in range(request.first, request.last + 1):
        amount = weighed.get(serial, parts.get(serial, nominal))
        words = amount_words(amount, lot.unit, plant) if amount is not None else ""
        entries.append({"serial": serial, "amount": words})
    return entries


def _cut(connection: Connection, plant: Plant | None, lot: Row[Any], request: LabelRequest) -> dict[str, Any]:
    """What a bundle cut to a list says of its sheets: their length and what they weigh, or the range of
    their lengths and the lines if short; there is room for one of both."""
    cuts = cuts_of_lot(connection, lot.number).get(request.first) if lot.unit == "pcs" else None
    if not cuts or request.first != request.last:
        return {}
    lengths = {cut.length_mm for cut in cuts}
    if len(lengths) == 1:
        grams = grams_of(connection, lot, Some(0, request.first, request.last))
        mass = {"mass": amount_words(grams, "g", plant)} if grams else {}
        return {"length": amount_words(lengths.pop(), "mm", plant), **mass}
    least, most = (amount_words(end, "mm", plant) for end in (min(lengths), max(lengths)))
    span = f"{least.rpartition(THIN_SPACE)[0]}\u2013{most}"
    words = cut_words_short(cuts, plant)
    return {"length": span, "content": [words] if len(words) <= MOST_LETTERS else []}


def _parts(lot: Row[Any], weighed: dict[int, int]) -> dict[int, int]:
    others = [serial for serial in range(1, lot.items + 1) if serial not in weighed]
    shares = split_cumulative(lot.amount - sum(weighed.values()), [1] * len(others)) if others else []
    return dict(zip(others, shares, strict=True))


def _carrier_of(connection: Connection, plant: Plant | None, lot: Row[Any]) -> str:
    """The name of the pan or spool that a lot is in, if it is in one."""
    spots = {row.spot for row in standings(connection, lot.number) if row.spot[:1] == Family.CARRIER}
    found = [carrier_or_none(connection, spot) for spot in sorted(spots)]
    return " / ".join(_called(plant, one) for one in found if one is not None and one.reusable)


def _called(plant: Plant | None, carrier: Row[Any]) -> str:
    known = plant.carriers.get(carrier.code) if plant is not None else None
    return known.name if known is not None else str(carrier.code)


def cautions(plant: Plant | None, lot: Row[Any]) -> tuple[str, ...]:
    """What whoever handles it must be told: treated wood, and liquids that treat it."""
    if lot.number[0] == Family.SOLUTION and lot.unit == "ml":
        return SOLUTION
    if lot.number[0] != Family.LUMBER or plant is None:
        return ()
    makers = [
        process
        for process in plant.processes.values()
        if process.cautions and any(output.kind == lot.kind for output in process.outputs)
    ]
    return TREATED if makers else ()
