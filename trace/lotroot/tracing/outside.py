"""Which number of ours does a GS1 symbol mean?

A pallet goes by its SSCC. A lot stands behind its GTIN, an item has its serial beside that: AI 10 carries our
own lot number, so it is proved twice, by its check pair and by the product that has the GTIN.
"""

from collections.abc import Mapping

from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot, lot_or_none, lots_known_as, lots_with
from lotroot.identity import ItemNumber, Number, is_lot, read
from lotroot.identity.gs1_scans import parts_scanned
from lotroot.moving.units import SSCC
from lotroot.plant.adopted import plant_or_none
from lotroot.processes.definition import Product

OWN = tuple(str(ai) for ai in range(90, 100))
"""Identifiers under which our number may stand as it is."""


def number_in(connection: Connection, text: str) -> str:
    """The canonical number of ours that a GS1 text means; empty where it is none, or nothing known here.

    Raises Unreadable where GTIN and lot contradict each other.
    """
    told = dict(parts_scanned(text))
    if not told:
        return ""
    if "00" in told and (units := lots_with(connection, SSCC, told["00"])):
        return min(units)
    if "10" in told and (gtin := told.get("01") or told.get("02")):
        return _lot(connection, gtin, told)
    return next((found for ai in OWN if (found := _known(connection, told.get(ai, "")))), "")


def _lot(connection: Connection, gtin: str, told: Mapping[str, str]) -> str:
    number = _known(connection, told["10"])
    product = _product(connection, gtin)
    if not number:
        return _known_as(connection, told["10"], product)
    lot = find_lot(connection, number[:11])
    if product is not None and product.code != lot.product:
        raise Unreadable(
            "This symbol contradicts itself: its GTIN and its lot are of two products.",
            value=f"(01){gtin}(10){told['10']}",
            expected=f"GTIN and lot of one product; this GTIN is of {product.name}.",
            next_step="Scan our own label on the goods, and show this one to QA.",
        )
    serial = told.get("21", "")
    if serial.isdecimal() and 1 <= int(serial) <= lot.items:
        value = read(number).value
        return str(ItemNumber(value, int(serial))) if isinstance(value, Number) else number
    return number


def _known(connection: Connection, text: str) -> str:
    """A lot's or item's number under which something is recorded, or any other number of ours."""
    try:
        value = read(text).value if text else None
    except Unreadable:
        return ""
    if not isinstance(value, Number | ItemNumber):
        return ""
    lot = value.lot if isinstance(value, ItemNumber) else value
    return "" if is_lot(lot) and lot_or_none(connection, str(lot)) is None else str(value)


def _known_as(connection: Connection, name: str, product: Product | None) -> str:
    """A supplier's lot by its number, where that is one lot of the product the GTIN says."""
    found = [
        number
        for number in lots_known_as(connection, name)
        if (lot := lot_or_none(connection, number)) is not None
        and not lot.voided
        and (product is None or lot.product == product.code)
    ]
    return found[0] if len(found) == 1 else ""


def _product(connection: Connection, gtin: str) -> Product | None:
    plant = plant_or_none(connection)
    products = plant.products.values() if plant is not None else ()
    return next((one for one in products if gtin in one.gtins.values()), None)
