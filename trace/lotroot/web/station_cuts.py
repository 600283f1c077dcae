"""What does a cut list typed at a station mean: one bundle's lines, and its weight where it is weighed?"""

import re
from typing import NamedTuple

from lotroot.errors import Refused, Unreadable
from lotroot.processes.naming import inside
from lotroot.production.cut_facts import Cut
from lotroot.production.cut_lists import read_cuts
from lotroot.production.cuts import cut_and_sums, cuts_of_run
from lotroot.web.station_state import State

_NO_COUNT = re.compile(r"[x\u00d7*]\s*[0-9]", re.IGNORECASE)


class CutList(NamedTuple):
    """The lines of one bundle, and its net grams; 0 where it was not weighed."""

    cuts: tuple[Cut, ...]
    weight: int = 0


def looks_cut(state: State, text: str) -> bool:
    """Whether a text that begins with no figure is a cut list all the same, badly typed."""
    return state.asks == "cut" and _NO_COUNT.match(text) is not None


def read(state: State, text: str) -> CutList:
    """The cut list, with its weight behind = where the output is weighed too. Raises Unreadable."""
    lines, equals, weight = text.partition("=")
    if equals and "weight" not in state.chosen.asks:
        raise Unreadable(
            f"{state.chosen.name} is not weighed here.",
            value=text,
            expected="The cut list alone, such as 24x3.6 12x2.4.",
            next_step="Type it again.",
        )
    cuts = read_cuts(lines, state.plant.units.get("mm", "mm"))
    return CutList(cuts, state.scene.typed(weight, "g") if equals else 0)


def last(state: State) -> CutList:
    """The cut list of the last bundle of the run; a weight is read off the scale each time."""
    made = state.made_of(state.chosen)
    if state.run is None or not made:
        raise Refused(
            f"No {inside(state.chosen.name)} was made in this run yet.",
            expected="One to repeat.",
            next_step="Type the cut list.",
        )
    if made[-1].basis == "weighed":
        raise Refused(
            "A weight is read off the scale each time.",
            expected="The cut list and the number on the scale.",
            next_step="Type them.",
        )
    cuts = cuts_of_run(state.scene.connection, state.run.number).get(made[-1].seq)
    if cuts is None:
        raise Refused(
            "The last bundle was corrected, so its cut list does not stand any more.",
            expected="The cut list of this one.",
            next_step="Type it.",
        )
    return CutList(cuts)


def cut_words_of(state: State) -> dict[int, str]:
    """How the bundles of the run were cut, by output, for the list of what was made."""
    if state.run is None or not any("cut" in one.asks for one in state.process.outputs):
        return {}
    product = str(state.run.row.product)
    made = cuts_of_run(state.scene.connection, state.run.number)
    return {seq: cut_and_sums(cuts, state.plant, product) for seq, cuts in made.items()}


def next_step(state: State) -> str:
    """What is typed next."""
    weighed = " = kg" if "weight" in state.chosen.asks else ""
    return f"Type the cut list of the {inside(state.chosen.name)}: 24x3.6 12x2.4{weighed}"
