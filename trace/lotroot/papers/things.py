"""Which things of a plant carry a code, by the name people use, in the order of plant.toml?"""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Row

from lotroot.papers.sheets import Entry, Group
from lotroot.processes.definition import Plant

_HEADINGS = {
    "station": "Stations",
    "payoff": "Payoffs",
    "place": "Places",
    "vessel": "Vessels",
    "resource": "Dies, moulds and knives",
    "instrument": "Scales and gauges",
    "printer": "Printers",
    "bin": "Scrap bins",
}


def thing_groups(plant: Plant, things: Iterable[Row[Any]], carriers: Iterable[Row[Any]]) -> tuple[Group, ...]:
    """The groups of `place_sheet`, from rows of `plant.adopted.things` and rows of carriers.

    Things that this version of the plant no longer has are left out, and so are pallets, which get
    their label when they are built.
    """
    numbers = {(row.kind, row.code, row.owner): row.number for row in things}
    known = {kind: _entries(plant, kind, numbers) for kind in _HEADINGS}
    named = {row.code: row.number for row in carriers if row.reusable}
    known["carrier"] = [
        Entry(named[code], carrier.name, carrier.kind)
        for code, carrier in plant.carriers.items()
        if code in named
    ]
    headings = {**_HEADINGS, "carrier": "Carriers"}
    return tuple(Group(headings[kind], tuple(entries)) for kind, entries in known.items() if entries)


def _entries(plant: Plant, kind: str, numbers: dict[tuple[str, str, str], str]) -> list[Entry]:
    found = []
    for code, owner, name, note in _named(plant, kind):
        if (kind, code, owner) in numbers:
            found.append(Entry(numbers[kind, code, owner], name, note))
    return found


def _named(plant: Plant, kind: str) -> Iterable[tuple[str, str, str, str]]:
    """Code, owner, name and note of everything of a kind."""
    if kind == "payoff":
        for station in plant.stations.values():
            for payoff in station.payoffs:
                yield payoff.code, station.code, payoff.name, station.name
        return
    table: Any = getattr(plant, f"{kind}s")
    for code, thing in table.items():
        yield code, "", thing.name, getattr(thing, "use", kind)
