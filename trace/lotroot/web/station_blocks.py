"""How is a box recorded under a label that was printed before it: its label, then what it weighs?

A second label makes it a row, from the first to the last; DONE records the one alone, counted.
"""

from lotroot.errors import Refused, Unreadable
from lotroot.goods import ITEM_LENGTH
from lotroot.identity import item_from
from lotroot.identity.showing import shown
from lotroot.production.packing import PackItems
from lotroot.production.serials import block_account, blocks_of_run
from lotroot.web.scene import Act, Say
from lotroot.web.station_state import State
from lotroot.web.station_weighing import one_weighed, weighs_items, weighs_words

ITEM = "item"
"""What the page's context keeps the label under that is in hand."""


def in_hand(state: State) -> str:
    """The label that was scanned for what is recorded next; empty for none."""
    return str(state.scene.context.get(ITEM, ""))


def meaning(state: State, number: str) -> Act | Say | None:
    """An unused label of this run's blocks; None for any other number."""
    if len(number) != ITEM_LENGTH or not _unused(state, number):
        return None
    first = in_hand(state)
    if first == number:
        said = f"{shown(number)} is in hand already."
        raise Refused(said, word="already", next_step=f"{_then(state)}.")
    if first and first[:11] == number[:11] and item_from(first).serial < item_from(number).serial:
        return Act(PackItems(first, number))
    context = {name: one for name, one in state.scene.context.items() if name == "output"}
    said = f"{shown(number)} is the label of this {state.chosen.name.lower()}."
    return Say(said, word="Then", detail=f"{_then(state)}.", context={**context, ITEM: number})


def weighed(state: State, text: str) -> Act:
    """What the item under the label in hand weighs. Raises Unreadable for a count."""
    one = one_weighed(state, text, state.scene.typed_by)
    if one is None or not one.amount:
        raise Unreadable(
            f"{state.chosen.name} {item_from(in_hand(state)).serial}: this is no weight.",
            value=text,
            expected="A number with its unit, or off the scale." if weighs_items(state) else "No number.",
            next_step=f"{_then(state)}.",
        )
    if one.gross:
        return Act(PackItems(in_hand(state), gross=one.amount, typed_by=one.typed_by))
    return Act(PackItems(in_hand(state), weights=(one.amount,), typed_by=one.typed_by))


def alone(state: State) -> Act:
    """The one under the label in hand, not weighed."""
    return Act(PackItems(in_hand(state)))


def next_step(state: State) -> str:
    """What is expected while a label is in hand; nothing where none is."""
    if not in_hand(state):
        return ""
    then = _then(state)
    return f"{state.chosen.name} {item_from(in_hand(state)).serial}: {then[:1].lower()}{then[1:]}"


def _then(state: State) -> str:
    weigh = f"Type its {weighs_words(state, of='')}, or scan" if weighs_items(state) else "Scan"
    return f"{weigh} the last label of a row; DONE counts it alone"


def _unused(state: State, number: str) -> bool:
    if state.run is None:
        return False
    item = item_from(number)
    lot = str(item.lot)
    mine = {block.lot for block in blocks_of_run(state.scene.connection, state.run.number)}
    return lot in mine and item.serial in block_account(state.scene.connection, lot).open
