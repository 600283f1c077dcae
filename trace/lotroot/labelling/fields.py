"""What stands on a label, decided with the posting it belongs to?

A label says what was known when it was asked for; printing it later adds nothing. No label carries a
person's name or badge: what a badge says is looked up when it is printed and never kept.
"""

from typing import Any

from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.holds.naming import WORDS
from lotroot.holds.reach import held_by
from lotroot.identity import LOT_FAMILIES, Family
from lotroot.identity.showing import shown
from lotroot.labelling import goods
from lotroot.labelling.customers import chosen_layout, outside_fields
from lotroot.labelling.printed import told_before
from lotroot.labelling.printers import printer_or_none
from lotroot.labelling.wording import date_words
from lotroot.ledger.events import Posting
from lotroot.plant.adopted import plant_or_none, thing_or_none
from lotroot.processes.definition import Plant
from lotroot.stock.carriers import find_carrier
from lotroot.work import LabelRequest

NEW = "LABEL"
"""Before the count on a label that says something else than the one before it: LABEL 2, no COPY 2."""

OPEN = "OPEN"
"""In the band of a pallet's label while something may still go on it."""

TOLD = ("customer", "order", "for")
"""What a shipment's label says that only dispatch knows: told when it is opened, kept for a copy."""

_LAYOUTS = {
    Family.RUN: "run",
    Family.SHIPMENT: "shipment",
    Family.PERSON: "badge",
    Family.THING: "place",
}


def layout_for(connection: Connection, request: LabelRequest) -> str:
    """The layout of a label: the one asked for, else what its number stands for.

    A lot's is that of the process output that makes its kind; only coils and strips that come off with some
    of them left hang under the tag for part coils, a roll of wire or a pan keeps its own, which says PART.
    Raises Unreadable for what has no label.
    """
    letter = request.number[:1]
    if request.layout and (request.layout != goods.PART_COIL or letter in goods.COILS):
        return request.layout
    if chosen := chosen_layout(connection, plant_or_none(connection), request):
        return chosen
    if letter == Family.CARRIER:
        return goods.carrier_layout(find_carrier(connection, request.number))
    if letter in _LAYOUTS:
        return _LAYOUTS[Family(letter)]
    if letter == Family.CASE:
        raise Unreadable(
            "A case has no label.",
            value=shown(request.number),
            expected="The number of goods, a carrier, a run, a shipment, a person or a thing.",
            next_step="Print the complaint's paper instead.",
        )
    lot = find_lot(connection, request.number)
    plant = plant_or_none(connection)
    return goods.layout_of(connection, plant, lot, items=request.first > 0)


def fields_for(connection: Connection, posting: Posting, request: LabelRequest) -> dict[str, Any]:
    """The fields of a label, as texts; absent ones are left out. Raises Unknown for a strange number.

    `number`, `shown`, `kind`, `product` (or the name of a place, a pan ...), `named` (it without its size),
    `size`, `grade`, `coating`, `length`, `amount`, `mass`, `count`, `part`, `date`, `station`, `heat`,
    `coil`, `welds`, `solution`, `carrier` (the pan it is in), `supplier`, `supplier_number`, `paint_batch`,
    `run`, `customer`, `order`, `held` (the request's note, else what holds the lot, or that a pallet is
    open), `copy` from copy 2 on with `mark` where it is no copy of the label before, `demo`; `cautions` and
    `content` are lists of texts, `items` one of {serial, amount} for each item of a block, whose `kind` is
    then the word for one item.
    """
    plant = plant_or_none(connection)
    fields = {
        "number": request.number,
        "shown": shown(request.number),
        "date": date_words(posting.happened, plant),
        "station": _station(connection, plant, posting.station),
        "held": _held(connection, request),
        "copy": str(request.copy) if request.copy > 1 else "",
        "mark": "" if request.copy == 1 or request.again else NEW,
        "demo": "DEMO" if plant is not None and plant.demo else "",
        **outside_fields(connection, plant, request),
        **_of_family(connection, plant, request),
    }
    return {name: value for name, value in fields.items() if value}


def _of_family(connection: Connection, plant: Plant | None, request: LabelRequest) -> dict[str, Any]:
    letter = request.number[:1]
    if letter == Family.PERSON:
        return {"kind": "Badge", "station": ""}
    if letter == Family.THING:
        return _thing(connection, plant, request.number)
    if letter == Family.CARRIER:
        return goods.carrier_fields(connection, plant, find_carrier(connection, request.number))
    if letter == Family.RUN:
        return goods.run_fields(connection, plant, request.number)
    if letter == Family.SHIPMENT:
        told = request.told or told_before(connection, request.number)
        return {"kind": "Shipment", **{name: told.get(name, "") for name in TOLD}}
    lot = find_lot(connection, request.number)
    station = _station(connection, plant, lot.station)
    return {**goods.lot_fields(connection, plant, lot, request), "station": station}


def _held(connection: Connection, request: LabelRequest) -> str:
    """The words in the band: what the request says, else the first hold that reaches the goods."""
    note = request.note
    if not note and request.number[:1] in LOT_FAMILIES:
        note = next(
            (one.kind for one in held_by(connection, request.number, request.first, request.last)), ""
        )
    if not note and request.number[0] == Family.CARRIER:
        carrier = find_carrier(connection, request.number)
        note = OPEN if carrier.state == "open" and not carrier.reusable else ""
    return WORDS.get(note, note).upper()


def _thing(connection: Connection, plant: Plant | None, number: str) -> dict[str, Any]:
    """A place, station, payoff, vessel ... by its name in the plant."""
    thing = thing_or_none(connection, number)
    if thing is None:
        return {"kind": "Thing", "product": shown(number)}
    owner = plant.stations.get(thing.owner) if plant is not None and thing.owner else None
    if owner is not None:
        names = {payoff.code: payoff.name for payoff in owner.payoffs}
        words = f"{owner.name}, {names.get(thing.code, thing.code)}"
    else:
        table: Any = getattr(plant, f"{thing.kind}s", {})
        words = table[thing.code].name if thing.code in table else thing.code
        if thing.kind == "printer" and (printer := printer_or_none(connection, thing.code)):
            words = printer.name
    return {"kind": thing.kind.capitalize(), "product": words, "station": ""}


def _code_of(connection: Connection, number: str) -> str:
    """The plant code of a station by the number on its label; empty where there is none."""
    row = thing_or_none(connection, number) if number else None
    return str(row.code) if row is not None and row.kind == "station" else ""


def _station(connection: Connection, plant: Plant | None, number: str) -> str:
    code = _code_of(connection, number)
    station = plant.stations.get(code) if plant is not None else None
    return station.name if station is not None else code
