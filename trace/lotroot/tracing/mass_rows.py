"""What did the closed runs of some production days use and make, by unit and kind, as the record has it?

Days are as `run_balance.day` has them, 2026-11-24, both ends included. A fixed number of statements, however
many runs there were.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Row, and_, bindparam, case, distinct, func, or_, select

from lotroot.genealogy.tables import item_mass, lot
from lotroot.identity import Family
from lotroot.processes.definition import Plant
from lotroot.production.tables import run_input, run_output
from lotroot.quantities import share_out
from lotroot.receiving.arriving import RECEIVED
from lotroot.reconciliation.tables import balance_scrap, run_balance
from lotroot.stock.tables import carrier, standing
from lotroot.tracing.mass_days import THESE, Days
from lotroot.tracing.mass_flow import (
    PALLET,
    SHIPPED,
    STOCK,
    Facts,
    Made,
    Step,
    Taken,
    Thrown,
)
from lotroot.work import MICROSECONDS

_off = run_balance.c.difference
_steps = (
    select(
        run_balance.c.process,
        run_balance.c.unit,
        func.count(distinct(run_balance.c.run)).label("runs"),
        *(
            func.sum(run_balance.c[name]).label(name)
            for name in ("loaded", "returned", "good", "by_product", "scrap", "loss")
        ),
        func.sum(case((_off > 0, _off), else_=0)).label("missing"),
        func.sum(case((_off < 0, -_off), else_=0)).label("excess"),
    )
    .where(THESE)
    .group_by(run_balance.c.process, run_balance.c.unit)
)
_received = case((and_(lot.c.source == RECEIVED, lot.c.born_at >= bindparam("began")), 1), else_=0).label(
    "received"
)
_of_step = (run_balance.c.process, run_balance.c.unit)
_loads = (
    select(
        *_of_step,
        lot.c.kind,
        _received,
        func.sum(run_input.c.amount).label("loaded"),
        func.sum(run_input.c.remainder).label("returned"),
    )
    .select_from(run_balance)
    .join(run_input, and_(run_input.c.run == run_balance.c.run, run_input.c.stream == run_balance.c.stream))
    .join(lot, lot.c.number == run_input.c.lot)
    .where(THESE, run_input.c.voided == 0)
    .group_by(*_of_step, lot.c.kind, _received)
    .order_by(*_of_step, lot.c.kind, _received)
)
_own = case((run_output.c.stream == run_balance.c.stream, run_output.c.own), else_=0)
_same = case((run_output.c.stream == run_balance.c.stream, 1), else_=0).label("same")
_outputs = (
    select(
        *_of_step,
        run_output.c.output,
        lot.c.kind,
        _same,
        func.sum(run_output.c.amount).label("amount"),
        func.sum(_own).label("own"),
    )
    .select_from(run_balance)
    .join(run_output, run_output.c.run == run_balance.c.run)
    .join(lot, lot.c.number == run_output.c.lot)
    .where(THESE, run_output.c.voided == 0)
    .group_by(*_of_step, run_output.c.output, lot.c.kind, _same)
    .order_by(*_of_step, run_output.c.output, lot.c.kind, _same)
)
_thrown = (
    select(*_of_step, balance_scrap.c.reason, func.sum(balance_scrap.c.amount).label("amount"))
    .select_from(run_balance)
    .join(
        balance_scrap,
        and_(balance_scrap.c.event == run_balance.c.event, balance_scrap.c.stream == run_balance.c.stream),
    )
    .where(THESE)
    .group_by(*_of_step, balance_scrap.c.reason)
    .order_by(*_of_step, balance_scrap.c.reason)
)
_made_then = (
    select(run_output.c.lot)
    .join(run_balance, run_balance.c.run == run_output.c.run)
    .where(THESE, run_output.c.voided == 0)
)
_sent = or_(standing.c.spot.startswith(Family.SHIPMENT), carrier.c.spot.startswith(Family.SHIPMENT))
_where = case((_sent, SHIPPED), (carrier.c.kind == "pallet", PALLET), else_=STOCK).label("place")
_from = case((item_mass.c.first > standing.c.first, item_mass.c.first), else_=standing.c.first)
_to = case((item_mass.c.last < standing.c.last, item_mass.c.last), else_=standing.c.last)
_by_items = (
    select(func.sum(item_mass.c.mass * (_to - _from + 1) // (item_mass.c.last - item_mass.c.first + 1)))
    .where(item_mass.c.lot == standing.c.lot, item_mass.c.first > 0)
    .where(item_mass.c.first <= standing.c.last, item_mass.c.last >= standing.c.first)
    .scalar_subquery()
)
_grams = case(
    (lot.c.unit == "g", standing.c.amount),
    else_=func.coalesce(_by_items, standing.c.amount * lot.c.mass // func.nullif(lot.c.amount, 0)),
)
_stands = (
    select(
        lot.c.kind,
        _where,
        func.sum(standing.c.amount).label("own"),
        func.sum(_grams).label("grams"),
        func.count().label("rows"),
        func.count(_grams).label("weighed"),
    )
    .select_from(standing)
    .join(lot, lot.c.number == standing.c.lot)
    .outerjoin(carrier, carrier.c.number == standing.c.spot)
    .where(standing.c.lot.in_(_made_then))
    .group_by(lot.c.kind, _where)
)


def mass_facts(connection: Connection, days: Days, plant: Plant | None) -> list[Facts]:
    """What happened, one part a unit, the unit most runs closed in first."""
    query = {**days._asdict(), "began": _began(days.first, plant)}
    asked = {
        name: connection.execute(statement, query).all()
        for name, statement in (
            ("steps", _steps),
            ("loads", _loads),
            ("outputs", _outputs),
            ("thrown", _thrown),
            ("stands", _stands),
        )
    }
    runs = Counter({row.unit: 0 for row in asked["steps"]})
    for row in asked["steps"]:
        runs[row.unit] += row.runs
    return [_facts(unit, asked, plant) for unit in sorted(runs, key=lambda unit: (-runs[unit], unit))]


def _began(day: str, plant: Plant | None) -> int:
    """When a production day begins, in microseconds UTC."""
    hours, _, minutes = (plant.day_start if plant else "00:00").partition(":")
    zone = ZoneInfo(plant.zone if plant else "UTC")
    at = datetime.combine(date.fromisoformat(day), datetime.min.time(), zone)
    return int(at.replace(hour=int(hours), minute=int(minutes)).timestamp()) * MICROSECONDS


def _facts(unit: str, asked: Mapping[str, Sequence[Row[Any]]], plant: Plant | None) -> Facts:
    order = list(plant.processes) if plant else []
    mine = {name: [row for row in rows if getattr(row, "unit", unit) == unit] for name, rows in asked.items()}
    steps = sorted(
        mine["steps"], key=lambda row: (row.process not in order, _place(order, row.process), row.process)
    )
    made = [one for step in steps for one in _made(step, mine["outputs"], plant)]
    return Facts(
        unit,
        tuple(Step(row.process, int(row.loss), int(row.missing), int(row.excess)) for row in steps),
        tuple(one for step in steps for one in _taken(step, mine["loads"])),
        tuple(made),
        tuple(one for step in steps for one in _scrapped(step, mine["thrown"])),
        _standing(unit, made, asked),
    )


def _place(order: Sequence[str], process: str) -> int:
    return order.index(process) if process in order else 0


def _dealt(total: int, weights: Sequence[int]) -> list[int]:
    """An amount over parts that should sum to it, and do unless the record is older than its balance."""
    return share_out(total, weights if any(weights) else [1] * len(weights)) if weights else []


def _taken(step: Row[Any], loads: Sequence[Row[Any]]) -> list[Taken]:
    rows = [row for row in loads if row.process == step.process]
    loaded = _dealt(int(step.loaded), [int(row.loaded) for row in rows])
    returned = _dealt(int(step.returned), [int(row.returned) for row in rows])
    return [
        Taken(step.process, row.kind, each, back, bool(row.received))
        for row, each, back in zip(rows, loaded, returned, strict=True)
    ]


def _made(step: Row[Any], outputs: Sequence[Row[Any]], plant: Plant | None) -> list[Made]:
    """Goods and by-products by kind; what another stream gave is in the goods, as solution is in the wood."""
    process = plant.processes.get(step.process) if plant else None
    rows = [row for row in outputs if row.process == step.process]
    defined = {row.output: process.output(row.output) if process else None for row in rows}
    beside = [row for row in rows if (output := defined[row.output]) is not None and output.by_product]
    goods = [row for row in rows if row not in beside] or rows
    own = [row for row in goods if row.same] or goods
    found: Counter[str] = Counter()
    for total, some in ((int(step.good), own), (int(step.by_product), beside or own)):
        for row, amount in zip(some, _dealt(total, [int(row.amount) for row in some]), strict=True):
            found[row.kind] += amount
    return [Made(step.process, kind, amount) for kind, amount in found.items()]


def _scrapped(step: Row[Any], thrown: Sequence[Row[Any]]) -> list[Thrown]:
    rows = [row for row in thrown if row.process == step.process]
    parts = _dealt(int(step.scrap), [int(row.amount) for row in rows])
    return [Thrown(step.process, row.reason, part) for row, part in zip(rows, parts, strict=True)]


def _standing(
    unit: str, made: Sequence[Made], asked: Mapping[str, Sequence[Row[Any]]]
) -> dict[tuple[str, str], int]:
    """What stands where, in the unit of the picture: by what it weighs, else by its part of what was made.

    Bundles of one lot weigh unlike, so pieces tell only where nobody knows grams.
    """
    total, own = Counter[str](), Counter[str]()
    for one in made:
        total[one.kind] += one.amount
    for row in asked["outputs"]:
        own[row.kind] += int(row.own)
    found: dict[tuple[str, str], int] = {}
    for kind, amount in total.items():
        rows = [row for row in asked["stands"] if row.kind == kind]
        weighs = unit == "g" and all(row.weighed == row.rows for row in rows)
        stands = {row.place: max(int(row.grams if weighs else row.own), 0) for row in rows}
        # Below nothing where a lot was topped up later.
        gone = max((amount if weighs else own[kind]) - sum(stands.values()), 0)
        parts = _dealt(amount, [*stands.values(), gone])
        found |= {(kind, place): part for place, part in zip(stands, parts, strict=False)}
    return found
