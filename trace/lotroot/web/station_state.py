"""How does a station stand: which run, what is loaded and left, what was made, what comes next?

Everything is read from the record, so that another tablet, or this one after a power cut, shows the same.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy import Row

from lotroot.plant.adopted import number_of, thing_or_none
from lotroot.processes.definition import Output, Plant, Process, Product, Role, Station
from lotroot.production.remainders import reckoned_left
from lotroot.production.runs import Run, find_run, latest_runs, open_runs_at
from lotroot.stock.standing import at_spot
from lotroot.web.scene import Scene

_LANES = re.compile(r"lanes (\d+(?: \d+)*) mm")
UNIT_OF = {"weight": "g", "count": "pcs", "length": "mm", "volume": "ml", "cut": "pcs"}
"""The base unit of what an output asks."""


@dataclass(frozen=True)
class State:
    """One station at one moment. `run` is None where none is open; `process` is then the one it would be.

    `chosen` is the output that the next number is of, None where that is not one number.
    """

    scene: Scene
    station: Station
    process: Process
    run: Run | None
    chosen: Output

    @property
    def plant(self) -> Plant:
        """The plant in force."""
        return self.scene.plant

    @property
    def loads(self) -> list[Row[Any]]:
        """What stands on the payoffs now."""
        return self.run.loaded if self.run else []

    @property
    def product(self) -> Product | None:
        """What the run makes, or the next one would by habit."""
        code = str(self.run.row.product) if self.run else usual(self.scene, self.process)
        return self.plant.products.get(code)

    @property
    def main(self) -> Output:
        """What the process is for."""
        return next(output for output in self.process.outputs if not output.by_product)

    @property
    def lacking(self) -> list[Role]:
        """The inputs that must be there, of streams of which nothing was loaded in this run yet."""
        streams = {one.stream for one in self.run.inputs} if self.run else set()
        return [role for role in self.process.inputs if role.least and role.stream not in streams]

    @property
    def told_by_itself(self) -> bool:
        """Whether tags and widths tell what each output is, so that nobody chooses a product beforehand."""
        return bool({"of", "lane"} & set(self.main.asks)) or self.process.feed == "as_is"

    @property
    def asks(self) -> str:
        """What comes next: weight, count, length, volume or cut; empty where a scan makes the output."""
        return next((one for one in self.chosen.asks if one in UNIT_OF), "")

    @property
    def unit(self) -> str:
        """The base unit of the next number."""
        kind = self.plant.kinds[self.chosen.kind]
        return "cm3" if self.asks == "volume" and kind.unit == "cm3" else UNIT_OF[self.asks or "weight"]

    def role_of(self, kind: str, payoff: str = "") -> Role | None:
        """The input a lot of a kind would be, on a payoff or on any."""
        fitting = [role for role in self.process.inputs if kind in role.kinds]
        return next((one for one in fitting if not payoff or payoff in (one.payoffs or (payoff,))), None)

    def feed_of(self, stream: str) -> str:
        """How a stream's inputs reach the outputs."""
        roles = [role for role in self.process.inputs if role.stream == stream]
        return next((role.feed for role in roles if role.feed), self.process.feed)

    def left(self, load: Row[Any]) -> int:
        """What should be left of a load, in its lot's unit."""
        return reckoned_left(self.run, load) if self.run else 0

    def made_of(self, output: Output) -> list[Row[Any]]:
        """What this run made as one of its outputs, in order."""
        return [one for one in self.run.outputs if one.output == output.code] if self.run else []

    @property
    def stopped(self) -> bool:
        """Whether the run stands still since a WAIT."""
        marks = (
            [mark.kind for mark in self.run.marks if mark.kind in ("stopped", "started")] if self.run else []
        )
        return bool(marks) and marks[-1] == "stopped"


def state_of(scene: Scene) -> State | None:
    """How the scene's station stands; None where it works no process."""
    if scene.at is None or not scene.at.processes:
        return None
    rows = open_runs_at(scene.connection, scene.station)
    run = find_run(scene.connection, rows[0].number) if rows else None
    code = str(run.row.process) if run else str(scene.context.get("process") or last_process(scene))
    process = scene.plant.process(code)
    main = next(output for output in process.outputs if not output.by_product)
    chosen = process.output(str(scene.context.get("output", ""))) or main
    return State(scene, scene.at, process, run, chosen)


def drained_here(state: State) -> str:
    """The lot that drained back in this run and still stands in the station's own vessel; empty for none."""
    if state.run is None or not state.station.vessel:
        return ""
    connection = state.scene.connection
    here = number_of(connection, "vessel", state.station.vessel)
    standing = {row.lot for row in at_spot(connection, here)}
    codes = {one.code for one in state.process.outputs if one.by_product}
    mine = [one.lot for one in state.run.outputs if one.output in codes and one.lot in standing]
    return str(mine[-1]) if mine else ""


def last_process(scene: Scene) -> str:
    """The process worked last at the scene's station, else its usual one."""
    codes = scene.at.processes if scene.at else ()
    latest = [row for code in codes for row in latest_runs(scene.connection, scene.station, code)[:1]]
    return str(max(latest, key=lambda row: row.opened_event).process) if latest else codes[0]


def usual(scene: Scene, process: Process) -> str:
    """The product a process made last at the scene's station, else the only one it can make, else none."""
    for row in latest_runs(scene.connection, scene.station, process.code):
        if row.product in scene.plant.products:
            return str(row.product)
    can = products_of(scene.plant, process)
    return can[0].code if len(can) == 1 else ""


def products_of(plant: Plant, process: Process) -> list[Product]:
    """What a process can make as its main output."""
    main = next(output for output in process.outputs if not output.by_product)
    codes = main.products or tuple(one.code for one in plant.products.values() if one.kind == main.kind)
    return [plant.product(code) for code in codes]


def fitting(products: Iterable[Product], loaded: Product | None) -> list[Product]:
    """Which products can come of what is loaded: those of its size, else of its wire, else all."""
    every = list(products)
    if loaded is None:
        return every
    for name in ("size", "wire_mm"):
        same = [one for one in every if getattr(one, name) and getattr(one, name) == getattr(loaded, name)]
        if same:
            return same
    return every


def of_width(products: Iterable[Product], width: int) -> str:
    """The one product that is so many mm wide; empty where none or several are."""
    found = [one.code for one in products if one.width_mm and Decimal(one.width_mm) == width]
    return found[0] if len(found) == 1 else ""


def products_at(plant: Plant, station: Station) -> Mapping[str, Process]:
    """What can be made at a station, and by which of its processes; the usual process first."""
    found: dict[str, Process] = {}
    for code in station.processes:
        process = plant.process(code)
        for product in products_of(plant, process):
            found.setdefault(product.code, process)
    return found


def payoff_name(state: State, code: str) -> str:
    """What a payoff is called."""
    return next((one.name for one in state.station.payoffs if one.code == code), code)


def kind_of_carrier(scene: Scene, code: str) -> str:
    """The kind of a permanent carrier: pan, tram, spool."""
    found = scene.plant.carriers.get(code)
    return found.kind if found else ""


def lanes(state: State) -> list[int]:
    """The widths cut across the coil, mm from the operator side: the edge trim first, then each strip.

    They stand in the run as a note, so that they are typed once a set of knives; empty while unknown.
    """
    for mark in reversed(state.run.marks if state.run else []):
        found = _LANES.fullmatch(mark.words) if mark.kind == "note" else None
        if found:
            return [int(width) for width in found[1].split()]
    return []


def lane_words(widths: list[int]) -> str:
    """The note that keeps the widths."""
    return f"lanes {' '.join(map(str, widths))} mm"


def next_lane(state: State) -> tuple[int, int, int] | None:
    """The strip that is weighed next: its place in the row from 1, and where it runs, mm from mm.

    After the last one of a coil the row begins anew.
    """
    widths = lanes(state)
    if len(widths) < 2:
        return None
    since = max((load.event for load in state.loads), default=0)
    done = len([one for one in state.made_of(state.chosen) if one.event > since])
    place = done % (len(widths) - 1) + 1
    start = sum(widths[:place])
    return place, start, start + widths[place]


def tools(state: State) -> list[str]:
    """The codes of the die sets, moulds or knives that work in the run now."""
    uses = [use.thing for use in state.run.uses if use.until is None] if state.run else []
    rows = [thing_or_none(state.scene.connection, number) for number in uses]
    return [row.code for row in rows if row is not None]
