"""Does what is loaded fit what is made of it, by its wire and its size, and does the vessel hold it?"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.processes.definition import Product, Role
from lotroot.production.opening import station_of
from lotroot.production.runs import Run
from lotroot.work import Work


def fits_wire(wire: Product, wanted_mm: str) -> bool:
    """Whether a wire is of the diameter that is wanted, or of one that the wire's own limits allow.

    Of all limits of the wire, those are its diameter's that lie on both sides of it. True where either
    diameter is not told.
    """
    if not wire.wire_mm or not wanted_mm:
        return True
    has, wanted = Decimal(wire.wire_mm), Decimal(wanted_mm)
    pairs = [(Decimal(one.low), Decimal(one.high)) for one in wire.limits.values() if one.low and one.high]
    return has == wanted or any(low <= has <= high and low <= wanted <= high for low, high in pairs)


def same_size(one: str, other: str) -> bool:
    """Whether two sizes are the same but for how they are spaced; True where either is not told."""
    sizes = ["".join(size.split()).casefold() for size in (one, other)]
    return "" in sizes or sizes[0] == sizes[1]


def by_wire(work: Work, run: Run, row: Row[Any], roles: Sequence[Role]) -> Role:
    """Of the roles a lot may have, the first that takes its wire; the first of all where none does."""
    wire, made = work.plant.products.get(row.product), work.plant.products.get(run.row.product)
    if wire is None or made is None:
        return roles[0]
    return next((one for one in roles if fits_wire(wire, made.wire_for(one.role))), roles[0])


def refuse_misfit(work: Work, run: Run, row: Row[Any], role: Role) -> None:
    """Refuse a lot whose wire or size is not that of the run, where its process wants that it is.

    The wire is that of the role it goes in as: line wire, barb wire.
    """
    process = work.plant.process(run.row.process)
    loaded = work.plant.products.get(row.product)
    made = work.plant.products.get(run.row.product)
    aids = {kind for role in process.inputs if process.is_aid(role.stream) for kind in role.kinds}
    if loaded is None or row.kind in aids:  # sawdust is of no size of nails
        return
    if process.same_wire and made is not None and not fits_wire(loaded, made.wire_for(role.role)):
        other = [one.name for one in process.inputs if fits_wire(loaded, made.wire_for(one.role))]
        _refuse_wire(work, row, (role, made), other)
    if process.same_size:
        _refuse_size(work, run, row, loaded)


def _refuse_wire(work: Work, row: Row[Any], wanted: tuple[Role, Product], other: list[str]) -> None:
    """`other` are the roles that do take this wire."""
    (role, made), wire = wanted, work.plant.product(row.product)
    size = f"{role.name} of {made.wire_for(role.role)} mm"
    place = f", or the payoff of {other[0]} for this one" if other else ""
    work.refuse(
        Refused(
            f"{size} goes into {made.name}; {shown(row.number)} is {wire.name}.",
            value=f"{wire.wire_mm} mm",
            expected=f"{size}.",
            next_step=f"Scan the right wire{place}. If something else is made of this, scan DONE, then "
            "choose that.",
        ),
        row.number,
    )


def _refuse_size(work: Work, run: Run, row: Row[Any], loaded: Product) -> None:
    """One lot of another size that is in there already is enough to name."""
    process = work.plant.process(run.row.process)
    there = [
        (f"{shown(one.lot)} in there is", find_lot(work.connection, one.lot).product)
        for one in run.loaded
        if not process.is_aid(one.stream)
    ]
    for what, code in [*there, ("this run makes", run.row.product)]:
        other = work.plant.products.get(code)
        if other is None or same_size(other.size, loaded.size):
            continue
        work.refuse(
            Refused(
                f"{shown(row.number)} is {loaded.size}, {what} {other.size}: sizes are not mixed.",
                value=loaded.size,
                expected=f"Goods of {other.size}.",
                next_step="Scan the right lot. For the other size empty this out first and scan DONE.",
            ),
            row.number,
        )
        return


def refuse_overfull(work: Work, run: Run, row: Row[Any], amount: int) -> None:
    """Refuse what the station's drum cannot take; `amount` grams are to go in.

    Only vessels that are filled by weight: what is pumped into a cylinder goes into the wood, and more
    follows.
    """
    code = station_of(work).vessel
    vessel = work.plant.vessel(code) if code else None
    if vessel is None or vessel.capacity is None or vessel.unit != "g":
        return
    streams = work.plant.process(run.row.process).streams
    inside = sum(one.amount - one.taken for one in run.loaded if streams[one.stream] == "g")
    if inside + amount <= vessel.capacity:
        return
    most, full = work.show(vessel.capacity, "g"), work.show(inside + amount, "g")
    work.refuse(
        Refused(
            f"{vessel.name} takes {most} at most; with {shown(row.number)} it would hold {full}.",
            value=full,
            expected=f"{work.show(max(vessel.capacity - inside, 0), 'g')} more at most.",
            next_step="Load less, or the rest into the next load.",
        ),
        row.number,
    )
