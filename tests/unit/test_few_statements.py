"""Does an answer take as many statements for a thousand lots as for ten, but for one more a 500?"""

from collections.abc import Callable
from contextlib import closing
from typing import Any

import pytest
from family_by_hand import YARD, Family
from lotroot.balance.stretches import Stretch
from lotroot.genealogy.events import LotLink
from lotroot.genealogy.lots import find_lot
from lotroot.holds.facts import HoldPlaced, HoldRootAdded
from lotroot.plant.adopted import plant_or_none
from lotroot.production.facts import InputLoaded
from lotroot.stock.events import CarrierOpened, Move, Moved
from lotroot.tracing import origins, siblings, story, trace
from lotroot.tracing.causes import causes
from lotroot.tracing.stretched import Piece, stretched


def tank(family: Family, days: int, *, in_runs: bool = False) -> tuple[str, str]:
    """A tank that is topped up every day and gives three packs; the first drum and the last pack.

    `in_runs` has every topping recorded as a filling of a run.
    """
    drum = family.lot("concentrate", 10_000_000, source="received")
    before, pack = drum, ""
    for _ in range(days):
        added = family.lot("water", 100_000, source="received")
        before = topped_up(family, (before, 900_000), (added, 100_000), in_run=in_runs)
        for _ in range(3):
            pack = family.made("solution", 10_000, link(before, 10_000))
            pallet = family.number("P")
            family.record(CarrierOpened(pallet, "pallet", YARD))
            family.record(Moved((Move(pack, YARD, pallet, 10_000),)))
    return drum, pack


def topped_up(family: Family, *loads: tuple[str, int], in_run: bool) -> str:
    """What is in the tank once all this is."""
    if not in_run:
        return family.made("solution", 1_000_000, *(link(*load) for load in loads))
    run, links = family.number("U"), []
    for load, (lot, amount) in enumerate(loads, 1):
        family.record(InputLoaded(run, load, lot, "solution", "solution", "", amount, amount))
        links.append(link(lot, amount, load=load, filling=1))
    return family.made("solution", 1_000_000, *links, run=run)


def link(parent: str, given: int, **more: int) -> LotLink:
    return LotLink(parent, "solution", "solution", 0, given, **more)


def held(family: Family, lot: str) -> None:
    family.record(HoldRootAdded(family.record(HoldPlaced("hold", "too weak")), lot))


ANSWERS: dict[str, Callable[[Any, str, str], Any]] = {
    "up": lambda connection, _drum, pack: trace(connection, pack, "up"),
    "down": lambda connection, drum, _pack: trace(connection, drum, "down"),
    "origins": lambda connection, _drum, pack: origins(connection, pack),
    "siblings": lambda connection, _drum, pack: siblings(connection, pack),
    "story of a drum": lambda connection, drum, _pack: story(connection, drum),
    "causes": lambda connection, drum, pack: causes(connection, (drum, pack)),
    "stretch": lambda connection, drum, _pack: stretched(
        connection, find_lot(connection, drum), Piece("outer", Stretch(0, 10))
    ),
    "story of a pack": lambda connection, _drum, pack: story(connection, pack),
}


def statements(family: Family, answer: str, ends: tuple[str, str]) -> int:
    plant_or_none(family.connection)  # its text is read once a process
    with family.statements() as sent:
        ANSWERS[answer](family.connection, *ends)
    return len(sent)


@pytest.mark.parametrize("answer", ANSWERS)
def test_statements_do_not_grow_with_the_lots(answer: str) -> None:
    with closing(Family()) as family:
        few, many = tank(family, 3), tank(family, 25)
        held(family, few[0])
        held(family, many[0])
        assert statements(family, answer, few) == statements(family, answer, many) < 40


@pytest.mark.parametrize("answer", ["up", "down"])
def test_nor_with_the_fillings_that_least_and_most_are_worked_out_from(answer: str) -> None:
    with closing(Family()) as family:
        few, many = tank(family, 3, in_runs=True), tank(family, 25, in_runs=True)
        assert statements(family, answer, few) == statements(family, answer, many) < 40


def test_beyond_500_lots_it_is_a_few_more_for_each_500() -> None:
    with closing(Family()) as family:
        few, many = tank(family, 3), tank(family, 170)
        held(family, many[0])
        lots = len(trace(family.connection, many[0], "down").lots)
        assert lots == 681
        more = statements(family, "down", many) - statements(family, "down", few)
        assert more <= 14 * (lots // 500)


SMALL = ("plant", "name", "thing", "hold", "hold_root", "walk", "floor", "CONSTANT")
"""Tables that are read whole: they do not grow with the goods, or hold what the statement itself found."""


@pytest.mark.parametrize(
    ("answer", "in_runs"), [*((each, False) for each in ANSWERS), ("up", True), ("down", True)]
)
def test_no_statement_reads_a_table_of_goods_from_end_to_end(answer: str, in_runs: bool) -> None:
    with closing(Family()) as family:
        ends = tank(family, 3, in_runs=in_runs)
        held(family, ends[0])
        with family.statements() as sent:
            ANSWERS[answer](family.connection, *ends)
        plans = {
            str(row[3])
            for statement, values in sent
            for row in family.connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values)
        }
    scans = [plan for plan in plans if plan.startswith("SCAN") and plan.split()[1] not in SMALL]
    assert scans == []
    # ix_lot_rank is for the next rank: a walk through it looks for the least among all lots ever born.
    assert not [plan for plan in plans if "AUTOMATIC" in plan or "BLOOM" in plan or "ix_lot_rank" in plan]
