"""Is a box recorded by scan under a label that was printed before it: weighed, alone, or as a row?"""

from collections.abc import Iterator
from typing import Any

import pytest
from floor_work import at, ok, plain, run_at
from houses import a_house
from lotroot.errors import LotrootError
from lotroot.production.blocks import PrintBlock
from lotroot.production.packing import PackItems
from lotroot.production.serials import block_account
from lotroot.stock.standing import weights
from shop import Shop
from terminals import Terminal


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    """On SQLite and on PostgreSQL: a bench with its hopper filled."""
    found = Shop(a_house(database_url))
    found.in_the_hopper()
    yield found
    found.closes()
    found.house.database.close()


@pytest.fixture
def lot(shop: Shop) -> str:
    """A lot with labels 1 to 6 in hand."""
    return shop.at("packing", PrintBlock(6)).numbers[0]


@pytest.fixture
def bench(shop: Shop, lot: str) -> Terminal:
    return at(shop.house, "packing")


def made(shop: Shop) -> list[tuple[Any, ...]]:
    """Serials, net, gross, tare and who typed it, output by output."""
    rows = run_at(shop.house, "packing").outputs
    return [(one.first, one.last, one.own, one.gross, one.tare, one.typed_by) for one in rows]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("25.56", (2, 2, 25_100, 25_560, 460, "scale")),
        ("25.56 kg", (2, 2, 25_100, 25_560, 460, "hand")),
        ("25.1 net", (2, 2, 25_100, 0, 0, "hand")),
    ],
)
def test_a_label_then_the_weight_of_its_box(
    shop: Shop, bench: Terminal, lot: str, text: str, expected: tuple[Any, ...]
) -> None:
    told = ok(bench.scan(shop.item(lot, 2)))
    assert plain(told["next"]) == (
        "Box 2: type its gross weight, such as 25.46 kg, or scan the last label of a row; "
        "DONE counts it alone"
    )
    said = plain(ok(bench.scan(text, typed_by=expected[-1]))["say"])
    assert ", item 2, 25.1 kg" in said
    assert ("(25.56 kg gross less 0.46 kg)" in said) == bool(expected[3])
    assert made(shop) == [expected]
    assert shop.house.ask(weights, lot, 1, 6) == {2: 25_100}
    assert shop.house.ask(block_account, lot).used == {2}
    assert bench.context == {}, "the next number is a count again"


def test_two_labels_are_a_row_and_done_is_one_alone(shop: Shop, bench: Terminal, lot: str) -> None:
    ok(bench.scan(shop.item(lot, 1)))
    assert bench.scan(shop.item(lot, 1))["verdict"] == "already"
    ok(bench.scan(shop.item(lot, 3)))
    ok(bench.scan(shop.item(lot, 4)))
    ok(bench.scan("DONE"))
    assert [one[:3] for one in made(shop)] == [(1, 3, 75_000), (4, 4, 25_000)]
    assert run_at(shop.house, "packing").row.closed is None


def test_a_plain_number_is_no_weight_of_the_box_in_hand(shop: Shop, bench: Terminal, lot: str) -> None:
    ok(bench.scan(shop.item(lot, 1)))
    refused = bench.scan("25", typed_by="hand")
    assert "Box 1: this is no weight." in refused["say"]
    assert ok(bench.scan("UNDO"))["say"].startswith("The last scan is forgotten")
    ok(bench.scan("2", typed_by="hand"))
    assert [one[:2] for one in made(shop)] == [(7, 8)], "boxes that are counted get labels of their own"


def test_a_light_box_is_asked_about_and_says_which_it_is(shop: Shop, bench: Terminal, lot: str) -> None:
    ok(bench.scan(shop.item(lot, 3)))
    ok(bench.answer("24.9", "yes", typed_by="scale"))
    assert made(shop)[0][:3] == (3, 3, 24_440)
    page = plain(bench.client.get(f"/lots/{lot}").text)
    assert "Item 3: 24.44 kg is 0.56 kg less" in page


def test_a_gross_weight_is_of_one_label(shop: Shop, lot: str) -> None:
    first, third = shop.item(lot, 1), shop.item(lot, 3)
    for command in (
        PackItems(first, third, gross=25_500),
        PackItems(first, gross=25_500, weights=(25_000,)),
        PackItems(first, spoiled=(1,), gross=25_500),
    ):
        with pytest.raises(LotrootError):
            shop.at("packing", command)
    shop.at("packing", PackItems(first, third, spoiled=(1, 2), gross=25_500))
    assert made(shop) == [(3, 3, 25_040, 25_500, 460, "")]
