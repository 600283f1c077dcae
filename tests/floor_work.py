"""What do tests of the floor need at hand: goods that lie there, a terminal with somebody on duty?"""

from typing import Any

from goods_by_hand import LayDown
from houses import House
from lotroot.production.runs import Run, find_run, open_runs_at
from terminals import Terminal


def lay(
    house: House, product: str, amount: int, place: str = "wire_rack", kind: str = "place", **more: Any
) -> str:
    """Goods lie at a place, or stand in a vessel, labelled; their number. Needs `by_hand()`."""
    return house.post(LayDown(product, amount, house.thing(kind, place), **more), "").numbers[0]


def at(house: House, station: str, who: str = "operator") -> Terminal:
    """A terminal signed in at a station, with somebody on duty."""
    terminal = Terminal(house).at(station)
    terminal.badge(who)
    return terminal


def run_at(house: House, station: str) -> Run:
    """The run that is open at a station."""
    row = house.ask(open_runs_at, house.thing("station", station))[0]
    found: Run = house.ask(find_run, row.number)
    return found


def ok(answer: dict[str, Any]) -> dict[str, Any]:
    """The answer, which must have been accepted."""
    assert answer["verdict"] in ("accepted", "asked_done"), answer
    return answer


def plain(text: str) -> str:
    """A text with common spaces in its numbers."""
    return text.replace("\u202f", " ")
