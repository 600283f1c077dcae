"""Does a lineage in JSON keep to the contract, key by key and type by type?

Written from the contract's own words: exactly these keys, amounts integers, numbers without hyphens, lots
ordered by depth then number, asked lots first with 0; on_hand and shipments downwards only. Wherever there
is a part, least and most stand beside it for the same streams, and it lies between them.
"""

import re
from typing import Any

NUMBER = re.compile(r"[BCDEFGHJKLNPRSTUVX]\d{10}(\d{6})?")
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")
UNITS = ("g", "mm", "ml", "cm3", "pcs")

TOP = {
    "lot": "number",
    "asked": "asked",
    "direction": "direction",
    "unit": "unit",
    "amount": int,
    "lots": list,
}
BOUNDS = {"least": "part", "most": "part", "bound": "bound"}
LOT = {
    "lot": "number",
    "kind": str,
    "product": str,
    "depth": int,
    "amount": int,
    "unit": "unit",
    "source": bool,
    "gap": bool,
    "part": "part",
    **BOUNDS,
    "basis": str,
    "held": bool,
}
ON_HAND = {"lot": "number", "place": "number", "amount": int, "unit": "unit", "part": "part", **BOUNDS}
SHIPMENT = {
    "shipment": "number",
    "customer": str,
    "carriers": "numbers",
    "amount": int,
    "unit": "unit",
    "part": "part",
    **BOUNDS,
    "returned": int,
}
OLDER = {"before": "time", "lots": "numbers", "part": "part", "basis": str, "held": bool}


def _is_part(value: Any) -> bool:
    return type(value) is dict and all(type(key) is str and type(part) is int for key, part in value.items())


NAMED = {
    "number": lambda value: type(value) is str and NUMBER.fullmatch(value) is not None,
    "numbers": lambda value: type(value) is list and all(NUMBER.fullmatch(one) for one in value),
    "asked": lambda value: value in ("lot", "item", "carrier", "run", "shipment"),
    "direction": lambda value: value in ("up", "down"),
    "unit": lambda value: value in UNITS,
    "part": _is_part,
    "time": lambda value: type(value) is str and TIME.fullmatch(value) is not None,
    "bound": lambda value: type(value) is dict and set(value.values()) <= {"exact", "outer"},
}


def _check(value: Any, shape: dict[str, Any]) -> None:
    assert set(value) == set(shape), "exactly the keys of the contract"
    for key, wanted in shape.items():
        fits = NAMED[wanted](value[key]) if type(wanted) is str else type(value[key]) is wanted
        assert fits, f"{key}: {value[key]!r}"
    if "least" in shape:
        assert set(value["least"]) == set(value["most"]) == set(value["bound"]) == set(value["part"])
        for stream, part in value["part"].items():
            assert 0 <= value["least"][stream] <= part <= value["most"][stream]


def check_lineage(value: dict[str, Any]) -> None:
    """Fails where a lineage as JSON differs from the contract in any key, type or order."""
    below = {"on_hand": list, "shipments": list} if value.get("direction") == "down" else {}
    older = {"older": dict} if "older" in value else {}
    _check(value, {**TOP, **below, **older})
    if older:
        _check(value["older"], OLDER)
        ends = {one["lot"] for one in value["lots"] if one["gap"]}
        assert set(value["older"]["lots"]) <= ends, "what is not followed counts as an end"
    for one in value["lots"]:
        _check(one, LOT)
        assert not (one["source"] and one["gap"])
    order = [(one["depth"], one["lot"]) for one in value["lots"]]
    assert order == sorted(set(order))
    for one in value.get("on_hand", ()):
        _check(one, ON_HAND)
    for one in value.get("shipments", ()):
        _check(one, SHIPMENT)
    entries = [(one["shipment"], one["unit"]) for one in value.get("shipments", ())]
    assert len(entries) == len(set(entries)), "one entry a shipment and unit"
