"""Does a factor from weighed rolls rest on the rolls it names, count from its day on and keep its history?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import plants
import pytest
from houses import a_house
from lotroot.errors import LotrootError, NotAllowed, Refused, Unknown, Unreadable
from lotroot.factors.standing import factor_at, factor_in_force, factors_of, metre_mg, standing_of
from lotroot.plant.adopted import current_plant
from lotroot.production.making import MakeOutput
from lotroot.reconciliation.balances import balance_event, known_balance
from lotroot.reconciliation.factors import SetFactor, WithdrawFactor
from lotroot.reconciliation.rolls import Rolls, products_with_factor, weighed_rolls
from query_plans import plans_by_statement, read_whole
from shop import Shop
from weighed_rolls import PRODUCT, THEORY, rolls

METRE = 118_100
HEAVY = (24_400, 24_420, 24_440, 24_460, 24_380)
"""Five rolls, 1.0339 of theory in the mean."""
MEAN_PPM = 1_033_870


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    """A plant at work, whose accounts close when the test is over."""
    house = a_house(database_url)
    yield Shop(house)
    Shop(house).closes()
    house.database.close()


def known(shop: Shop, upto: int = 2**53) -> Rolls:
    with shop.house.reading() as connection:
        product = current_plant(connection).product(PRODUCT)
        return weighed_rolls(connection, product, shop.house.clock.at, upto)


def put(shop: Shop, who: str = "supervisor") -> Any:
    found = known(shop)
    return shop.house.post(SetFactor(PRODUCT, found.upto, found.factor_ppm), who)


# ---------------------------------------------------------------- which rolls, and what they give


def test_rolls_of_closed_runs_are_fitted_each_alike(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    found = known(shop)
    assert found.theory_g == THEORY
    assert [row.amount for row in reversed(found.rows)] == list(HEAVY)
    assert (found.factor_ppm, found.enough) == (MEAN_PPM, True)
    assert found.fit is not None
    assert str(found.fit.deviation)[:7] == "0.00133"


def test_rolls_of_an_open_run_do_not_count_yet(shop: Shop) -> None:
    rolls(shop, *HEAVY, close=False)
    assert known(shop).rows == []
    assert known(shop).fit is None


def test_four_rolls_are_too_few(shop: Shop) -> None:
    rolls(shop, *HEAVY[:4])
    with pytest.raises(Refused, match="4 weighed rolls are too few"):
        put(shop)


def test_a_roll_made_meanwhile_changes_nothing_of_what_was_seen(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    seen = known(shop)
    rolls(shop, 23_620, 23_620)
    assert known(shop).factor_ppm != seen.factor_ppm
    said = shop.house.post(SetFactor(PRODUCT, seen.upto, seen.factor_ppm), "supervisor").say
    assert said.endswith("weighs 1.034 of theory, by 5 weighed rolls.")


def test_a_year_later_they_are_out_of_date(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    shop.house.clock.forward(days=361)
    assert known(shop).rows == []


def test_which_products_may_have_one(shop: Shop) -> None:
    plant = shop.house.ask(current_plant)
    assert [one.code for one in products_with_factor(plant)] == [
        "barbed_25_20",
        "chain_50x25",
        "chain_50x33_pvc",
    ]


# ---------------------------------------------------------------- what goes by it


def test_a_factor_is_set_by_a_named_person_and_replaced_by_a_later_one(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    put(shop)
    found = shop.house.ask(factor_in_force, PRODUCT, METRE)
    assert (found.factor_ppm, found.rolls, found.shown) == (MEAN_PPM, 5, "1.034")
    assert found.person == shop.house.people["supervisor"]
    assert shop.house.ask(metre_mg, PRODUCT, METRE) == 122_100
    rolls(shop, *([24_000] * 5))
    put(shop, "manager")
    history = shop.house.ask(factors_of, PRODUCT)
    told = [(row.rolls, row.person, now) for row, now in standing_of(history, METRE)]
    people = shop.house.people
    assert told == [(10, people["manager"], "in force"), (5, people["supervisor"], "replaced")]


def test_a_withdrawn_factor_brings_no_older_one_to_light(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    put(shop)
    rolls(shop, *([24_000] * 5))
    put(shop)
    second = shop.house.ask(factor_in_force, PRODUCT, METRE)
    shop.house.post(WithdrawFactor(PRODUCT, "new machine"), "manager")
    assert shop.house.ask(factor_in_force, PRODUCT, METRE) is None
    assert shop.house.ask(metre_mg, PRODUCT, METRE) == METRE
    assert shop.house.ask(factor_at, PRODUCT, METRE, second.event) == second
    latest = next(standing_of(shop.house.ask(factors_of, PRODUCT), METRE))
    assert (latest[1], latest[0].why) == ("withdrawn", "new machine")


def test_for_another_theory_it_is_no_factor(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    put(shop)
    assert shop.house.ask(factor_in_force, PRODUCT, METRE + 1) is None
    assert next(standing_of(shop.house.ask(factors_of, PRODUCT), METRE + 1))[1] == "of another theory"


def test_a_run_is_balanced_by_the_factor_of_its_day(shop: Shop) -> None:
    """Before: five rolls by theory alone; after: the same five by 1.0339 of it."""
    before = rolls(shop, *HEAVY)
    put(shop)
    after = rolls(shop, *HEAVY)
    theory = [shop.house.ask(known_balance, run)[0] for run in (before, after)]
    by_theory = [one.good if one.basis == "theory" else one.other_good for one in theory]
    assert by_theory == [5 * THEORY, 5 * 24_420]
    events = [shop.house.ask(balance_event, run) for run in (before, after)]
    known_then = [shop.house.ask(factor_at, PRODUCT, METRE, event) for event in events]
    assert [one and one.shown for one in known_then] == [None, "1.034"]


def test_a_doubtful_weight_is_told_as_metres_by_the_factor(shop: Shop) -> None:
    rolls(shop, *([THEORY * 2] * 5))
    put(shop)
    rolls(shop, THEORY * 2, close=False)
    for _ in range(2):
        shop.at("barb_1", MakeOutput(weights=(THEORY * 2,)))
    question = shop.question(MakeOutput(weights=(THEORY * 10,)), station="barb_1")
    assert "is 1.00 km;" in question.what


# ---------------------------------------------------------------- what is refused, and changes nothing


@pytest.mark.parametrize(
    ("command", "kind", "says"),
    [
        (SetFactor(PRODUCT, 10**9, 1_000_000), Refused, "the weighed rolls give 1.034 by now"),
        (SetFactor(PRODUCT, 0, MEAN_PPM), Refused, "0 weighed rolls are too few"),
        (SetFactor("wire_25", 10**9, MEAN_PPM), Refused, "has no factor"),
        (SetFactor("no_such", 10**9, MEAN_PPM), Unknown, "no product"),
        (WithdrawFactor(PRODUCT, "why not"), Refused, "goes by theory alone"),
    ],
)
def test_what_does_not_fit_is_refused(shop: Shop, command: Any, kind: type[LotrootError], says: str) -> None:
    rolls(shop, *HEAVY)
    before = shop.house.status()
    with pytest.raises(kind, match=says):
        shop.house.post(command, "supervisor")
    assert shop.house.status() == before


@pytest.mark.parametrize("reason", ["", "  ", "x" * 201])
def test_a_withdrawal_gives_its_reason(shop: Shop, reason: str) -> None:
    rolls(shop, *HEAVY)
    put(shop)
    with pytest.raises(Unreadable, match="The reason is"):
        shop.house.post(WithdrawFactor(PRODUCT, reason), "supervisor")


def test_the_same_factor_is_set_once_and_a_wild_one_never(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    put(shop)
    with pytest.raises(Refused, match=r"goes by 1\.034 already"):
        put(shop)
    rolls(shop, *([60_000] * 20))
    with pytest.raises(Refused, match="is no factor of a machine"):
        put(shop)


def test_a_plant_says_itself_how_far_from_theory_a_factor_may_lie(tmp_path: Path) -> None:
    text = plants.demo_text() + '\n[factor]\nmost = "1.03"\n'
    shop = Shop(a_house(tmp_path, text))
    rolls(shop, *HEAVY)
    with pytest.raises(Refused, match=r"1\.034 of theory") as refused:
        put(shop)
    assert refused.value.expected.startswith("From 0.5 to 1.03")


@pytest.mark.parametrize("who", ["operator", "qa", "receiver"])
def test_others_may_not(shop: Shop, who: str) -> None:
    rolls(shop, *HEAVY)
    with pytest.raises(NotAllowed):
        put(shop, who)


def test_rolls_are_found_by_index(shop: Shop) -> None:
    rolls(shop, *HEAVY)
    with shop.house.reading() as connection:
        product = current_plant(connection).product(PRODUCT)
        plans = plans_by_statement(connection, lambda: weighed_rolls(connection, product, 2**53))
    assert read_whole([step for found in plans.values() for step in found]) == []
