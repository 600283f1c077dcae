"""In which streams does a lot's amount count, and how much of each is in it?

A lot of one stream counts all of its own amount there, in its own unit. Of several streams, those that
close in the same unit as the lot's own share its amount by what they gave (steel and PVC); any other
counts what it gave, in its closing unit (ml of solution in treated packs).
"""

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.genealogy.walks import AT_ONCE
from lotroot.plant.adopted import plant_of, plant_or_none
from lotroot.processes.definition import Plant, Process
from lotroot.production.tables import run
from lotroot.quantities import share_out
from lotroot.tracing.kin import Kin

_runs = select(run.c.number, run.c.process, run.c.plant).where(
    run.c.number.in_(bindparam("numbers", expanding=True))
)


class Nature(NamedTuple):
    """What the links of a lot gave by stream, and which of the streams share its own amount."""

    given: Mapping[str, int]
    sharing: tuple[str, ...]


def natures(connection: Connection, kin: Kin, lots: Iterable[int]) -> dict[int, Nature]:
    """The natures of some lots, by id."""
    found: dict[int, Nature] = {}
    doubtful: dict[int, dict[str, int]] = {}
    for lot in lots:
        given: dict[str, int] = {}
        for link in kin.links.get(lot, ()):
            given[link.stream] = given.get(link.stream, 0) + link.given
        if len(given) == 1:
            found[lot] = Nature(given, tuple(given))
        else:
            doubtful[lot] = given
    plants = _Plants(connection, {kin.lots[lot].run for lot in doubtful} - {""})
    for lot, given in doubtful.items():
        found[lot] = _by_process(plants, kin.lots[lot], given)
    return found


def divided(nature: Nature, amount: int, whole: int) -> dict[str, int]:
    """An amount of a lot that amounts to `whole`, by stream; what shares the amount adds up to it."""
    weights = [nature.given.get(stream, 0) for stream in nature.sharing]
    if not any(weights):
        weights = [1] + [0] * (len(weights) - 1)
    found = dict(zip(nature.sharing, share_out(amount, weights), strict=True))
    for stream, given in nature.given.items():
        if stream not in found:
            found[stream] = given * amount // whole if whole else 0
    return found


def stream_units(connection: Connection, kin: Kin, lots: Iterable[int]) -> dict[int, dict[str, str]]:
    """The base unit in which parts of some lots, by id, are told in each of their streams."""
    some = list(lots)
    plants = _Plants(connection, {kin.lots[lot].run for lot in some} - {""})
    found: dict[int, dict[str, str]] = {}
    for lot, nature in natures(connection, kin, some).items():
        row = kin.lots[lot]
        process = plants.process_of(row)
        closing = process.streams if process else {}
        found[lot] = {stream: closing.get(stream, row.unit) for stream in nature.given}
        found[lot].update(dict.fromkeys(nature.sharing, row.unit))
    return found


class _Plants:
    """The processes some lots were made by, and the plant as it is now for all others."""

    def __init__(self, connection: Connection, numbers: set[str]) -> None:
        self._connection = connection
        self._versions: dict[str, Plant] = {}
        self._processes: dict[str, Process] = {}
        self.now = plant_or_none(connection)
        ordered = sorted(numbers)
        for start in range(0, len(ordered), AT_ONCE):
            for row in connection.execute(_runs, {"numbers": ordered[start : start + AT_ONCE]}):
                self._processes[row.number] = self._version(row.plant).process(row.process)

    def _version(self, digest: str) -> Plant:
        if digest not in self._versions:
            self._versions[digest] = plant_of(self._connection, digest)
        return self._versions[digest]

    def process_of(self, lot: Row[Any]) -> Process | None:
        """The process that made a lot, if one did."""
        return self._processes.get(lot.run)


def _by_process(plants: _Plants, lot: Row[Any], given: dict[str, int]) -> Nature:
    process = plants.process_of(lot)
    own = _stream_made(process, lot) if process else _stream_used(plants.now, lot)
    if not given:
        return Nature({}, (own or lot.kind,))
    if process is None or own not in process.streams:
        return Nature(given, tuple(given))
    unit = process.streams[own]
    sharing = [stream for stream in given if process.streams.get(stream) == unit]
    return Nature(given, tuple(sorted({own, *sharing}, key=lambda stream: (stream != own, stream))))


def _stream_made(process: Process, lot: Row[Any]) -> str:
    """The stream in which a process makes this kind of lot, else its first."""
    made = [output.stream for output in process.outputs if output.kind == lot.kind]
    return (made or list(process.streams))[0]


def _stream_used(plant: Plant | None, lot: Row[Any]) -> str:
    """The stream in which the plant uses this kind of lot, or else makes it; empty if it does neither."""
    if plant is None:
        return ""
    processes = plant.processes.values()
    used = [role.stream for process in processes for role in process.inputs if lot.kind in role.kinds]
    made = [output.stream for process in processes for output in process.outputs if output.kind == lot.kind]
    return next(iter(used + made), "")
