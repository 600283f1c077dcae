"""What is this that was scanned, in one sentence?"""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from lotroot.dispatch.shipments import find_shipment
from lotroot.errors import Unknown
from lotroot.genealogy.lots import find_lot
from lotroot.goods import Goods, goods, part_amount
from lotroot.holds.naming import WORDS
from lotroot.holds.reach import held_by
from lotroot.identity import ItemNumber, Number, is_carrier, is_lot, is_run, is_shipment, is_thing
from lotroot.identity.showing import shown
from lotroot.labelling.printers import printer_or_none
from lotroot.ledger.names import name_of
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Plant
from lotroot.production.runs import find_run
from lotroot.stock.carriers import carrier_or_none, find_carrier
from lotroot.web.scene import Say, Scene

THIS_IS = "This is"


def described(scene: Scene, value: Number | ItemNumber) -> Say:
    """What a number stands for, as a verdict that records nothing. Raises Unknown."""
    number = value.lot if isinstance(value, ItemNumber) else value
    if is_lot(number):
        return _lot(scene, value)
    if is_carrier(number):
        return Say(_carrier(scene, str(number)), "already", THIS_IS)
    if is_run(number):
        run = find_run(scene.connection, str(number)).row
        state = "open" if run.closed is None else "closed"
        words = f"{scene.plant.process(run.process).name}: run {number.shown}, {state}."
        return Say(words, "already", THIS_IS)
    if is_shipment(number):
        row = find_shipment(scene.connection, str(number)).row
        name = name_of(scene.connection, row.customer)
        return Say(f"Shipment {number.shown} to {name}, {row.state}.", "already", THIS_IS)
    if is_thing(number):
        thing = thing_or_none(scene.connection, str(number))
        if thing is not None and thing.kind == "bin":
            name = thing_name(scene.connection, scene.plant, str(number))
            return Say(f"{name}.", "already", THIS_IS, detail="Weigh it on the page of the station.")
        return Say(f"{thing_name(scene.connection, scene.plant, str(number))}.", "already", THIS_IS)
    raise Unknown(
        f"{number.shown} is no code for this page.",
        value=str(number),
        expected="A label of goods, a carrier, a place or a machine.",
        next_step="Scan the label on the goods.",
    )


def _lot(scene: Scene, value: Number | ItemNumber) -> Say:
    number = str(value.lot if isinstance(value, ItemNumber) else value)
    row = find_lot(scene.connection, number)
    product = scene.plant.products.get(row.product)
    serial = value.serial if isinstance(value, ItemNumber) else 0
    name = product.name if product else row.product
    parts = [f"{shown(str(value))}: {name}", *standing_words(scene, goods(scene.connection, str(value)))]
    reached = held_by(scene.connection, number, serial, serial)
    if reached:
        held = f"It is {WORDS[reached[0].kind]}: {reached[0].reason}."
        return Say(f"{', '.join(parts)}.", "held", detail=held)
    if row.voided:
        return Say(f"{shown(number)} was taken back: destroy its label.", "refused")
    return Say(f"{', '.join(parts)}.", "already", THIS_IS)


def standing_words(scene: Scene, parts: list[Goods]) -> list[str]:
    """How much stands where, for a sentence."""
    if not parts:
        return ["used up"]
    total = sum(part_amount(scene.connection, part) for part in parts)
    spots = list(dict.fromkeys(part.spot for part in parts))
    where = spot_name(scene.connection, scene.plant, spots[0]) if len(spots) == 1 else f"{len(spots)} places"
    return [scene.amount(total, parts[0].lot.unit), where]


def spot_name(connection: Connection, plant: Plant, spot: str) -> str:
    """Where goods stand, as people say it: Coil yard, Pan 17, on run U26-..., shipped with D26-..."""
    if spot.startswith("U"):
        run = find_run(connection, spot).row
        return f"on {thing_name(connection, plant, run.station)}"
    if spot.startswith("D"):
        return f"on shipment {shown(spot)}"
    carrier = carrier_or_none(connection, spot)
    if carrier is None:
        return thing_name(connection, plant, spot)
    if carrier.reusable and carrier.code in plant.carriers:
        return plant.carriers[carrier.code].name
    return f"pallet {shown(spot)}"


def thing_name(connection: Connection, plant: Plant, number: str) -> str:
    """The name of a thing of the plant, from the number on its label."""
    row = thing_or_none(connection, number)
    if row is None:
        return name_of(connection, number)
    if row.kind == "payoff":
        station = plant.stations.get(row.owner)
        named = {payoff.code: payoff.name for payoff in station.payoffs} if station else {}
        return named.get(row.code, str(row.code))
    groups: dict[str, Mapping[str, Any]] = {
        "place": plant.places,
        "vessel": plant.vessels,
        "station": plant.stations,
        "resource": plant.resources,
        "instrument": plant.instruments,
        "bin": plant.bins,
    }
    if row.kind == "printer" and (printer := printer_or_none(connection, row.code)):
        return printer.name
    found = groups.get(row.kind, {}).get(row.code)
    return str(found.name) if found else str(row.code)


def _carrier(scene: Scene, number: str) -> str:
    row = find_carrier(scene.connection, number)
    on_it = goods(scene.connection, number)
    name = spot_name(scene.connection, scene.plant, number)
    lots = list(dict.fromkeys(shown(part.lot.number) for part in on_it))
    holds = f"holds {', '.join(lots[:3])}{' …' if len(lots) > 3 else ''}" if lots else "is empty"
    where = f", at {spot_name(scene.connection, scene.plant, row.spot)}" if row.spot else ""
    return f"{name[:1].upper()}{name[1:]} {holds}{where}."
