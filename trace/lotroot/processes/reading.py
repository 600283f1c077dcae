"""How does a plant's text become values?

`parse` takes the full text, catalogue tables written out (`lotroot.processes.adoption.resolve`), checks
each table by itself and then that every code one table names is there in the other.
"""

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from hashlib import sha256
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lotroot.processes.agreement import check_agreement
from lotroot.processes.bins import read_bin
from lotroot.processes.definition import Plant
from lotroot.processes.inventory import (
    read_carrier,
    read_characteristic,
    read_gs1,
    read_instrument,
    read_kind,
    read_layout_choice,
    read_place,
    read_printer,
    read_product,
    read_reason,
    read_resource,
    read_shift,
    read_station,
    read_vessel,
)
from lotroot.processes.steps import read_process
from lotroot.processes.tables import CLOCK, COMMAND, Table, fixed, toml
from lotroot.theory.fitting import LEAST_FACTOR, MOST_FACTOR

_T = TypeVar("_T")

SITE = re.compile(r"[A-Z0-9]{1,6}")
ZONE = re.compile(r"[A-Za-z0-9_+-]+(/[A-Za-z0-9_+-]+)*")
UNSURE = {"weighed": 2, "theirs": 5, "counted": 10, "calculated": 20, "estimated": 100}
"""How far an amount may be off by how it is known, in thousandths, where no scale tells and the plant has not
said: common practice, no source. Wire within 1 % of its diameter is within 2 % of its mass."""
FAR_OFF = 3
"""Where the plant does not say: coils of one product differ less than this (our own choice)."""
FACTOR_BETWEEN = ("0.5", "2")
"""What weighed rolls may come to of theory, where the plant does not say: beyond it a size is wrong, and no
machine explains it; published fabrics reach 1.6 (our own choice)."""
BASE_UNITS = ("g", "mm", "ml", "cm3", "pcs")
SHOWN_UNITS = {
    "g": ("g", "kg", "t", "lb"),
    "mm": ("mm", "m", "ft"),
    "ml": ("ml", "l", "m3"),
    "cm3": ("cm3", "m3", "ft3"),
    "pcs": ("pcs",),
}
PEOPLE = (
    "receiver",
    "operator",
    "treater",
    "supervisor",
    "qa",
    "dispatcher",
    "manager",
    "administrator",
)


def parse(text: str) -> Plant:
    """The plant a full text describes.

    Raises `Unreadable` naming the table, the key, the value found and what would fit.
    """
    top = Table("", toml(text))
    plant = _plant(top, text)
    top.done()
    check_agreement(plant)
    return plant


def _plant(top: Table, text: str) -> Plant:
    head = top.table("plant")
    plant = Plant(
        name=head.text("name"),
        site=head.matching("site", SITE, "one to six capital letters or digits"),
        demo=head.flag("demo", False),
        hash=sha256(text.encode()).hexdigest(),
        text=text,
        number_start=head.amount("number_start", 1, least=1),
        far_off=head.amount("far_off", FAR_OFF, least=2),
        factor_between=_factor_between(top.table("factor")),
        units=_units(head.table("units")),
        day_start=head.matching("day_start", CLOCK, 'a time as "06:00"'),
        zone=_zone(head),
        shifts=tuple(_all(top, "shift", read_shift).values()),
        kinds=_all(top, "kind", read_kind),
        products=_all(top, "product", read_product),
        stations=_all(top, "station", read_station),
        places=_all(top, "place", read_place),
        vessels=_all(top, "vessel", read_vessel),
        instruments=_all(top, "instrument", read_instrument),
        resources=_all(top, "resource", read_resource),
        carriers=_all(top, "carrier", read_carrier),
        bins=_all(top, "bin", read_bin),
        printers=_all(top, "printer", read_printer),
        reasons=_all(top, "reason", read_reason),
        processes=_all(top, "process", read_process),
        characteristics=_all(top, "characteristic", read_characteristic),
        gs1=read_gs1(top.table("gs1")),
        layout_choices=tuple(_all(top, "layout_choice", read_layout_choice).values()),
        roles=_roles(top.table("role")),
        minutes=top.amounts("minutes"),
        unsure_permille=_unsure(top.table("unsure_permille")),
    )
    head.done()
    return plant


def _all(top: Table, key: str, read: Callable[[str, Table], _T]) -> Mapping[str, _T]:
    found = {}
    for code, table in top.tables(key):
        found[code] = read(code, table)
        table.done()
    return fixed(found)


def _units(table: Table) -> Mapping[str, str]:
    shown = {base: table.choice(base, SHOWN_UNITS[base], base) for base in BASE_UNITS}
    table.done()
    return fixed(shown)


def _zone(head: Table) -> str:
    zone = head.matching("zone", ZONE, 'the name of a time zone, as "America/Jamaica"')
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, OSError, ValueError) as fault:
        raise head.refuse("zone", zone, 'the IANA name of a time zone, as "America/Jamaica"') from fault
    return zone


def _factor_between(table: Table) -> tuple[str, str]:
    """[factor]: `least` and `most`, on either side of theory itself and within what theory works with."""
    one = Decimal(1)
    bounds = {"least": (LEAST_FACTOR, one), "most": (one, MOST_FACTOR)}
    found = []
    for (key, (low, high)), usual in zip(bounds.items(), FACTOR_BETWEEN, strict=True):
        text = table.decimal(key) or usual
        if not low <= Decimal(text) <= high:
            raise table.refuse(key, text, f"a part of theory from {low} to {high}")
        found.append(text)
    table.done()
    return found[0], found[1]


def _unsure(table: Table) -> Mapping[str, int]:
    found = {how: table.amount(how, permille) for how, permille in UNSURE.items()}
    table.done()
    return fixed(found)


def _roles(table: Table) -> Mapping[str, tuple[str, ...]]:
    expected = 'commands as "ReceiveLot", or "*"'
    roles = {role: table.words(role, COMMAND, expected) for role in PEOPLE}
    table.done()
    return fixed(roles)
