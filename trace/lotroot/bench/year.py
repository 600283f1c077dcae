"""How does a year of balances get into a database, for a plant of 23,000 coils?

The days are those of `synthetic`: a run for every coil drawn or slit and for every nail lot, tumbler load,
packing and roll; heats are followed from coil to box, and where several meet they are several. Rows go
straight into the tables of balances, their sums by the very function that keeps them up.
"""

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from random import Random
from typing import Any, NamedTuple

from sqlalchemy import Connection, insert

from lotroot.balance.reconciling import BEYOND, WITHIN_SCALES, WITHIN_TOLERANCE
from lotroot.bench.goods import Day, Lot
from lotroot.bench.synthetic import Plant
from lotroot.identity.numbers import make
from lotroot.reconciliation.origins import SEVERAL
from lotroot.reconciliation.sums import Figures, add, balance_sum, parts, rows_of
from lotroot.reconciliation.tables import balance_scrap, balance_source, run_balance

DAYS = 350
"""Of 66 coils: 23,100."""
FIRST_EVENT = 50_000_000
"""Beyond those of any demo plant; what is closed there later has lower numbers, which nobody minds here."""
SUPPLIERS = ("nordhavn", "bellmead", "corvane")
COILS_A_HEAT = 20
SHIFTS = ("early", "late", "night")
REASONS = ("ends", "trim", "setup", "damaged", "rust")

WORK = {
    "stripper": ("wire_drawing", "wire_25", ("draw_1", "draw_2")),
    "nails": ("nail_making", "nail_25x50", ("nail_1", "nail_2", "nail_3")),
    "bright nails": ("tumbling", "tumbled_25x50", ("tumbler_1", "tumbler_2")),
    "boxes": ("box_packing", "box_25x50", ("packing",)),
    "fence": ("chain_link_galvanised", "fence", ("weaver_1", "weaver_2")),
    "strip": ("slitting", "strip", ("slitter",)),
    "tiles": ("tile_pressing", "tile", ("tile_press",)),
    "treated pack": ("pressure_treating", "pack", ("treating",)),
}
"""Which process makes a kind of lot of `synthetic`, of which product, at which stations."""


class Load(NamedTuple):
    """A part of what a run used: supplier, heat and amount."""

    supplier: str
    heat: str
    amount: int


class Balance(NamedTuple):
    """One run as a row of `run_balance`."""

    event: int
    stream: str
    run: str
    process: str
    product: str
    station: str
    day: str
    shift: str
    closed: int
    unit: str
    loaded: int
    returned: int
    good: int
    by_product: int
    scrap: int
    loss: int
    difference: int
    spread: int
    tolerance: int
    basis: str
    verdict: str
    other_good: int
    other_spread: int
    reckoned: int
    known: int
    replaced: None = None
    replaced_by: None = None


class Year:
    """Balances of so many days up to `last`, written day by day; `stations` gives the number of a code."""

    def __init__(self, last: date, stations: dict[str, str], days: int = DAYS, seed: int = 1) -> None:
        self._random = Random(seed)
        self._plant = Plant(seed)
        self._first, self._days = last - timedelta(days=days - 1), days
        self._stations = stations
        self._from: dict[int, tuple[str, str]] = {}
        self._sums: dict[tuple[Any, ...], Figures] = {}
        self.coils = self.runs = 0

    def write(self, connection: Connection) -> None:
        """Write all of it."""
        for day in self._plant.days(self._days):
            self._write_day(connection, day)
        columns = [column.name for column in balance_sum.columns]
        rows = [dict(zip(columns, (*key, *figures), strict=True)) for key, figures in self._sums.items()]
        add(connection, rows)

    def _write_day(self, connection: Connection, day: Day) -> None:
        balances, sources, scrap = [], [], []
        for lots in self._runs_of(day):
            loads = list(self._loads(lots))
            row = self._balance(day.day, lots, loads)
            balances.append(row._asdict())
            mine = list(_sources(row, loads))
            thrown = [_scrap(row, self._random.choice(REASONS))] if row.scrap else []
            sources += mine
            scrap += thrown
            self._add(row, mine, thrown)
        for table, some in ((run_balance, balances), (balance_source, sources), (balance_scrap, scrap)):
            connection.execute(insert(table), some)

    def _runs_of(self, day: Day) -> Iterator[list[Lot]]:
        """The lots of each run: strippers and strips are those of one coil, any other lot has its own."""
        together: dict[tuple[str, int], list[Lot]] = {}
        for one in day.lots:
            if not one.links:
                self._receive(one)
            elif one.kind in WORK:
                of_coil = one.links[-1].parent if one.kind in ("stripper", "strip") else one.id
                together.setdefault((one.kind, of_coil), []).append(one)
        yield from together.values()

    def _receive(self, one: Lot) -> None:
        heat = self.coils // COILS_A_HEAT
        self._from[one.id] = (SUPPLIERS[heat % len(SUPPLIERS)], f"H{70_000 + heat}")
        self.coils += one.kind in ("coil", "coated coil")

    def _loads(self, lots: list[Lot]) -> Iterator[Load]:
        """What the run used by supplier and heat; each lot made is of what all its loads were."""
        used: dict[tuple[str, str], int] = {}
        for one in lots:
            origins = {self._from.get(link.parent, ("", "")) for link in one.links}
            self._from[one.id] = origins.pop() if len(origins) == 1 else (SEVERAL, SEVERAL)
            for link in one.links:
                key = self._from.get(link.parent, ("", ""))
                used[key] = used.get(key, 0) + link.given
        yield from (Load(*key, amount) for key, amount in used.items())

    def _balance(self, day: int, lots: list[Lot], loads: list[Load]) -> Balance:
        process, product, stations = WORK[lots[0].kind]
        self.runs += 1
        used = sum(load.amount for load in loads)
        scrap = used // 100 if self._random.random() < 0.3 else 0
        difference = int(used * self._random.uniform(-0.002, 0.02))
        tolerance = used // 50
        verdict = BEYOND if self._random.random() < 0.02 else WITHIN_TOLERANCE
        when = self._first + timedelta(days=day)
        closed = int((when - date(1970, 1, 1)).total_seconds() + self.runs % 80_000) * 1_000_000
        good = used - scrap - difference
        return Balance(
            FIRST_EVENT + self.runs,
            "steel",
            str(make("U", 25, self.runs)),
            process,
            f"{product}_{self._random.randrange(4)}" if self._random.random() < 0.8 else product,
            self._stations[self._random.choice(stations)],
            str(when),
            self._random.choice(SHIFTS),
            closed,
            "g",
            used,
            0,
            good,
            0,
            scrap,
            0,
            difference,
            used // 500,
            tolerance,
            "weighed",
            verdict if difference else WITHIN_SCALES,
            0,
            0,
            0,
            closed,
        )

    def _add(self, row: Balance, sources: Iterable[Any], scrap: Iterable[Any]) -> None:
        some = list(parts(row, [_Row(**one) for one in sources], [_Thrown(**one) for one in scrap]))
        for sums in rows_of(row, some):
            key = tuple(value for name, value in sums.items() if name not in Figures._fields)
            figures = Figures(*(sums[name] for name in Figures._fields))
            self._sums[key] = self._sums.get(key, Figures()).plus(figures)


class _Row(NamedTuple):
    event: int
    stream: str
    seq: int
    role: str
    supplier: str
    heat: str
    loaded: int
    returned: int
    taken: int
    scrap: int
    difference: int


class _Thrown(NamedTuple):
    event: int
    stream: str
    seq: int
    reason: str
    how: str
    amount: int


def _sources(row: Balance, loads: list[Load]) -> Iterator[dict[str, Any]]:
    for seq, load in enumerate(loads):
        off = row.difference * load.amount // row.loaded if row.loaded else 0
        scrap = row.scrap * load.amount // row.loaded if row.loaded else 0
        taken = load.amount - off - scrap
        key = (row.event, row.stream, seq, "in", load.supplier, load.heat)
        yield _Row(*key, load.amount, 0, taken, scrap, off)._asdict()


def _scrap(row: Balance, reason: str) -> dict[str, Any]:
    return _Thrown(row.event, row.stream, 0, reason, "weighed", row.scrap)._asdict()
