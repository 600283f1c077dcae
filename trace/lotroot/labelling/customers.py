"""Whose label is it, and which layout do they or their market want?

    [layout_choice.harbour]
    of = "pallet"            # a product, a kind, or pallets
    customer = "osprey"      # or market = "EU"
    layout = "pallet_gs1"

A customer's own choice goes before that of their market, a product's before a kind's and a pallet's. Where
the chosen layout needs what is not known, the usual one prints: no goods go without a number.
"""

from collections.abc import Mapping

from sqlalchemy import Connection

from lotroot.errors import LotrootError
from lotroot.genealogy.lots import find_lot
from lotroot.identity import LOT_FAMILIES, Family
from lotroot.labelling.outside import FIELDS, FOR, customer_fields, gs1_fields, products_of
from lotroot.labelling.printed import told_before
from lotroot.labelling.rendering import layout_named
from lotroot.plant.adopted import party_or_none
from lotroot.processes.agreement import PALLET
from lotroot.processes.definition import Plant
from lotroot.stock.carriers import shipment_at
from lotroot.stock.standing import standings
from lotroot.work import LabelRequest

GOODS = frozenset({*LOT_FAMILIES, Family.CARRIER})
"""The families that a customer gets labels of: what a shipment's own label says is told by dispatch."""


def customer_of(connection: Connection, request: LabelRequest) -> str:
    """The code of the customer a label is for, empty where nobody can know: the one it is asked for, whose
    shipment the goods are on, or whom the label before was for that this one is a copy of."""
    if request.number[:1] not in GOODS:
        return ""
    if FOR in request.told:
        return request.told[FOR]
    shipment = _shipment(connection, request.number)
    if shipment:
        return told_before(connection, shipment).get(FOR, "")
    return told_before(connection, request.number).get(FOR, "") if request.again else ""


def outside_fields(connection: Connection, plant: Plant | None, request: LabelRequest) -> dict[str, str]:
    """All that stands on a label for others."""
    customer = customer_of(connection, request)
    own = customer_fields(connection, plant, request, customer)
    return {**gs1_fields(connection, plant, request), **own}


def chosen_layout(connection: Connection, plant: Plant | None, request: LabelRequest) -> str:
    """The layout that the label's customer or their market wants; empty where none, or it lacks something."""
    wanted = wanted_layout(connection, plant, request)
    if not wanted:
        return ""
    return "" if lacking(wanted, outside_fields(connection, plant, request)) else wanted


def wanted_layout(connection: Connection, plant: Plant | None, request: LabelRequest) -> str:
    """The layout that plant.toml chooses for the label's customer or market; empty where none."""
    if plant is None or not plant.layout_choices:
        return ""
    party = party_or_none(connection, customer_of(connection, request))
    if party is None:
        return ""
    for owner, key in (("customer", party.code), ("market", party.market)):
        of = {one.of: one.layout for one in plant.layout_choices if key and getattr(one, owner) == key}
        for what in _kinds_of(connection, request.number):
            if what in of:
                return of[what]
    return ""


def lacking(layout: str, fields: Mapping[str, str]) -> str:
    """What a layout needs that is not known, in words; why it cannot be used at all; else empty."""
    try:
        needed = layout_named(layout).required
    except LotrootError as fault:
        return str(fault)
    words = {
        "gs1": "a GS1 number",
        "gs1_content": "what GS1 calls its content",
        "customer_item": "their item code",
    }
    return ", ".join(words[name] for name in FIELDS if name in needed and not fields.get(name))


def _kinds_of(connection: Connection, number: str) -> list[str]:
    """What a layout may be chosen for, the closest first: product, kind, pallet."""
    products = products_of(connection, number)
    if number[:1] == Family.CARRIER:
        return [*(products if len(products) == 1 else []), PALLET]
    return [*products, str(find_lot(connection, number).kind)]


def _shipment(connection: Connection, number: str) -> str:
    """The one shipment that a carrier, or all of a lot, is on."""
    if number[:1] == Family.CARRIER:
        return shipment_at(connection, number)
    found = {shipment_at(connection, row.spot) for row in standings(connection, number)}
    return found.pop() if len(found) == 1 else ""
