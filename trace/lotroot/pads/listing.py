"""Which labels were set aside for which station, what became of each, and what can a station's pad be for?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.genealogy.walks import lots_numbered
from lotroot.identity import Number
from lotroot.processes.definition import Plant, Station
from lotroot.reserved import pad_range, pad_ranges, spent_labels

USED, ANSWERED, DESTROYED, OUT = "used", "answered", "destroyed", "out"
"""What became of a label: goods were recorded with it, it answers for goods, it is gone, or none of these."""

MOST = 40
"""Pads of a list, the latest."""


@dataclass(frozen=True)
class PadLabel:
    """One label: `number`, its `state`, the `goods` it is on, when that was recorded (0: not), and why."""

    number: str
    state: str
    goods: str = ""
    at: int = 0
    reason: str = ""


@dataclass(frozen=True)
class PadGiven:
    """One pad: the event that gave it, station (empty: none), who got it when (us UTC), and its labels."""

    event: int
    letter: str
    station: str
    person: str
    at: int
    labels: tuple[PadLabel, ...]

    def of(self, *states: str) -> list[PadLabel]:
        """Its labels of some states, in order."""
        return [one for one in self.labels if one.state in states]

    @property
    def numbers(self) -> tuple[str, ...]:
        """All numbers, in order."""
        return tuple(one.number for one in self.labels)


def pads_given(connection: Connection, station: str = "", most: int = MOST) -> list[PadGiven]:
    """The last pads, of one station or of all, the latest first; numbers that a restore skipped are none."""
    return _told(connection, pad_ranges(connection, station, most))


def pad_or_none(connection: Connection, event: int) -> PadGiven | None:
    """The pad that an event gave."""
    found = _told(connection, pad_range(connection, event))
    return found[0] if found else None


def _told(connection: Connection, rows: Sequence[Row[Any]]) -> list[PadGiven]:
    numbers = {row.event: _numbers(row) for row in rows}
    every = [one for several in numbers.values() for one in several]
    lots, spent = lots_numbered(connection, every), spent_labels(connection, every)
    return [
        PadGiven(
            row.event,
            row.letter,
            row.station,
            row.person,
            row.given_at,
            tuple(_label(number, lots.get(number), spent.get(number)) for number in numbers[row.event]),
        )
        for row in rows
    ]


def _numbers(row: Row[Any]) -> Sequence[str]:
    return [str(Number(row.letter, row.year % 100, one)) for one in range(row.first, row.last + 1)]


def _label(number: str, lot: Row[Any] | None, spent: Row[Any] | None) -> PadLabel:
    if lot is not None:
        return PadLabel(number, USED, number, lot.born_at, "taken back since" if lot.voided else "")
    if spent is None:
        return PadLabel(number, OUT)
    return PadLabel(number, spent.state, spent.goods, spent.at, spent.reason)


def letters_at(plant: Plant, station: Station) -> dict[str, list[str]]:
    """The letters of what a station makes, each with its kinds; of what comes in, where it works nothing."""
    found: dict[str, list[str]] = {}
    for code in made_at(plant, station) if station.processes else received_kinds(plant):
        kind = plant.kind(code)
        names = found.setdefault(kind.letter, [])
        if kind.name not in names:
            names.append(kind.name)
    return found


def made_at(plant: Plant, station: Station) -> list[str]:
    """The kinds of lot a station makes; what goes through it unchanged keeps its number and needs none."""
    processes = [plant.process(code) for code in station.processes]
    return [one.kind for process in processes if process.feed != "as_is" for one in process.outputs]


def received_kinds(plant: Plant) -> list[str]:
    """The kinds of lot that no process makes: what comes from outside."""
    made = {one.kind for process in plant.processes.values() for one in process.outputs}
    return [code for code in plant.kinds if code not in made]
