"""Whatever runs threw into whatever bins: does every gram go somewhere once, and does UNDO bring all back?"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import plants
from houses import a_house
from hypothesis import given, settings
from hypothesis import strategies as st
from lotroot.errors import Question
from lotroot.genealogy.tables import edge
from lotroot.production.apportioning import parts_of, weighings_of
from lotroot.production.bins import CorrectBin, WeighBin
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.production.runs import find_run
from lotroot.production.tables import run, run_scrap
from lotroot.reconciliation.balances import known_balance
from lotroot.verify import verify
from lotroot.voiding.handling import Undo
from shop import Shop

BINS = """
[bin.both]
name = "Ends of both"
stations = ["draw_1", "draw_2"]
reason = "ends"
tare_g = 7003

[bin.any]
name = "Any scrap"
stations = ["draw_1"]
"""
STATIONS = ("draw_1", "draw_2")
ASKED = ("scrap", "ended-1", "left-1", "left-2")

made = st.tuples(st.just("make"), st.sampled_from(STATIONS), st.integers(1, 400_000))
thrown = st.tuples(st.just("scrap"), st.sampled_from(STATIONS), st.integers(1, 9_000))
closed = st.tuples(st.just("close"), st.sampled_from(STATIONS), st.just(0))
weighed = st.tuples(st.just("weigh"), st.sampled_from(("both", "any")), st.integers(1, 60_000))
corrected = st.tuples(st.just("correct"), st.sampled_from(("both", "any")), st.integers(1, 60_000))
days = st.lists(st.one_of(made, made, thrown, closed, weighed, weighed, corrected), min_size=3, max_size=14)


@dataclass
class Plant:
    """A plant at work: what a day's lines mean in it."""

    shop: Shop

    def do(self, what: str, where: str, much: int) -> None:
        """One line; what cannot be done as things stand is passed over."""
        if what in ("weigh", "correct"):
            self._weigh(what, where, much)
            return
        running = self._running(where)
        if what == "make":
            if not running:
                self._answered(where, LoadInput(self.shop.coil(), product="wire_25", end="outer"))
            self._answered(where, MakeOutput(weight=much))
        elif running:
            self._answered(where, CloseRun() if what == "close" else ScrapInput(much, "ends"))

    def _weigh(self, what: str, code: str, much: int) -> None:
        number = self.shop.house.thing("bin", code)
        gross = much + (7003 if code == "both" else 0)
        if what == "weigh":
            self._answered("draw_1", WeighBin(number, gross, "" if code == "both" else "surface"))
            return
        for weighing in self.shop.house.ask(weighings_of, number)[:1]:
            self._answered("draw_1", CorrectBin(weighing.event, gross), "supervisor")

    def _running(self, station: str) -> bool:
        at = self.shop.house.thing("station", station)
        return any(row["station"] == at and row["closed"] is None for row in self.shop.house.rows(run))

    def _answered(self, station: str, command: object, who: str = "operator") -> None:
        answers: dict[str, str] = {}
        for _ in range(9):
            try:
                self.shop.at(station, command, who, answers=dict(answers))
            except Question as question:
                answers[question.identifier] = next(iter(question.choices))
            else:
                return
        raise AssertionError(f"{command} is asked about again and again")

    def parts(self) -> dict[int, int]:
        """The grams that stand apportioned, by the event of the weighing."""
        found: dict[int, int] = {}
        for row in self.shop.house.rows(run_scrap):
            if row["how"] == "apportioned" and not row["voided"]:
                found[row["weighing"]] = found.get(row["weighing"], 0) + row["amount"]
        return found

    def adds_up(self) -> None:
        """Every bin's grams are named, apportioned or of nobody known; every closed run adds up with them."""
        parts = self.parts()
        for code in ("both", "any"):
            for one in self.shop.house.ask(weighings_of, self.shop.house.thing("bin", code)):
                assert parts.pop(one.event, 0) == one.shared
                assert one.named + one.shared in {one.weight, one.named}
        assert parts == {}
        for row in self.shop.house.rows(run):
            for stream in self.shop.house.ask(known_balance, row["number"]):
                told = sum(one.amount for one in self.shop.house.ask(find_run, row["number"]).scrap)
                assert stream.scrap == told == sum(one.amount for one in stream.thrown)
        assert str(verify(self.shop.house.database)).startswith("ok ")


@contextmanager
def a_plant() -> Iterator[Plant]:
    with TemporaryDirectory() as folder:
        house = a_house(Path(folder), plants.with_bins(BINS))
        yield Plant(Shop(house))
        house.database.close()


@given(days)
@settings(max_examples=12)
def test_every_gram_of_a_bin_goes_somewhere_once(lines: list[tuple[str, str, int]]) -> None:
    with a_plant() as plant:
        for line in lines:
            plant.do(*line)
        plant.adds_up()


@given(days, st.integers(1, 60_000))
@settings(max_examples=12)
def test_a_weighing_changes_no_link_and_its_undo_restores_everything(
    lines: list[tuple[str, str, int]], much: int
) -> None:
    with a_plant() as plant:
        plant.do("make", "draw_1", 300_000)
        for line in lines:
            plant.do(*line)
        house, number = plant.shop.house, plant.shop.house.thing("bin", "both")
        runs = [row["number"] for row in house.rows(run)]
        links, parts = house.rows(edge), plant.parts()
        before = {one: (house.ask(find_run, one), house.ask(known_balance, one)) for one in runs}
        plant.do("weigh", "both", much)
        last = house.ask(weighings_of, number)[-1]
        assert sum(part.amount for part in house.ask(parts_of, last.event)) == last.shared
        assert house.rows(edge) == links
        plant.shop.at("draw_1", Undo())
        assert (house.rows(edge), plant.parts()) == (links, parts)
        after = {one: (house.ask(find_run, one), house.ask(known_balance, one)) for one in runs}
        assert after == before
        plant.adds_up()
