"""What stands on a label for others: GS1 texts, and a customer's own code?

No GS1 text without the plant's company prefix. What may not stand together, or does not fit, is left out
whole: our own number is on the label in any case.
"""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Row

from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import LOT_FAMILIES, Family, gs1
from lotroot.ledger.names import name_of
from lotroot.moving.units import sscc_of
from lotroot.plant.adopted import find_customer_item, party_or_none
from lotroot.processes.definition import Plant, Product
from lotroot.stock.standing import at_spot
from lotroot.work import MICROSECONDS, LabelRequest

VARIABLE = "9"
"""The first digit of a GTIN whose units differ in weight (GS1 General Specifications, from memory)."""

FOR = "for"
"""The code of the customer a label was made for, kept with its fields so that a copy is for the same."""

FIELDS = {
    "gs1": "a GS1 number",
    "gs1_content": "content that GS1 can tell",
    "customer_item": "their item code",
}
"""The fields of this module that a layout may ask for, and what it lacks without one."""


YOUR_ITEM = {
    "en": "Your item {}",
    "de": "Ihr Artikel {}",
    "es": "Su artículo {}",
    "fr": "Votre article {}",
    "nl": "Uw artikel {}",
    "pl": "Państwa artykuł {}",
    "pt": "Seu artigo {}",
}
"""What stands before a customer's code, by the language of their labels (our own words)."""


def gs1_fields(connection: Connection, plant: Plant | None, request: LabelRequest) -> dict[str, str]:
    """`gs1`, the element string for the bars, and `gs1_content`, what a uniform pallet holds."""
    if plant is None or plant.gs1 is None:
        return {}
    letter = request.number[:1]
    if letter == Family.CARRIER:
        return _of_carrier(connection, plant, request.number)
    if letter in LOT_FAMILIES:
        return _of_lot(plant, find_lot(connection, request.number), items=bool(request.first))
    return {}


def customer_fields(
    connection: Connection, plant: Plant | None, request: LabelRequest, customer: str
) -> dict[str, str]:
    """Whom the label is for, and what they call the goods."""
    if not customer:
        return {}
    products = products_of(connection, request.number)
    item = find_customer_item(connection, customer, products[0]) if len(products) == 1 else ""
    party = party_or_none(connection, customer)
    language = str(party.language).partition("-")[0] if party is not None else ""
    words = {"customer_item": YOUR_ITEM.get(language, YOUR_ITEM["en"]).format(item)} if item else {}
    return {FOR: customer, "customer": name_of(connection, customer), **words}


def products_of(connection: Connection, number: str) -> list[str]:
    """The products, by code, of a lot or of what is on a carrier."""
    if number[:1] in LOT_FAMILIES:
        return [str(find_lot(connection, number).product)]
    rows = at_spot(connection, number) if number[:1] == Family.CARRIER else []
    lots = dict.fromkeys(row.lot for row in rows if row.amount > 0)
    return list(dict.fromkeys(str(find_lot(connection, lot).product) for lot in lots))


def _of_carrier(connection: Connection, plant: Plant, number: str) -> dict[str, str]:
    sscc = sscc_of(connection, number)
    if not sscc:
        return {}
    unit = ("00", sscc)
    rows = [row for row in at_spot(connection, number) if row.amount > 0]
    content = _together([unit, *_content(connection, plant, rows)])
    # The unit's number has bars of its own: on A6 nothing may stand beside it there.
    rest = "".join(f"({ai}){value}" for ai, value in content if ai != "00")
    found = {"gs1": gs1.element_string([unit])}
    return {**found, "gs1_content": rest} if rest else found


def _content(connection: Connection, plant: Plant, rows: Sequence[Row[Any]]) -> list[gs1.Part]:
    """What is on a pallet, where all of it is items of one product that has a GTIN."""
    lots = {row.lot: find_lot(connection, row.lot) for row in rows}
    products = {lot.product for lot in lots.values()}
    gtin = _gtin(plant, next(iter(products)), "item") if len(products) == 1 else ""
    if not gtin or not all(row.first for row in rows):
        return []
    count = sum(row.last - row.first + 1 for row in rows)
    lot = [("10", number) for number in lots if len(lots) == 1]
    return [("02", gtin), *lot, ("37", str(count))]


def _of_lot(plant: Plant, lot: Row[Any], *, items: bool) -> dict[str, str]:
    gtin = _gtin(plant, lot.product, "item" if items else "lot")
    if not gtin:
        return {}
    parts = [("01", gtin), ("11", _day(lot.born_at, plant)), ("10", str(lot.number))]
    weight = _weight(lot) if gtin.startswith(VARIABLE) and not items else []
    found = _together([*parts, *weight]) or _together(parts)
    return {"gs1": "".join(f"({ai}){value}" for ai, value in found)} if found else {}


def _weight(lot: Row[Any]) -> list[gs1.Part]:
    """The net weight of a lot of weight, or the mass beside another amount; nothing above six digits."""
    grams = lot.amount if lot.unit == "g" else lot.mass
    try:
        return [gs1.measured("310", grams, 3)] if grams else []
    except Unreadable:
        return []


def _together(parts: Sequence[gs1.Part]) -> list[gs1.Part]:
    """The parts in order, or none where they may not stand together or are too many for one row of bars."""
    try:
        found = gs1.in_order(parts)
        gs1.check_bars([part for part in found if part[0] != "00"])
    except Unreadable:
        return []
    return found


def _gtin(plant: Plant, code: str, level: str) -> str:
    product: Product | None = plant.products.get(code)
    return product.gtins.get(level, "") if product is not None else ""


def _day(at: int, plant: Plant) -> str:
    """A day as AI 11 writes it, by the plant's clocks: 261124."""
    return f"{datetime.fromtimestamp(at / MICROSECONDS, UTC).astimezone(ZoneInfo(plant.zone)):%y%m%d}"
