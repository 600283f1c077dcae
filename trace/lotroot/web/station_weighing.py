"""Was a number at a station typed by a scale or by hand, is it gross, and what says the counter?"""

import re
from typing import Any, NamedTuple

from lotroot.errors import Unreadable
from lotroot.processes.definition import Product
from lotroot.quantities import base_of, unit_typed
from lotroot.stock.carriers import find_carrier
from lotroot.stock.tares import Tare, tare_at
from lotroot.stock.typed import SCALE
from lotroot.web.frame import local
from lotroot.web.station_state import State
from lotroot.web.wording import spot_name

_SAYS_WHICH = re.compile(r"(.*?)\s*\b(net|gross)", re.IGNORECASE | re.DOTALL)
_WITH_COUNTER = re.compile(r"(.*\S)\s+at\s+([0-9]{1,12})", re.IGNORECASE | re.DOTALL)
WAITING = ("amount", "typed_by", "gross", "counter")
"""What a number leaves in the page's context until its pan is scanned."""


class Typed(NamedTuple):
    """An amount in base units, who typed it (scale, hand or nothing), and whether its carrier is in it.

    `counter` is what the machine's counter says beside it, None where nothing was said. `of_one`: it is what
    one item weighs, where items are counted.
    """

    amount: int
    typed_by: str = ""
    gross: bool = False
    counter: int | None = None
    of_one: bool = False

    def waiting(self) -> dict[str, Any]:
        """As it waits in the page's context for what it was weighed in."""
        told = {"typed_by": self.typed_by, "gross": int(self.gross), "counter": self.counter}
        return {
            "amount": self.amount,
            **{name: one for name, one in told.items() if one not in ("", 0, None)},
        }


def waits(state: State) -> Typed | None:
    """The number that waits for its pan, if one does."""
    context = state.scene.context
    amount = context.get("amount")
    if not isinstance(amount, int):
        return None
    counter = context.get("counter")
    told = (str(context.get("typed_by", "")), bool(context.get("gross")))
    return Typed(amount, *told, counter if isinstance(counter, int) else None)


def reads_gross(state: State) -> bool:
    """Whether a bare weight of what comes out is gross here."""
    return state.station.reads == "gross" and _has_tare(state)


def _has_tare(state: State) -> bool:
    """Whether what is weighed stands in something that is taken off: a carrier, or its packing."""
    packed = state.chosen.as_ == "item" and state.product is not None and state.product.tare_g is not None
    return state.asks == "weight" and (state.chosen.carrier is not None or packed)


def net_or_gross(state: State, text: str) -> tuple[str, bool]:
    """The text without the word that says which it is, and whether it is gross. Raises Unreadable."""
    found = _SAYS_WHICH.fullmatch(text.strip())
    if found is None:
        return text, reads_gross(state)
    if not _has_tare(state):
        raise Unreadable(
            f"{state.chosen.name} is not weighed in a carrier, so {found[2].lower()} means nothing here.",
            value=text,
            expected="The number alone.",
            next_step="Type it again.",
        )
    return found[1], found[2].lower() == "gross"


def weighs_items(state: State) -> bool:
    """Whether what is typed here may be the weight of one item, though items are counted."""
    chosen, by_weight = state.chosen, state.plant.kinds[state.chosen.kind].unit == "g"
    counted = chosen.as_ == "item" and state.asks == "count" and chosen.carrier is None
    return state.station.weighs_items and counted and by_weight


def one_weighed(state: State, text: str, by: str) -> Typed | None:
    """What one item weighs: a number with a unit of mass, or off the scale. None for a count of items.

    Gross where the station reads gross, unless the text says which. Raises Unreadable or a Question.
    """
    if not weighs_items(state):
        return None
    said = _SAYS_WHICH.fullmatch(text.strip())
    figure = said[1] if said else text
    unit = unit_typed(figure)
    mass = bool(said) or (by == SCALE if not unit else base_of(unit) == "g")
    if not mass:
        return None
    gross = said[2].lower() == "gross" if said else state.station.reads == "gross"
    return Typed(state.scene.typed(figure, "g", usual_of_one(state)), by, gross, of_one=True)


def usual_of_one(state: State) -> int:
    """What the scale shows under one item of its nominal weight, in grams; 0 where nobody knows."""
    product = state.product
    nominal = product.item_amount if product is not None else None
    tare = product.tare_g if product is not None and state.station.reads == "gross" else 0
    return nominal + (tare or 0) if nominal else 0


def weighs_words(state: State, of: str = " of one") -> str:
    """How one item's weight is typed here: its gross weight, such as 25.45 kg."""
    usual = usual_of_one(state)
    such = f", such as {state.scene.amount(usual, 'g')}" if usual else f", {state.plant.units.get('g', 'g')}"
    return f"{'gross' if state.station.reads == 'gross' else 'net'} weight{of}{such}"


def beside_counter(state: State, text: str) -> tuple[str, int | None]:
    """The text without what it says of the counter: “480 at 12450”, where the station has one."""
    found = _WITH_COUNTER.fullmatch(text.strip()) if state.station.counter else None
    return (found[1], int(found[2])) if found else (text, None)


def tare_words(state: State, number: str) -> str:
    """What a carrier weighs empty, and since when: Pan 17 weighs 61.6 kg empty (weighed 3 Nov)."""
    tare, name = _tare(state, number), spot_name(state.scene.connection, state.plant, number)
    if tare is None:
        return f"{name} was never weighed empty: type the net weight as “480 net”"
    return f"{name} weighs {state.scene.amount(tare.grams, 'g')} empty ({_since(state, tare)})"


def net(state: State, given: Typed, carrier: str) -> int:
    """What comes out where the carrier held nothing before, as the output's stream counts it."""
    if state.chosen.as_ == "item" and state.product is not None:
        return _net_of_items(state, state.product, given)
    tare = _tare(state, carrier) if given.gross and carrier else None
    return given.amount - (tare.grams if tare else 0)


def _net_of_items(state: State, product: Product, given: Typed) -> int:
    if given.of_one or state.asks == "weight":
        return given.amount - ((product.tare_g or 0) if given.gross else 0)
    by_weight = state.plant.kinds[state.chosen.kind].unit == "g"
    return given.amount * (product.item_amount or 1) if by_weight else given.amount


def _tare(state: State, number: str) -> Tare | None:
    carrier = find_carrier(state.scene.connection, number)
    known = state.plant.carriers.get(carrier.code)
    told = known.tare_g if known else None
    return tare_at(state.scene.connection, carrier.number, state.scene.now, told)


def _since(state: State, tare: Tare) -> str:
    return "by the plant's list" if tare.since is None else f"weighed {local(state.plant, tare.since):%-d %b}"
