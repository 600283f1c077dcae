"""How is each kind of thing a plant has read from its table?"""

from collections.abc import Callable, Mapping
from decimal import Decimal

from lotroot.errors import Unreadable
from lotroot.identity import gs1
from lotroot.identity.gs1_scans import domain_of
from lotroot.processes.dies import dies_of
from lotroot.processes.parts import (
    Carrier,
    Characteristic,
    Gs1,
    Instrument,
    Kind,
    LayoutChoice,
    Limits,
    Payoff,
    Place,
    Printer,
    Product,
    Reason,
    Resource,
    Shift,
    Station,
    Vessel,
)
from lotroot.processes.tables import CLOCK, CODE, Table, fixed, origin_of

LETTERS = "CSRGNFLK"  # RULES.md 20: the families a lot's number can begin with
UNITS = ("g", "mm", "ml", "cm3", "pcs")
USES = ("floor", "yard", "rack", "dock", "drip", "quarantine")
GROUPS = (
    "scrap",
    "hold",
    "release",
    "broke",
    "stopped",
    "spoiled",
    "return",
    "correct",
    "override",
    "settled",
    "count",
)
DOTS = (203, 300, 600)
PACK_LEVELS = ("lot", "item", "pallet")


def read_kind(code: str, table: Table) -> Kind:
    """[kind.CODE]"""
    return Kind(
        code=code,
        name=table.text("name"),
        letter=table.choice("letter", tuple(LETTERS)),
        unit=table.choice("unit", UNITS),
        mass=table.flag("mass", False),
        axis=table.choice("axis", ("amount", "serial"), "amount"),
    )


def read_product(code: str, table: Table) -> Product:
    """[product.CODE]"""
    source, confidence = origin_of(table, "source", "confidence")
    return Product(
        code=code,
        name=table.text("name"),
        kind=table.text("kind"),
        size=table.text("size", ""),
        grade=table.text("grade", ""),
        coating=table.text("coating", ""),
        wire_mm=table.decimal("wire_mm") or "",
        wires_mm=table.decimals("wires_mm"),
        width_mm=table.decimal("width_mm") or "",
        thickness_mm=table.decimal("thickness_mm") or "",
        item_amount=table.maybe_amount("item_amount"),
        tare_g=table.maybe_amount("tare_g"),
        pieces_per_item=table.maybe_amount("pieces_per_item"),
        mass_per_piece_mg=table.maybe_amount("mass_per_piece_mg"),
        mass_per_metre_mg=table.maybe_amount("mass_per_metre_mg"),
        pieces_per_minute=table.maybe_amount("pieces_per_minute"),
        volume_per_piece_mm3=table.maybe_amount("volume_per_piece_mm3"),
        length_mm=table.maybe_amount("length_mm"),
        running_permille=table.amounts("running_permille"),
        parts_permille=_parts(table),
        limits=_product_limits(table),
        gtins=_gtins(table),
        source=source,
        confidence=confidence,
    )


def _parts(table: Table) -> Mapping[str, int]:
    parts = table.amounts("parts_permille")
    if parts and sum(parts.values()) != 1000:
        raise table.refuse("parts_permille", dict(parts), "parts that sum to 1000")
    return parts


def _gtins(table: Table) -> Mapping[str, str]:
    inner = table.table("gtin")
    found = {level: _proved(inner, level, gs1.gtin) for level in PACK_LEVELS}
    inner.done()
    return fixed({level: number for level, number in found.items() if number})


def _proved(table: Table, key: str, read: Callable[[str], str]) -> str:
    """A GS1 text that proves itself; "" where the key is absent."""
    text = table.text(key, "")
    try:
        return read(text) if text else ""
    except Unreadable as fault:
        raise table.refuse(key, text, fault.expected.removeprefix("Expected ").rstrip(".")) from fault


def read_gs1(table: Table) -> Gs1 | None:
    """[gs1], None where the plant has no company prefix."""
    if not table.entries():
        return None
    table.text("company_prefix")
    found = Gs1(
        prefix=_proved(table, "company_prefix", gs1.prefix_of),
        extension=table.amount("extension_digit", 0),
        gln=_proved(table, "gln", gs1.gln),
        domain=_proved(table, "domain", domain_of),
    )
    if found.extension > 9:
        raise table.refuse("extension_digit", found.extension, "one digit, 0 to 9")
    table.done()
    return found


def read_layout_choice(code: str, table: Table) -> LayoutChoice:
    """[layout_choice.CODE], which names a customer or a market."""
    found = LayoutChoice(
        code=code,
        of=table.matching("of", CODE, 'a product, a kind, or "pallet"'),
        customer=table.text("customer", ""),
        market=table.text("market", ""),
        layout=table.matching("layout", CODE, "the name of a layout file"),
    )
    if bool(found.customer) == bool(found.market):
        raise table.refuse("customer", found.customer, "either a customer or a market")
    return found


def _product_limits(table: Table) -> Mapping[str, Limits]:
    limits = {}
    for code, inner in table.tables("limits"):
        limits[code] = _limits(inner)
        inner.done()
    return fixed(limits)


def _limits(table: Table) -> Limits:
    low, high = table.decimal("low"), table.decimal("high")
    if low is not None and high is not None and Decimal(low) > Decimal(high):
        raise table.refuse("low", low, f"no more than high = {high}")
    source, confidence = origin_of(table, "source", "confidence")
    return Limits(low=low, high=high, source=source, confidence=confidence)


def read_characteristic(code: str, table: Table) -> Characteristic:
    """[characteristic.CODE]"""
    return Characteristic(
        code=code,
        name=table.text("name"),
        unit=table.text("unit", ""),
        attribute=table.flag("attribute", False),
        limits=_limits(table),
    )


def read_station(code: str, table: Table) -> Station:
    """[station.CODE]; without payoffs it has one, "1"."""
    payoffs = table.texts("payoffs") or {"1": "Payoff"}
    return Station(
        code=code,
        name=table.text("name"),
        processes=table.codes("processes"),
        payoffs=tuple(Payoff(payoff, name) for payoff, name in payoffs.items()),
        place=table.text("place"),
        printer=table.text("printer", "") or None,
        vessel=table.text("vessel", "") or None,
        scale=table.text("scale", "") or None,
        resources=table.codes("resources"),
        reads=table.choice("reads", ("net", "gross"), "net"),
        weighs_items=table.flag("weighs_items", False),
        counter=table.maybe_choice("counter", ("mm", "m", "ft", "pcs")),
        counter_starts_anew=table.flag("counter_starts_anew", False),
    )


def read_place(code: str, table: Table) -> Place:
    """[place.CODE]"""
    return Place(code=code, name=table.text("name"), use=table.choice("use", USES, "floor"))


def read_vessel(code: str, table: Table) -> Vessel:
    """[vessel.CODE]"""
    return Vessel(
        code=code,
        name=table.text("name"),
        unit=table.choice("unit", UNITS, "g"),
        capacity=table.maybe_amount("capacity"),
    )


def read_instrument(code: str, table: Table) -> Instrument:
    """[instrument.CODE]"""
    return Instrument(
        code=code,
        name=table.text("name"),
        unit=table.text("unit"),
        step=table.decimal("step") or "",
        uncertainty=table.decimal("uncertainty") or "",
        checks=table.codes("checks"),
    )


def read_resource(code: str, table: Table) -> Resource:
    """[resource.CODE]"""
    return Resource(code=code, name=table.text("name"), kind=table.text("kind"), dies_mm=dies_of(table))


def read_carrier(code: str, table: Table) -> Carrier:
    """[carrier.CODE]"""
    return Carrier(
        code=code,
        name=table.text("name"),
        kind=table.text("kind"),
        tare_g=table.maybe_amount("tare_g", least=0),
    )


def read_printer(code: str, table: Table) -> Printer:
    """[printer.CODE]; without an address its labels land in the label tray."""
    dpi = table.amount("dpi", 203)
    if dpi not in DOTS:
        raise table.refuse("dpi", dpi, "203, 300 or 600 dots an inch")
    return Printer(code=code, name=table.text("name"), address=table.text("address", ""), dpi=dpi)


def read_reason(code: str, table: Table) -> Reason:
    """[reason.CODE]"""
    return Reason(code=code, words=table.text("words"), group=table.choice("group", GROUPS))


def read_shift(code: str, table: Table) -> Shift:
    """[shift.CODE]"""
    return Shift(
        code=code, name=table.text("name"), start=table.matching("start", CLOCK, 'a time as "06:00"')
    )
