"""Do the two short answers, coils of a pallet and recall of a lot, say what the whole lineage says?

Asked of everything in the demo plant: lots of items of two coils, several streams, counted goods and all.
"""

from fractions import Fraction
from pathlib import Path

import pytest
from houses import a_house
from lotroot.database import Database
from lotroot.errors import Unknown
from lotroot.genealogy.tables import lot
from lotroot.identity.numbers import make
from lotroot.stock.tables import standing
from lotroot.tracing.asking import asked
from lotroot.tracing.downward import down
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from lotroot.tracing.upward import up
from shop import Shop
from sqlalchemy import select


def test_the_sources_of_every_carrier_are_those_of_its_lineage(demo_database: Database) -> None:
    with demo_database.reading() as connection:
        spots = connection.scalars(select(standing.c.spot).where(standing.c.amount > 0).distinct()).all()
        carriers = sorted(spot for spot in spots if spot.startswith("P"))
        assert len(carriers) > 25
        for carrier in carriers:
            found = dict(sources_on(connection, carrier))
            lots = up(connection, asked(connection, carrier)).lots
            wanted = {one.lot.number: sum(one.part.values()) for one in lots if one.source or one.gap}
            assert found.keys() == wanted.keys(), carrier
            assert all(abs(found[one] - wanted[one]) <= 1 for one in wanted), (carrier, found, wanted)


def test_the_recall_of_every_lot_is_that_of_its_lineage(demo_database: Database, thorough: bool) -> None:
    """Of every fourth in the quick profile."""
    with demo_database.reading() as connection:
        numbers = connection.scalars(select(lot.c.number).where(lot.c.voided == 0)).all()
        for number in numbers if thorough else numbers[::4]:
            found = recall(connection, number)
            lineage = down(connection, asked(connection, number))
            assert list(found.lots) == sorted(one.lot.number for one in lineage.lots if one.depth), number
            sent: dict[str, int] = {}
            for one in lineage.shipments:
                out = Fraction(one.amount - one.returned, one.amount or 1) * sum(one.part.values())
                if out:
                    sent[one.customer] = sent.get(one.customer, 0) + round(out)
            here: dict[str, int] = {}
            for lying in lineage.on_hand:
                here[lying.place] = here.get(lying.place, 0) + sum(lying.part.values())
            pieces = len(lineage.lots) + 50  # a base unit may go astray in each
            for mine, theirs in ((found.customers, sent), (found.places, here)):
                assert mine.keys() == theirs.keys(), number
                assert all(abs(mine[key] - theirs[key]) <= pieces for key in theirs), (number, mine, theirs)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(a_house(tmp_path))


def test_a_coil_is_told_by_customer_and_place(shop: Shop) -> None:
    coil = shop.coil(amount=2_000_000)
    stripper = shop.drawn(coil, 500_000)[0]
    found = shop.house.ask(recall, coil)
    assert list(found.lots) == [stripper]
    assert found.customers == {}
    assert sum(found.places.values()) == 2_000_000


def test_what_nobody_recorded_is_unknown(shop: Shop) -> None:
    with pytest.raises(Unknown):
        shop.house.ask(recall, str(make("C", 26, 999)))
    with pytest.raises(Unknown):
        shop.house.ask(sources_on, str(make("P", 26, 999)))
