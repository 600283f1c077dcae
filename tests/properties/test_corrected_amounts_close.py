"""Do a lot's accounts close after any corrections, wherever it has gone meanwhile (RULES 3, 14)?"""

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from houses import House, a_house
from hypothesis import given, settings
from hypothesis import strategies as st
from lotroot.errors import LotrootError, Question
from lotroot.genealogy.lots import find_lot
from lotroot.moving.places import MoveGoods
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.receiving.commands import CorrectAmount, ReceiveLot
from lotroot.stock.standing import standings, totals

amounts = st.integers(min_value=1, max_value=3_000_000)
acts = st.lists(
    st.one_of(
        st.tuples(st.just("correct"), amounts),
        st.tuples(st.just("draw"), st.integers(min_value=1, max_value=900_000)),
        st.tuples(st.just("load"), st.just(0)),
        st.tuples(st.just("unload"), st.integers(min_value=0, max_value=2_000_000)),
        st.tuples(st.just("move"), st.sampled_from([0, 1])),
    ),
    min_size=2,
    max_size=8,
)


def act(house: House, lot: str, name: str, figure: int) -> None:
    commands: dict[str, Callable[[], Any]] = {
        "correct": lambda: CorrectAmount(lot=lot, amount=figure, why="wrong_number"),
        "draw": lambda: MakeOutput(product="wire_25", weight=figure),
        "load": lambda: LoadInput(lot),
        "unload": lambda: UnloadInput(lot=lot, remainder=figure, how="weighed"),
        "move": lambda: MoveGoods(lot, house.thing("place", ("rod_yard", "rack_a")[figure])),
    }
    answered(house, commands[name](), {})


def answered(house: House, command: Any, answers: dict[str, str]) -> None:
    """Post a command, answering whatever is asked with its first choice."""
    try:
        house.post(command, station=house.thing("station", "draw_1"), answers=answers)
    except Question as asked:
        answered(house, command, {**answers, asked.identifier: next(iter(asked.choices))})


@settings(max_examples=30)  # each a house with up to ten postings: a quarter of a second
@given(amounts, acts)
def test_a_lots_accounts_close_after_every_act(first: int, steps: list[tuple[str, int]]) -> None:
    with TemporaryDirectory() as folder:
        house = a_house(Path(folder))
        told = ReceiveLot(product="rod_55", supplier="nordhavn", heats=("H1",), amount=first)
        lot = house.post(told).numbers[0]
        house.post(LoadInput(lot), station=house.thing("station", "draw_1"))
        for name, figure in steps:
            if name == "move" and any(row.spot.startswith("U") for row in house.ask(standings, lot)):
                continue  # what is on a machine comes off by unloading
            try:
                act(house, lot, name, figure)
            except LotrootError:
                continue  # what cannot be done as things stand changes nothing
            _check(house, lot)
        house.database.close()


def _check(house: House, lot: str) -> None:
    rows = house.ask(standings, lot)
    gained = house.ask(totals, lot)
    assert sum(gained.values()) + sum(row.amount for row in rows) == 0
    assert gained["born"] == -house.ask(find_lot, lot).amount
    # Below zero only where it is loaded in an open run.
    assert all(row.amount >= 0 or row.spot.startswith("U") for row in rows)
