"""Whatever the cut lists and corrections: do the bundles of a lot weigh what it weighs, to the gram?"""

from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from itertools import pairwise

import pytest
from cut_plants import cut_text
from floor_work import lay
from goods_by_hand import by_hand
from houses import House, a_house
from hypothesis import given, settings
from hypothesis import strategies as st
from lotroot.errors import LotrootError, Question
from lotroot.genealogy.item_masses import OfOutput, Some, grams_of, mass_of_items
from lotroot.genealogy.lots import find_lot
from lotroot.genealogy.tables import item_mass
from lotroot.production.correcting_outputs import CorrectOutput
from lotroot.production.cut_facts import Cut
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run
from lotroot.receiving.commands import CorrectAmount
from lotroot.voiding.handling import Undo
from shop import Shop

lengths = st.integers(100, 12_000)
lists = st.lists(st.builds(Cut, st.integers(1, 90), lengths), min_size=1, max_size=4).map(tuple)
bundles = st.lists(st.tuples(lists, st.one_of(st.just(0), st.integers(500, 900_000))), min_size=1, max_size=5)
corrections = st.lists(
    st.tuples(
        st.sampled_from(("output", "weighed", "lot", "undo")),
        st.integers(0, 4),
        st.integers(1, 99),
        st.integers(1_000, 2_000_000),
    ),
    max_size=3,
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    with by_hand():
        house: House = a_house(tmp_path_factory.mktemp("bundles"), cut_text("cut", "weight"))
        yield Shop(house)
        house.database.close()


def done(shop: Shop, command: object, answers: dict[str, str] | None = None) -> list[str]:
    """Post it, answering whatever is asked with its first choice; nothing where it is refused."""
    try:
        return list(shop.at("roll_1", command, who="administrator", answers=answers or {}).numbers)
    except Question as asked:
        return done(shop, command, {**(answers or {}), asked.identifier: next(iter(asked.choices))})
    except LotrootError:
        return []


def correct(shop: Shop, run: str, lot: str, told: tuple[str, int, int, int]) -> None:
    what, which, pieces, grams = told
    made = shop.house.ask(find_run, run).outputs
    if not made:  # all taken back
        return
    one = made[which % len(made)]
    whole = shop.house.ask(find_lot, lot)
    commands: dict[str, object] = {
        "output": CorrectOutput(run, one.seq, pieces),
        "weighed": CorrectOutput(run, one.seq, pieces, mass=grams),
        "lot": CorrectAmount(lot=lot, amount=whole.amount + pieces, mass=grams, why="wrong_number"),
        "undo": Undo(),
    }
    done(shop, commands[what])


@contextmanager
def loaded(shop: Shop) -> Iterator[None]:
    """Work a new coil; the run is closed however the example ends, also where hypothesis breaks it off."""
    coil = lay(shop.house, "coil_40x1250", 90_000_000, "coil_yard", mass=None)
    done(shop, LoadInput(coil, product="sheet_cut"))
    try:
        yield
    finally:
        done(shop, CloseRun())


def check_bundles(
    shop: Shop,
    made: list[tuple[tuple[Cut, ...], int]],
    told: list[tuple[str, int, int, int]],
    data: st.DataObject,
) -> None:
    house = shop.house
    for cuts, weight in made:
        lot, run = done(shop, MakeOutput(cuts=cuts, weight=weight))
    for correction in told:
        correct(shop, run, lot, correction)
    row = house.ask(find_lot, lot)
    outputs = [one for one in house.ask(find_run, run).outputs if one.first]
    if row.voided:  # all taken back
        return
    items = row.items
    each = [house.ask(grams_of, row, Some(0, serial, serial)) for serial in range(1, items + 1)]
    assert None not in each
    assert sum(each) == row.mass
    if all(one[0] not in ("lot",) for one in told):
        assert each == [one.amount for one in outputs]  # its stream closes in grams
    cuts_at = data.draw(st.lists(st.integers(1, items), max_size=3).map(sorted))
    edges = [0, *cuts_at, items]
    spans = [(before + 1, after) for before, after in pairwise(edges) if before < after]
    whole = [house.ask(grams_of, row, Some(0, *span)) for span in spans]
    assert sum(one or 0 for one in whole) == sum(each)


@settings(max_examples=25)  # some ten postings each
@given(bundles, corrections, st.data())
def test_the_bundles_of_a_lot_add_up_to_its_mass(
    shop: Shop,
    made: list[tuple[tuple[Cut, ...], int]],
    told: list[tuple[str, int, int, int]],
    data: st.DataObject,
) -> None:
    with loaded(shop):
        check_bundles(shop, made, told, data)


def test_what_is_rebuilt_weighs_the_same(shop: Shop) -> None:
    with loaded(shop):
        for count in (7, 9):
            lot, run = done(shop, MakeOutput(cuts=(Cut(count, 3_000),)))
        correct(shop, run, lot, ("weighed", 0, 8, 95_000))
        assert [row["mass"] for row in shop.house.rows(item_mass) if row["lot"] == lot] == [95_000, 105_975]
        assert shop.house.status() == shop.house.rebuilt()


outputs_made = st.lists(st.tuples(st.integers(1, 40), st.integers(0, 10**7)), min_size=1, max_size=6)


@given(outputs_made, st.data())
def test_items_of_one_output_share_its_mass_by_cumulative_floor(
    made: list[tuple[int, int]], data: st.DataObject
) -> None:
    rows, last = [], 0
    for items, mass in made:
        rows.append(OfOutput(last + 1, last + items, mass))
        last += items
    due = {
        serial: Fraction(row.mass, row.last - row.first + 1)
        for row in rows
        for serial in range(row.first, row.last + 1)
    }
    first = data.draw(st.integers(1, last))
    to = data.draw(st.integers(first, last))
    one = mass_of_items(rows, first, to)
    assert one is not None
    assert abs(one - sum(due[serial] for serial in range(first, to + 1))) < 2  # a floor at either end
    before = mass_of_items(rows, 1, first - 1) if first > 1 else 0
    after = mass_of_items(rows, to + 1, last) if to < last else 0
    assert before is not None
    assert after is not None
    assert before + one + after == sum(row.mass for row in rows)
    assert mass_of_items(rows, 1, last + 1) is None
