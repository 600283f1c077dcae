"""Are the shortest answers right where amounts are nothing or odd?"""

from collections.abc import Iterator

import pytest
from family_by_hand import YARD, Family
from lotroot.genealogy.events import LotLink
from lotroot.identity import make
from lotroot.stock.events import CarrierOpened
from lotroot.tracing.sources import Part, sources_on

PALLET = str(make("P", 26, 1))


@pytest.fixture
def family() -> Iterator[Family]:
    made = Family()
    made.record(CarrierOpened(PALLET, "pallet", YARD))
    yield made
    made.close()


def of(parent: str, given: int, stream: str = "steel") -> LotLink:
    return LotLink(parent, "any", stream, 0, given)


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
