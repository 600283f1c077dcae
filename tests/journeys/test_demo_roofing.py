"""Does the demo plant show a bundle by its cut list, paint batches, and the ends of its roofing?"""

from collections.abc import Iterator
from typing import Any

import pytest
from floor_work import plain
from lotroot.database import Database
from lotroot.genealogy.lots import find_lot, lots_of_run
from lotroot.identity import ItemNumber, number_from
from lotroot.plant.adopted import current_plant
from lotroot.production.cuts import cut_words, cuts_of_lot
from lotroot.production.tables import run, run_scrap
from lotroot.questions import questions_of
from lotroot.stock.standing import standings
from lotroot.tracing.story import story
from lotroot.web.packages import weight_of
from sqlalchemy import Connection, select


@pytest.fixture(scope="module")
def connection(demo_database: Database) -> Iterator[Connection]:
    with demo_database.reading() as found:
        yield found


@pytest.fixture(scope="module")
def lot(connection: Connection) -> Any:
    """The lot of bundles that the demo cut to a list."""
    number = connection.scalar(select(run.c.number).where(run.c.process == "roll_forming_cut"))
    (only,) = lots_of_run(connection, str(number))
    return only


def test_every_bundle_has_its_lines_and_its_own_mass(connection: Connection, lot: Any) -> None:
    plant = current_plant(connection)
    cuts = cuts_of_lot(connection, lot.number)
    assert len(cuts) == lot.items == 7
    assert plain(cut_words(cuts[1], plant)) == "24 x 3.6 m, 12 x 2.4 m"
    told = [story(connection, str(ItemNumber(number_from(lot.number), serial))).weighs for serial in (1, 2)]
    assert [plain(one) for one in told] == ["453 kg", "494.55 kg"]


def test_two_paint_batches_met_in_one_bundle_and_somebody_said_so(connection: Connection, lot: Any) -> None:
    (asked,) = questions_of(connection, lot.number)
    assert asked.reason == "Item 6 is of paint batches PB-118 and PB-121: colours may differ."


def test_a_pallet_of_two_bundles_weighs_what_they_do(connection: Connection, lot: Any) -> None:
    on_it = [row for row in standings(connection, lot.number) if row.spot.startswith("P")]
    assert [(row.first, row.amount) for row in on_it] == [(1, 36), (2, 30)]
    assert weight_of(connection, on_it).words.replace("\u202f", " ") == "947.6 kg"
    by_pieces = find_lot(connection, lot.number).mass * 66 // lot.amount
    assert by_pieces == 936_269


def test_head_and_tail_of_roll_forming_are_named_scrap(connection: Connection) -> None:
    words = {code: one.words for code, one in current_plant(connection).reasons.items()}
    query = select(run_scrap.c.reason, run.c.process).join(run, run.c.number == run_scrap.c.run)
    rolled = {
        (row.process, words[row.reason])
        for row in connection.execute(query)
        if row.process.startswith("roll_forming")
    }
    assert rolled == {
        ("roll_forming", "Ends, head or tail"),
        ("roll_forming_cut", "Ends, head or tail"),
    }
