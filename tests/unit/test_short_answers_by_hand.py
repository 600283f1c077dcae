"""Are the shortest answers right where amounts are nothing, odd, tiny or came back?"""

from collections.abc import Iterator

import pytest
from family_by_hand import YARD, Family
from lotroot.dispatch.facts import GoodsReturned, LoadLine, ShipmentLeft, ShipmentLoaded, ShipmentOpened
from lotroot.genealogy.events import LotLink
from lotroot.identity import make
from lotroot.stock.events import CarrierOpened
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import Part, sources_on
from lotroot.tracing.words import Words
from lotroot.web.holds import whom_to_call

PALLET, SHIPMENT = (str(make(letter, 26, 1)) for letter in "PD")


@pytest.fixture
def family() -> Iterator[Family]:
    made = Family()
    made.record(CarrierOpened(PALLET, "pallet", YARD))
    made.record(ShipmentOpened(SHIPMENT, "osprey"))
    yield made
    made.close()


def of(parent: str, given: int, stream: str = "steel") -> LotLink:
    return LotLink(parent, "any", stream, 0, given)


def left(family: Family, *lines: LoadLine) -> None:
    family.record(ShipmentLoaded(SHIPMENT, lines))
    family.record(ShipmentLeft(SHIPMENT))


def test_what_weighs_nothing_is_no_source(family: Family) -> None:
    coil = family.lot("rod", 1_000, source="received")
    family.move(coil, PALLET, 1_000)
    light = family.lot("boxed_nails", 1, items=4)
    family.move(light, PALLET, 0, 1, 1)
    assert sources_on(family.connection, PALLET) == [Part(coil, 1_000)]


def test_an_odd_unit_goes_where_the_whole_lineage_has_it(family: Family) -> None:
    first, second = (family.lot("rod", 10, source="received") for _ in range(2))
    family.move(family.made("nail_lot", 3, of(second, 1), of(first, 1)), PALLET, 3)
    assert sources_on(family.connection, PALLET) == [Part(first, 2), Part(second, 1)]


@pytest.mark.parametrize("stream", ["steel", "pvc"], ids=["reckoned here", "by the whole lineage"])
def test_who_has_a_trace_of_it_is_called_and_who_sent_all_back_is_not(family: Family, stream: str) -> None:
    coil, other = (family.lot("rod", 1_000_000, source="received") for _ in range(2))
    nails = family.made("nail_lot", 1_000, of(coil, 1), of(other, 999_999, stream), of(other, 9_999_999))
    left(family, LoadLine(nails, 1_000))
    assert recall(family.connection, coil).customers == {"osprey": 0}
    assert whom_to_call(family.connection, coil, Words(family.connection)) == ["osprey"]
    family.record(GoodsReturned(SHIPMENT, (LoadLine(nails, 1_000),), "rust"))
    assert recall(family.connection, coil).customers == {}


@pytest.mark.parametrize("stream", ["steel", "pvc"], ids=["reckoned here", "by the whole lineage"])
def test_what_came_back_is_taken_from_the_lot_that_came_back(family: Family, stream: str) -> None:
    coil, other = (family.lot("rod", 1_000_000, source="received") for _ in range(2))
    pure = family.made("nail_lot", 1_000, of(coil, 1_000))
    mixed = family.made("nail_lot", 1_000, of(coil, 10), of(other, 990, stream))
    left(family, LoadLine(pure, 1_000), LoadLine(mixed, 1_000))
    family.record(GoodsReturned(SHIPMENT, (LoadLine(pure, 1_000),), "rust"))
    assert recall(family.connection, coil).customers == {"osprey": 10}
