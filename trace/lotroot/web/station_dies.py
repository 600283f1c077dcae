"""What does a drawing machine's page say of its dies, and how is a recut one typed there?"""

import re
from decimal import Decimal

from lotroot.dies.fitting import summary, warning
from lotroot.dies.handling import RecutDie
from lotroot.dies.sizes import dies_of
from lotroot.errors import Refused
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Product
from lotroot.processes.naming import inside
from lotroot.processes.working import WORN_PERCENT
from lotroot.production.dies_in_use import DiesInUse, dies_in_use
from lotroot.theory.wire import length_mm
from lotroot.web.scene import Act
from lotroot.web.station_state import State, products_at

_DIE = re.compile(r"die ?(\d{1,2}) +(\S+)( mm)?", re.IGNORECASE)


def drawing(state: State) -> dict[str, str]:
    """Where wire is drawn: the dies in a line, what does not fit, how long the last stripper should be."""
    used = dies_in_use(state.scene.connection, state.plant, state.run) if state.run else None
    if used is None or used.fit is None:
        return {}
    said = summary(used.dies_mm, used.fit.row) if used.fit.row else f"Dies {' '.join(used.dies_mm)}"
    return {"dies": said, "dies_wrong": warning(used.fit.faults), "length": _length(state, used)}


def _length(state: State, used: DiesInUse) -> str:
    """What the counter should say of the stripper made last."""
    made = [one for one in state.made_of(state.main) if one.amount]
    if not made or state.process.streams[made[-1].stream] != "g":
        return ""
    size, mass = used.dies_mm[-1], made[-1].amount
    metres = length_mm(Decimal(size), mass) // 1000 * 1000
    what = f"The last {inside(state.main.name)}, {state.scene.amount(mass, 'g')},"
    return f"{what} is {state.scene.amount(metres, 'mm')} of {size} mm wire by theory."


def finishes(state: State, thing: str) -> Product | None:
    """What is made here whose wire is nearest to the last die of a set; None for a tool without dies.

    None also where the nearest is further off than a die wears: then the set says nothing.
    """
    row = thing_or_none(state.scene.connection, thing)
    resource = state.plant.resources.get(row.code) if row is not None else None
    dies = dies_of(state.scene.connection, resource, thing) if resource is not None else []
    made = [state.plant.product(code) for code in products_at(state.plant, state.station)]
    wires = [one for one in made if one.wire_mm]
    if not dies or not wires:
        return None
    last = Decimal(dies[-1].size_mm)
    nearest = min(wires, key=lambda one: abs(Decimal(one.wire_mm) - last))
    drafts = state.process.drafts
    worn = Decimal(drafts.worn_percent if drafts else WORN_PERCENT)
    return nearest if abs(Decimal(nearest.wire_mm) - last) * 100 <= worn * last else None


def recut(state: State, text: str) -> Act | None:
    """DIE 8 2.52: the eighth die of the set in the machine has another size; None for any other text."""
    found = _DIE.fullmatch(text)
    if found is None:
        return None
    used = dies_in_use(state.scene.connection, state.plant, state.run) if state.run else None
    if used is None:
        raise Refused(
            "No set of known dies is in this machine.",
            value=text[:40],
            expected="A run with its die set.",
            next_step="Scan the die set first.",
        )
    return Act(RecutDie(used.thing, int(found[1]), found[2]), context=state.scene.context)
