"""Which sources is this of, and what stood between: runs, machines, people, tools, checks?

The common cause of a complaint is looked for here; `siblings` says where everything else of it is.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, bindparam, or_

from lotroot.genealogy.walks import AT_ONCE
from lotroot.plant.adopted import plant_of
from lotroot.processes.definition import Plant
from lotroot.production.runs import Run
from lotroot.quality.checks import JUDGED
from lotroot.quality.facts import checked
from lotroot.tracing.asking import Asked, asked, asked_whole
from lotroot.tracing.chapters import CheckFacts, LotFacts, RunFacts, SourceFacts
from lotroot.tracing.downward import down
from lotroot.tracing.lineage import Kinsman, Lineage, OnHand, Shipped, Streams
from lotroot.tracing.lot_facts import lot_facts, source_facts_of
from lotroot.tracing.run_facts import run_facts
from lotroot.tracing.run_rows import runs_loading, runs_numbered
from lotroot.tracing.standing_facts import check
from lotroot.tracing.upward import up
from lotroot.tracing.words import Named, Words

_checks = JUDGED.where(
    or_(
        checked.c.lot.in_(bindparam("some", expanding=True)),
        checked.c.subject.in_(bindparam("some", expanding=True)),
    )
).order_by(checked.c.event, checked.c.seq)


@dataclass(frozen=True)
class Origin:
    """A lot the asked goods came from in the end: received, here before the system, or a gap.

    `part` is what of the asked came from it, by stream, in the asked lot's unit.
    """

    lot: LotFacts
    source: SourceFacts | None
    part: Streams
    basis: str
    gap: bool
    held: bool


@dataclass(frozen=True)
class Between:
    """A run on the way, and the lots of this lineage that it made or that went through it.

    `resources` are the die sets, moulds and knives that were in while those lots were made.
    """

    run: RunFacts
    lots: tuple[Named, ...]
    resources: tuple[Named, ...]
    checks: tuple[CheckFacts, ...]


@dataclass(frozen=True)
class Origins:
    """The sources of the asked goods and all that stood between, runs in the order they were opened."""

    lineage: Lineage
    sources: tuple[Origin, ...]
    between: tuple[Between, ...]
    checks: tuple[CheckFacts, ...]

    @property
    def machines(self) -> tuple[Named, ...]:
        """The stations of the runs between."""
        return tuple(dict.fromkeys(one.run.station for one in self.between))

    @property
    def people(self) -> tuple[Named, ...]:
        """Everybody who worked in the runs between."""
        return tuple(dict.fromkeys(person for one in self.between for person in one.run.people))

    @property
    def resources(self) -> tuple[Named, ...]:
        """The tools that were in."""
        return tuple(dict.fromkeys(thing for one in self.between for thing in one.resources))


@dataclass(frozen=True)
class Siblings:
    """Everything else of the same sources: which lots, what stands where, and what left to whom.

    `without` says what was asked and is left out; parts are those of the sources.
    """

    without: Asked
    sources: tuple[str, ...]
    lots: tuple[Kinsman, ...]
    on_hand: tuple[OnHand, ...]
    shipments: tuple[Shipped, ...]


def origins(connection: Connection, number: str) -> Origins:
    """The sources of a lot, item, carrier, run or shipment. Raises Unknown, Unreadable."""
    lineage = up(connection, asked(connection, number))
    words = Words(connection)
    ends = lineage.ends
    told = source_facts_of(connection, [one.lot.number for one in ends], words)
    lots = {one.lot.number: one.lot for one in lineage.lots}
    runs = _runs(connection, lots)
    checks = _checks_of(connection, [*lots, *(run.number for run in runs)], words)
    words.learn(one.lot for run in runs for one in (*run.inputs, *run.outputs))
    return Origins(
        lineage,
        tuple(
            Origin(
                lot_facts(one.lot, words),
                told.get(one.lot.number),
                one.part,
                one.basis,
                one.gap,
                one.held,
            )
            for one in ends
        ),
        tuple(_between(run, set(lots), checks, words) for run in runs),
        tuple(checks),
    )


def siblings(connection: Connection, number: str) -> Siblings:
    """Everything else made of the sources of a lot, item, carrier, run or shipment, and what is left of them.

    Raises Unknown, Unreadable.
    """
    what = asked(connection, number)
    ends = [one.lot for one in up(connection, what).lots if one.source or one.gap]
    found = down(connection, asked_whole(connection, what.number, "lot", ends), apart_from=what)
    whole = {part.lot.number for part in what.parts if part.whole}
    return Siblings(
        what,
        tuple(lot.number for lot in ends),
        tuple(one for one in found.lots if one.lot.number not in whole),
        found.on_hand,
        found.shipments,
    )


def _runs(connection: Connection, lots: dict[str, Row[Any]]) -> list[Run]:
    """The runs that made some lots, and those they went through under their own number."""
    made = {lot.run for lot in lots.values()} - {""}
    loading = runs_loading(connection, lots)
    versions: dict[str, Plant] = {}
    found = []
    for run in runs_numbered(connection, made | loading):
        if run.row.plant not in versions:
            versions[run.row.plant] = plant_of(connection, run.row.plant)
        as_is = versions[run.row.plant].process(run.row.process).feed == "as_is"
        if run.number in made or as_is:
            found.append(run)
    return found


def _between(run: Run, lots: set[str], checks: list[CheckFacts], words: Words) -> Between:
    outputs = [(one.lot, one.began, one.ended) for one in run.outputs if one.lot in lots]
    through = [
        (one.lot, one.at, one.unloaded_at or one.ended_at or run.row.closed or one.at)
        for one in run.inputs
        if one.lot in lots and not outputs
    ]
    met = outputs or through
    tools = [
        words.named(use.thing)
        for use in run.uses
        if any(use.since <= ended and (use.until is None or use.until >= began) for _, began, ended in met)
    ]
    mine = {lot for lot, _, _ in met}
    return Between(
        run_facts(run, words),
        tuple(words.named(lot) for lot in sorted(mine)),
        tuple(dict.fromkeys(tools)),
        tuple(one for one in checks if one.lot in mine or one.subject.number == run.number),
    )


def _checks_of(connection: Connection, numbers: Iterable[str], words: Words) -> list[CheckFacts]:
    some = sorted(set(numbers))
    rows: dict[tuple[int, int], Row[Any]] = {}
    for start in range(0, len(some), AT_ONCE):
        for row in connection.execute(_checks, {"some": some[start : start + AT_ONCE]}):
            rows[row.event, row.seq] = row
    return [check(rows[key], words) for key in sorted(rows)]
