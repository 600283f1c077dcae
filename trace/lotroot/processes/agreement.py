"""Does every code that one table of a plant names exist in the other?"""

from collections import Counter
from collections.abc import Collection, Iterable
from decimal import Decimal

from lotroot.errors import Unreadable
from lotroot.processes import bins
from lotroot.processes.definition import Plant
from lotroot.processes.parts import Product, Resource, Station
from lotroot.processes.working import Output, Process, Role

BUTTONS = 6  # DESIGN.md section 7: six buttons, so that a glove finds them


PALLET = "pallet"
"""What a layout is chosen for where it is no product or kind: whole pallets."""


def check_agreement(plant: Plant) -> None:
    """Raise `Unreadable` at the first thing in a plant that does not fit the rest of it."""
    _check_whole(plant)
    for product in plant.products.values():
        _check_product(plant, product)
    _check_gtins(plant)
    for choice in plant.layout_choices:
        known = {PALLET, *plant.products, *plant.kinds}
        _known(f"layout_choice.{choice.code}", "of", [choice.of], known)
    for process in plant.processes.values():
        _check_process(plant, process)
    for station in plant.stations.values():
        _check_station(plant, station)
    _check_bins(plant)
    for resource in plant.resources.values():
        _check_dies(plant, resource)
    for instrument in plant.instruments.values():
        _known(f"instrument.{instrument.code}", "checks", instrument.checks, plant.characteristics)


def _check_bins(plant: Plant) -> None:
    for one in plant.bins.values():
        _known(f"bin.{one.code}", "stations", one.stations, plant.stations)
    for one, fitting in bins.reasons_known(plant.bins.values(), plant.reasons):
        raise _wrong(f"bin.{one.code}", "reason", repr(one.reason), fitting)
    for one, other, station in bins.twins(plant.bins.values(), plant.stations):
        told = f"another reason, or another bin than {other.code} at {station.name}"
        raise _wrong(f"bin.{one.code}", "reason", repr(one.reason or "any"), told)


def _check_whole(plant: Plant) -> None:
    if not plant.shifts:
        raise _wrong("shift", "", "none", "at least one shift, as [shift.day]")
    starts = [shift.start for shift in plant.shifts]
    if len(set(starts)) != len(starts):
        raise _wrong("shift", "start", ", ".join(starts), "shifts that start at different times")
    for group, buttons in Counter(reason.group for reason in plant.reasons.values()).items():
        if buttons > BUTTONS:
            raise _wrong("reason", "group", f"{buttons} of {group}", f"at most {BUTTONS} of one group")
    if not plant.roles["administrator"]:
        raise _wrong("role", "administrator", "[]", 'commands, or "*": somebody must adopt the next plant')


def _check_product(plant: Plant, product: Product) -> None:
    place = f"product.{product.code}"
    _known(place, "kind", [product.kind], plant.kinds)
    _known(place, "limits", product.limits, plant.characteristics)
    roles = {role.role for process in plant.processes.values() for role in process.inputs}
    _known(place, "running_permille", product.running_permille, roles)
    _known(place, "wires_mm", product.wires_mm, roles)
    streams = {stream for process in plant.processes.values() for stream in process.streams}
    _known(place, "parts_permille", product.parts_permille, streams)


def _check_gtins(plant: Plant) -> None:
    """A scanned GTIN must lead to one product, and none stands on a label without the plant's licence."""
    owners: dict[str, str] = {}
    for product in plant.products.values():
        for level, number in product.gtins.items():
            place = f"product.{product.code}.gtin"
            if plant.gs1 is None:
                raise _wrong(place, level, repr(number), "[gs1] with company_prefix, as on the licence")
            owner = owners.setdefault(number, f"{product.code}, {level}")
            if owner != f"{product.code}, {level}":
                raise _wrong(place, level, repr(number), f"a number of its own: {owner} has that one")


def _check_process(plant: Plant, process: Process) -> None:
    place = f"process.{process.code}"
    if not process.inputs:
        raise _wrong(place, "input", "none", f"at least one, as [{place}.input.rod]")
    if not process.outputs:
        raise _wrong(place, "output", "none", f"at least one, as [{place}.output.stripper]")
    _known(place, "uses", process.uses, {thing.kind for thing in plant.resources.values()})
    _known(place, "checks", process.checks, plant.characteristics)
    if process.drafts is not None and process.drafts.checked:
        _known(f"{place}.drafts", "checked", [process.drafts.checked], plant.characteristics)
    for role in process.inputs:
        _check_role(plant, process, role)
    for output in process.outputs:
        _check_output(plant, process, output)


def _check_role(plant: Plant, process: Process, role: Role) -> None:
    place = f"process.{process.code}.input.{role.role}"
    if not role.kinds:
        raise _wrong(place, "kinds", "none", "at least one kind of lot")
    _known(place, "kinds", role.kinds, plant.kinds)
    _known(place, "stream", [role.stream], process.streams)


def _check_output(plant: Plant, process: Process, output: Output) -> None:
    place = f"process.{process.code}.output.{output.code}"
    _known(place, "kind", [output.kind], plant.kinds)
    _known(place, "stream", [output.stream], process.streams)
    of_kind = [code for code, product in plant.products.items() if product.kind == output.kind]
    _known(place, "products", output.products, of_kind)
    if output.carrier is not None:
        _known(place, "carrier", [output.carrier], {thing.kind for thing in plant.carriers.values()})
    if process.feed == "as_is":
        kinds = {kind for role in process.inputs for kind in role.kinds}
        _known(place, "kind", [output.kind], kinds)
    elif not output.asks:
        raise _wrong(
            place,
            "asks",
            "nothing",
            "what the operator gives: weight, count, length, volume, lane, of or cut",
        )
    if "lane" in output.asks and process.feed != "side_by_side":
        raise _wrong(place, "asks", "lane", f"no lane where the feed is {process.feed}")
    if "cut" in output.asks:
        _check_cut(plant, place, output)


def _check_cut(plant: Plant, place: str, output: Output) -> None:
    """A cut list is of one bundle of pieces, and says all there is to say but its weight."""
    if output.as_ != "item" or plant.kind(output.kind).unit != "pcs":
        raise _wrong(place, "asks", "cut", 'as = "item" and a kind whose unit is pcs')
    others = [one for one in output.asks if one not in ("cut", "weight")]
    if others:
        raise _wrong(place, "asks", f"cut, {', '.join(others)}", "cut alone, or with weight")


def _check_station(plant: Plant, station: Station) -> None:
    place = f"station.{station.code}"
    _known(place, "processes", station.processes, plant.processes)
    _known(place, "place", [station.place], plant.places)
    _known(place, "resources", station.resources, {thing.kind for thing in plant.resources.values()})
    if station.printer is not None:
        _known(place, "printer", [station.printer], plant.printers)
    if station.vessel is not None:
        _known(place, "vessel", [station.vessel], plant.vessels)
    if station.scale is not None:
        _known(place, "scale", [station.scale], plant.instruments)
    _check_weighs_items(plant, place, station)
    payoffs = [payoff.code for payoff in station.payoffs]
    for process in (plant.processes[code] for code in station.processes):
        if process.vessel is not None and station.vessel is None:
            raise _wrong(place, "vessel", "none", f"the vessel that {process.name} works in")
        _known(place, "resources", process.uses, station.resources)
        for role in process.inputs:
            _known(f"process.{process.code}.input.{role.role}", "payoffs", role.payoffs, payoffs)


def _check_weighs_items(plant: Plant, place: str, station: Station) -> None:
    """One of many is weighed where a scale stands by, and what is counted is sold by its weight."""
    if not station.weighs_items:
        return
    outputs = [one for code in station.processes for one in plant.processes[code].outputs]
    counted = [one for one in outputs if one.as_ == "item" and "count" in one.asks and not one.carrier]
    if station.scale is None or not any(plant.kind(one.kind).unit == "g" for one in counted):
        raise _wrong(place, "weighs_items", "true", "a scale, and items of a kind in g that are counted here")


def _check_dies(plant: Plant, resource: Resource) -> None:
    """A set whose first die is no smaller than any rod that its processes take cannot draw."""
    kinds = {
        kind
        for process in plant.processes.values()
        if resource.kind in process.uses
        for role in process.inputs
        for kind in role.kinds
    }
    rods = [one.wire_mm for one in plant.products.values() if one.kind in kinds and one.wire_mm]
    thickest = max(rods, key=Decimal, default="")
    if resource.dies_mm and thickest and Decimal(resource.dies_mm[0]) >= Decimal(thickest):
        place, first = f"resource.{resource.code}", resource.dies_mm[0]
        raise _wrong(place, "dies_mm", repr(first), f"less than the thickest rod, {thickest} mm")


def _known(place: str, key: str, named: Iterable[str], known: Collection[str]) -> None:
    for code in named:
        if code not in known:
            there = ", ".join(sorted(known)[:12]) or "none"
            raise _wrong(place, key, repr(code), f"one of {there}")


def _wrong(place: str, key: str, found: str, expected: str) -> Unreadable:
    where = f"In [{place}], {key} = {found}" if key else f"In [{place}], {found}"
    return Unreadable(
        f"{where} does not fit the rest of the plant.",
        value=found,
        expected=f"Expected {expected}.",
        next_step="Mend plant.toml there and try again; nothing was changed.",
    )
