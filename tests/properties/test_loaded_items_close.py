"""Whatever is loaded of a lot of bundles, by its number or by theirs, in parts or whole: does it close?"""

from collections.abc import Iterator

import pytest
from cut_plants import curved_text
from floor_work import lay
from goods_by_hand import by_hand
from houses import House, a_house
from hypothesis import given, settings
from hypothesis import strategies as st
from lotroot.errors import LotrootError, Question
from lotroot.genealogy.lots import find_lot, links_from
from lotroot.production.bringing_back import BringBack
from lotroot.production.cut_facts import Cut
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run
from lotroot.verify.conservation import conservation_finding
from lotroot.voiding.handling import Undo
from shop import Shop

bundles = st.lists(
    st.builds(Cut, st.integers(1, 40), st.integers(300, 6_000)).map(lambda cut: (cut,)),
    min_size=1,
    max_size=4,
)
acts = st.lists(
    st.tuples(
        st.sampled_from(("load", "load", "load item", "load item", "make", "part", "close", "back", "undo")),
        st.integers(1, 4),
        st.integers(0, 45),
    ),
    min_size=1,
    max_size=7,
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    with by_hand():
        house: House = a_house(tmp_path_factory.mktemp("items"), curved_text())
        yield Shop(house)
        house.database.close()


def done(shop: Shop, station: str, command: object, answers: dict[str, str] | None = None) -> list[str]:
    """Post it, answering whatever is asked with its first choice; nothing where it is refused."""
    try:
        return list(shop.at(station, command, who="administrator", answers=answers or {}).numbers)
    except Question as asked:
        return done(shop, station, command, {**(answers or {}), asked.identifier: next(iter(asked.choices))})
    except LotrootError:
        return []


def act(shop: Shop, lot: str, told: tuple[str, int, int]) -> None:
    what, serial, amount = told
    curving = {"process": "curving", "product": "sheet_cut"}
    commands: dict[str, object] = {
        "load": LoadInput(lot, amount=amount, **curving),
        "load item": LoadInput(shop.item(lot, serial), amount=amount, **curving),
        "make": MakeOutput(cuts=(Cut(amount + 1, 1_000 * serial),)),
        "part": UnloadInput(),
        "close": CloseRun(),
        "back": BringBack(shop.item(lot, serial), "torn"),
        "undo": Undo(),
    }
    done(shop, "packing" if what == "back" else "roll_2", commands[what])


@settings(max_examples=25)  # some ten postings each
@given(bundles, acts)
def test_every_piece_of_loaded_bundles_is_accounted_for(
    shop: Shop, made: list[tuple[Cut, ...]], told: list[tuple[str, int, int]]
) -> None:
    coil = lay(shop.house, "coil_40x1250", 90_000_000, "coil_yard", mass=None)
    done(shop, "roll_1", LoadInput(coil, product="sheet_cut"))
    for cuts in made:
        lot = done(shop, "roll_1", MakeOutput(cuts=cuts))[0]
    done(shop, "roll_1", CloseRun())
    for one in told:
        act(shop, lot, one)
        assert shop.house.ask(conservation_finding) is None
    row = shop.house.ask(find_lot, lot)
    if not row.voided:
        account = shop.account(lot)
        born = -account.pop("born")
        assert born == row.amount
        assert born == sum(account.values()) + sum(amount for *_, amount in shop.stands(lot))
    for link in shop.house.ask(links_from, row.id):
        assert link.parent_from is None or 1 <= link.parent_from <= link.parent_to <= row.items
    done(shop, "roll_2", CloseRun())
    shop.closes()


def loaded(shop: Shop, run: str) -> int:
    """What the last load of a run weighs, in grams."""
    return int(shop.house.ask(find_run, run).inputs[-1].amount)


@settings(max_examples=25)
@given(st.integers(2, 60), st.integers(300, 9_000), st.data())
def test_a_bundle_loaded_bit_by_bit_gives_what_it_weighs(
    shop: Shop, pieces: int, length: int, data: st.DataObject
) -> None:
    coil = lay(shop.house, "coil_40x1250", 90_000_000, "coil_yard", mass=None)
    done(shop, "roll_1", LoadInput(coil, product="sheet_cut"))
    lot = done(shop, "roll_1", MakeOutput(cuts=(Cut(pieces, length),)))[0]
    done(shop, "roll_1", MakeOutput(cuts=(Cut(3, 12_000),)))
    done(shop, "roll_1", CloseRun())
    mass, left, weighed = pieces * length * 3_925_000 // 1_000_000, pieces, 0
    while left:
        bit = data.draw(st.integers(1, left))
        number, run = done(
            shop, "roll_2", LoadInput(shop.item(lot, 1), amount=bit, process="curving", product="sheet_cut")
        )
        assert number == lot
        weighed += loaded(shop, run)
        done(shop, "roll_2", CloseRun(), {"left-1": "ended"})
        left -= bit
    assert weighed == mass
