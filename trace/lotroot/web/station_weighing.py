"""Was a number at a station typed by a scale or by hand, and is it net, or gross with its pan?"""

import re
from typing import Any, NamedTuple

from lotroot.errors import Unreadable
from lotroot.stock.carriers import find_carrier
from lotroot.stock.tares import Tare, tare_at
from lotroot.web.frame import local
from lotroot.web.station_state import State
from lotroot.web.wording import spot_name

_SAYS_WHICH = re.compile(r"(.*?)\s*\b(net|gross)", re.IGNORECASE | re.DOTALL)
WAITING = ("amount", "typed_by", "gross")
"""What a number leaves in the page's context until its pan is scanned."""


class Typed(NamedTuple):
    """An amount in base units, who typed it (scale, hand or nothing), and whether its carrier is in it."""

    amount: int
    typed_by: str = ""
    gross: bool = False

    def waiting(self) -> dict[str, Any]:
        """As it waits in the page's context for what it was weighed in."""
        said = {"typed_by": self.typed_by} if self.typed_by else {}
        return {"amount": self.amount, **said, **({"gross": 1} if self.gross else {})}


def waits(state: State) -> Typed | None:
    """The number that waits for its pan, if one does."""
    context = state.scene.context
    amount = context.get("amount")
    if not isinstance(amount, int):
        return None
    return Typed(amount, str(context.get("typed_by", "")), bool(context.get("gross")))


def reads_gross(state: State) -> bool:
    """Whether a bare weight of what comes out is gross here."""
    return state.station.reads == "gross" and state.chosen.carrier is not None and state.asks == "weight"


def net_or_gross(state: State, text: str) -> tuple[str, bool]:
    """The text without the word that says which it is, and whether it is gross. Raises Unreadable."""
    found = _SAYS_WHICH.fullmatch(text.strip())
    if found is None:
        return text, reads_gross(state)
    if state.asks != "weight" or state.chosen.carrier is None:
        raise Unreadable(
            f"{state.chosen.name} is not weighed in a carrier, so {found[2].lower()} means nothing here.",
            value=text,
            expected="The number alone.",
            next_step="Type it again.",
        )
    return found[1], found[2].lower() == "gross"


def tare_words(state: State, number: str) -> str:
    """What a carrier weighs empty, and since when: Pan 17 weighs 61.6 kg empty (weighed 3 Nov)."""
    scene, carrier = state.scene, find_carrier(state.scene.connection, number)
    known = state.plant.carriers.get(carrier.code)
    tare = tare_at(scene.connection, carrier.number, scene.now, known.tare_g if known else None)
    name = spot_name(scene.connection, state.plant, number)
    if tare is None:
        return f"{name} was never weighed empty: type the net weight as “480 net”"
    return f"{name} weighs {scene.amount(tare.grams, 'g')} empty ({_since(state, tare)})"


def _since(state: State, tare: Tare) -> str:
    return "by the plant's list" if tare.since is None else f"weighed {local(state.plant, tare.since):%-d %b}"
