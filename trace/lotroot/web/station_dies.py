"""What does a drawing machine's page say of its dies, and how is a recut one typed there?"""

import re
from decimal import Decimal

from lotroot.dies.fitting import summary, warning
from lotroot.dies.handling import RecutDie
from lotroot.errors import Refused
from lotroot.production.dies_in_use import DiesInUse, dies_in_use
from lotroot.theory.wire import length_mm
from lotroot.web.scene import Act
from lotroot.web.station_state import State

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
    what = f"The last {state.main.name.lower()}, {state.scene.amount(mass, 'g')},"
    return f"{what} is {state.scene.amount(metres, 'mm')} of {size} mm wire by theory."


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
