"""What do a page and a paper say of one pad of emergency labels?"""

from typing import Any

from sqlalchemy import Connection

from lotroot.identity import number_from
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of
from lotroot.pads.listing import ANSWERED, DESTROYED, OUT, USED, PadGiven, PadLabel, letters_at
from lotroot.papers.pads import Pad
from lotroot.plant.adopted import current_plant, thing_or_none
from lotroot.processes.definition import Plant, Station
from lotroot.web.cells import link, together
from lotroot.web.frame import Who, when

HOW_MUCH = {"weight": "kg net", "count": "pieces", "length": "m", "volume": "l", "cut": "pieces x length"}
"""What is written by hand under *How much*, by what the output asks."""


def on_paper(connection: Connection, given: PadGiven, at: str) -> Pad:
    """What the papers of a pad say; `at` is when it was given, in words."""
    plant = current_plant(connection)
    station = keeper(connection, plant, given)
    return Pad(
        numbers=given.numbers,
        what=_what(plant, station, given),
        station=station.name if station else plant.name,
        asked=_asked(plant, station, given.letter),
        given=at,
        received=station is not None and not station.processes,
    )


def seen(connection: Connection, found: Who, given: PadGiven) -> dict[str, Any]:
    """One pad as the page shows it: counts, what each label became, and those that did not come back."""
    plant = current_plant(connection)
    station = keeper(connection, plant, given)
    counted = ((USED, "used"), (ANSWERED, "stuck on goods"), (DESTROYED, "destroyed"), (OUT, "not returned"))
    return {
        "event": given.event,
        "title": f"{station.name if station else 'At no station'}: {_what(plant, station, given)}",
        "span": f"{shown(given.numbers[0])} to {shown(given.numbers[-1])}",
        "by": name_of(connection, given.person),
        "when": when(found.plant, given.at),
        "counted": ", ".join(f"{len(given.of(one))} {words}" for one, words in counted if given.of(one)),
        "out": [(one.number, shown(one.number)) for one in given.of(OUT)],
        "spent": [_spent(found, one) for one in given.of(USED, ANSWERED, DESTROYED)],
    }


def keeper(connection: Connection, plant: Plant, given: PadGiven) -> Station | None:
    """The station that keeps a pad; None where none does, or it is no more."""
    row = thing_or_none(connection, given.station) if given.station else None
    return plant.stations.get(row.code) if row is not None else None


def _what(plant: Plant, station: Station | None, given: PadGiven) -> str:
    """What the labels go on: the kinds of their letter that the station makes, at most two named."""
    names = letters_at(plant, station).get(given.letter, []) if station else []
    if len(names) in (1, 2):
        return " or ".join(names)
    return number_from(given.numbers[0]).family.word.capitalize()


def _asked(plant: Plant, station: Station | None, letter: str) -> str:
    processes = [plant.process(code) for code in station.processes] if station else []
    outputs = [one for process in processes for one in process.outputs]
    asks = {ask for one in outputs if plant.kind(one.kind).letter == letter for ask in one.asks}
    known = [words for ask, words in HOW_MUCH.items() if ask in asks]
    return " or ".join(known) or "kg or pieces"


def _spent(found: Who, one: PadLabel) -> dict[str, Any]:
    at = when(found.plant, one.at)
    if one.state == USED:
        became: Any = f"used {at}{', ' if one.reason else ''}{one.reason}"
        return {"label": link(one.number), "became": became}
    if one.state == ANSWERED:
        became = together(("on", link(one.goods), f"since {at}"))
        return {"label": shown(one.number), "became": became}
    return {"label": shown(one.number), "became": f"destroyed {at}: {one.reason}"}
