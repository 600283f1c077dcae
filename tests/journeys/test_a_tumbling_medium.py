"""Does sawdust that went into a tumbler lead to the nails, without being in them?"""

from collections.abc import Iterator

import pytest
from floor_work import at, lay, ok, plain
from goods_by_hand import by_hand
from houses import a_house
from lotroot.balance.reconciling import WITHIN_SCALES
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.holds.handling import PlaceHold
from lotroot.holds.reach import held_by
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.questions import open_questions
from lotroot.reconciliation.balances import known_balance
from lotroot.tracing.asking import asked
from lotroot.tracing.upward import up
from shop import Shop


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    house = a_house(database_url)
    yield Shop(house)
    Shop(house).closes()
    house.database.close()


def tumbled_with(shop: Shop, sawdust: str) -> tuple[str, str]:
    """A pan of nails tumbled with 2 kg of a bag of sawdust: the lot and the closed run."""
    nails = shop.nails(shop.drawn(shop.coil(), 490_000)[0], 250_000)
    shop.at("tumbler_1", LoadInput(nails, product="tumbled_25x50"))
    shop.at("tumbler_1", LoadInput(sawdust, amount=2_000))
    made = shop.at("tumbler_1", MakeOutput(weight=247_500, carrier=shop.pan("pan_18"))).numbers[0]
    return made, shop.at("tumbler_1", CloseRun()).numbers[0]


def test_the_medium_is_used_up_and_no_gram_of_it_is_in_the_nails_or_missing(shop: Shop) -> None:
    with by_hand():
        sawdust = lay(shop.house, "sawdust", 20_000, "tumble_floor")
    made, run = tumbled_with(shop, sawdust)
    balances = {one.stream: one for one in shop.house.ask(known_balance, run)}
    medium, steel = balances["medium"], balances["steel"]
    assert (medium.loaded, medium.good, medium.loss, medium.difference) == (2_000, 0, 2_000, 0)
    assert medium.verdict == WITHIN_SCALES
    assert (steel.loaded, steel.good, steel.loss, steel.difference) == (250_000, 247_500, 2_000, 500)
    assert shop.account(sawdust).get("difference", 0) == 0
    assert shop.account(sawdust)["loss"] == 2_000
    assert [row.subject for row in shop.house.ask(open_questions)] == []
    lineage = shop.house.ask(lambda connection: up(connection, asked(connection, made)))
    (found,) = [one for one in lineage.lots if one.lot.number == sawdust]
    assert not any(found.part.values())


def test_a_bad_bag_of_sawdust_holds_the_nails_that_were_tumbled_with_it(shop: Shop) -> None:
    with by_hand():
        sawdust = lay(shop.house, "sawdust", 20_000, "tumble_floor")
    made, _ = tumbled_with(shop, sawdust)
    row = shop.house.ask(find_lot, made)
    assert sawdust in {link.parent_number for link in shop.house.ask(links_of, row.id)}
    shop.house.post(PlaceHold("Oil in the sawdust", sawdust), "qa")
    assert [one.reason for one in shop.house.ask(held_by, made)] == ["Oil in the sawdust"]


def test_a_load_without_a_medium_is_asked_for_none(shop: Shop) -> None:
    nails = shop.nails(shop.drawn(shop.coil(), 490_000)[0], 250_000)
    tumbler = at(shop.house, "tumbler_1")
    ok(tumbler.scan(nails))
    assert plain(tumbler.last["next"]) == "Weigh the tumbled nails: type kg, then scan the pan"
    ok(tumbler.scan("247.5"))
    ok(tumbler.scan(shop.pan("pan_18")))
    ok(tumbler.scan("DONE"))
