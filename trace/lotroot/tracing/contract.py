"""How does a lineage stand in JSON, for programs?

Keys and their meaning are promised to others: some may be added, none renamed or re-typed. Numbers
without hyphens, amounts integers in base units.
"""

from datetime import UTC, datetime
from typing import Any

from lotroot.tracing.lineage import Bounds, Kinsman, Lineage, Older, OnHand, Shipped
from lotroot.work import MICROSECONDS


def as_json(lineage: Lineage) -> dict[str, Any]:
    """The lineage as plain values, in the order of the contract."""
    found: dict[str, Any] = {
        "lot": lineage.asked.number,
        "asked": lineage.asked.kind,
        "direction": lineage.direction,
        "unit": lineage.asked.unit,
        "amount": lineage.asked.amount,
        "lots": [_lot(one) for one in lineage.lots],
    }
    if lineage.direction == "down":
        found["on_hand"] = [_on_hand(one) for one in lineage.on_hand]
        found["shipments"] = [_shipment(one) for one in lineage.shipments]
    if lineage.older:
        found["older"] = _older(lineage.older)
    return found


def time_text(at: int) -> str:
    """Microseconds UTC as RFC 3339, to the second."""
    text = datetime.fromtimestamp(at // MICROSECONDS, UTC).isoformat(timespec="seconds")
    return text.replace("+00:00", "Z")


def _older(one: Older) -> dict[str, Any]:
    """What was not followed further; its lots stand among the others as gaps, so that parts add up."""
    return {
        "before": time_text(one.before),
        "lots": sorted(one.lots),
        "part": dict(sorted(one.part.items())),
        "basis": one.basis,
        "held": one.held,
    }


def _lot(one: Kinsman) -> dict[str, Any]:
    return {
        "lot": one.lot.number,
        "kind": one.lot.kind,
        "product": one.lot.product,
        "depth": one.depth,
        "amount": one.lot.amount,
        "unit": one.lot.unit,
        "source": one.source,
        "gap": one.gap,
        "part": dict(sorted(one.part.items())),
        **_bounds(one.bounds),
        "basis": one.basis,
        "held": one.held,
    }


def _on_hand(one: OnHand) -> dict[str, Any]:
    return {
        "lot": one.lot,
        "place": one.place,
        "amount": one.amount,
        "unit": one.unit,
        "part": dict(sorted(one.part.items())),
        **_bounds(one.bounds),
    }


def _shipment(one: Shipped) -> dict[str, Any]:
    return {
        "shipment": one.shipment,
        "customer": one.customer,
        "carriers": list(one.carriers),
        "amount": one.amount,
        "unit": one.unit,
        "part": dict(sorted(one.part.items())),
        **_bounds(one.bounds),
        "returned": one.returned,
    }


def _bounds(bounds: Bounds) -> dict[str, Any]:
    """Least, most and what kind of bound that is, each by stream as the part is."""
    ordered = sorted(bounds.items())
    return {
        "least": {stream: bound.least for stream, bound in ordered},
        "most": {stream: bound.most for stream, bound in ordered},
        "bound": {stream: bound.word for stream, bound in ordered},
    }
