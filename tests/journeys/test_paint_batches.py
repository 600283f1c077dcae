"""Are two paint batches in one bundle or on one pallet asked about before they go to a customer together?"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from floor_work import at, ok, run_at
from houses import a_house
from lotroot.errors import Question, Unreadable
from lotroot.genealogy.known_above import PAINT_BATCH, known_as_above
from lotroot.genealogy.lots import find_lot, lots_with
from lotroot.labelling.placing import drawn
from lotroot.labelling.rendering import layout_named
from lotroot.labelling.tables import print_job
from lotroot.moving.pallets import OpenPallet, PutOn, Restack
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run
from lotroot.questions import questions_of
from lotroot.receiving.commands import CorrectReceipt, ReceiveLot
from lotroot.receiving.receipts import source_of
from plants import demo_text
from query_plans import plans, read_whole
from shop import Shop

OLD, NEW = "P-1188", "P-1203"
TEXT = f"This is of paint batches {OLD} and {NEW}: colours may differ. Keep it as one?"


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    opened = Shop(a_house(database_url))
    yield opened
    opened.house.database.close()


def coil(shop: Shop, batch: str, amount: int = 2_200_000) -> str:
    """A painted coil: three bundles of 706.5 kg are in it, and a weld is in the fourth."""
    command = ReceiveLot(
        product="coil_40x1250",
        amount=amount,
        supplier="nordhavn",
        heats=("A1",),
        certificate="to follow",
        paint_batch=batch,
    )
    return shop.at("receiving", command, "receiver").numbers[0]


def load(shop: Shop, lot: str) -> str:
    """Put a coil on, the one there run out; what the operator is told."""
    shop.house.clock.forward(minutes=10)
    command = LoadInput(lot, product="sheet_t35")
    try:
        return shop.at("roll_1", command).say
    except Question as asked:
        return shop.at("roll_1", command, answers={asked.identifier: "ended"}).say


def bundles(shop: Shop, count: int = 1, **envelope: Any) -> str:
    """Bundles of the run; their lot."""
    shop.house.clock.forward(minutes=10)
    return shop.at("roll_1", MakeOutput(count=count), **envelope).numbers[0]


def welded(shop: Shop, first: str, second: str) -> str:
    """Three bundles of one coil, and another coil behind it."""
    load(shop, coil(shop, first))
    lot = bundles(shop, 3)
    load(shop, coil(shop, second))
    shop.house.clock.forward(minutes=10)
    return lot


def reasons(shop: Shop, number: str) -> list[str]:
    return [row.reason for row in shop.house.ask(questions_of, number)]


def pallet(shop: Shop) -> str:
    return shop.at("packing", OpenPallet()).numbers[0]


def batches(shop: Shop, lot: str, first: int = 0, last: int = 0) -> set[str]:
    return set(shop.house.ask(known_as_above, (lot, first, last), PAINT_BATCH))


# ---- in one bundle


def test_a_bundle_across_a_weld_of_two_paint_batches_is_asked_about_once(shop: Shop) -> None:
    lot = welded(shop, OLD, NEW)
    asked = shop.question(MakeOutput(count=1), "roll_1")
    assert (asked.what, list(asked.choices)) == (TEXT, ["both", "one"])
    assert shop.house.ask(find_lot, lot).items == 3, "nothing is recorded before the answer"
    answer = shop.at("roll_1", MakeOutput(count=1), answers={asked.identifier: "both"})
    assert answer.verdict == "in_question"
    assert reasons(shop, lot) == [f"Item 4 is of paint batches {OLD} and {NEW}: colours may differ."]
    bundles(shop)
    assert [batches(shop, lot, item, item) for item in (3, 4, 5)] == [{OLD}, {OLD, NEW}, {NEW}]
    assert len(reasons(shop, lot)) == 1, "the bundle behind it is of one batch"
    shop.closes()


def test_a_bundle_begun_anew_at_the_change_is_noted_and_not_in_question(shop: Shop) -> None:
    lot = welded(shop, OLD, NEW)
    answer = shop.asked(MakeOutput(count=1), "one", "roll_1")
    assert answer.verdict == "accepted"
    assert reasons(shop, lot) == []
    run = shop.house.ask(find_lot, lot).run
    noted = [mark.words for mark in shop.house.ask(find_run, run).marks]
    assert noted == [f"begun anew at the change of paint batches {OLD} and {NEW}: item 4"]


def test_bundles_told_together_are_asked_about_together(shop: Shop) -> None:
    lot = welded(shop, OLD, NEW)
    asked = shop.question(MakeOutput(count=2), "roll_1")
    assert "Does one of them hold both?" in asked.what
    shop.at("roll_1", MakeOutput(count=2), answers={asked.identifier: "both"})
    assert reasons(shop, lot)[0].startswith("One of the items 4 to 5 is of paint batches")


def test_whoever_loads_a_coil_of_another_batch_is_told_to_begin_a_new_bundle(shop: Shop) -> None:
    load(shop, coil(shop, OLD))
    bundles(shop, 3)
    said = load(shop, coil(shop, NEW))
    assert f"Paint batch {NEW} now, {OLD} before: begin a new bundle with it." in said


@pytest.mark.parametrize(("first", "second"), [(OLD, OLD), (OLD, "p-1188 "), ("", ""), (OLD, ""), ("", NEW)])
def test_one_batch_and_coils_of_no_known_batch_ask_nothing(shop: Shop, first: str, second: str) -> None:
    load(shop, coil(shop, first))
    lot = bundles(shop, 3)
    assert "aint batch" not in load(shop, coil(shop, second))
    bundles(shop, 2)
    assert reasons(shop, lot) == []
    carrier = pallet(shop)
    shop.at("packing", PutOn(carrier, shop.item(lot, 1), shop.item(lot, 5)))
    assert reasons(shop, carrier) == []


def test_a_plant_that_does_not_ask_for_one_batch_is_asked_nothing(tmp_path: Path) -> None:
    its = "[process.roll_forming]\n"
    assert its in demo_text()
    text = demo_text().replace(its, f"{its}one_paint_batch = false\n")
    shop = Shop(a_house(tmp_path, text))
    lot = welded(shop, OLD, NEW)
    bundles(shop)
    assert reasons(shop, lot) == []


# ---- on one pallet


def rolled(shop: Shop, batch: str) -> str:
    """Two bundles of a coil of their own; the run is closed."""
    load(shop, coil(shop, batch, 1_413_000))
    lot = bundles(shop, 2)
    shop.at("roll_1", CloseRun())
    return lot


def test_a_second_paint_batch_on_a_pallet_is_asked_about_first(shop: Shop) -> None:
    old, new = rolled(shop, OLD), rolled(shop, NEW)
    carrier = pallet(shop)
    shop.at("packing", PutOn(carrier, shop.item(old, 1)))
    shop.at("packing", PutOn(carrier, shop.item(old, 2)))
    put = PutOn(carrier, shop.item(new, 1))
    asked = shop.question(put)
    assert asked.what.endswith(
        f"holds paint batch {OLD}, this is of paint batch {NEW}: colours may differ. Put it on?"
    )
    assert reasons(shop, carrier) == []
    shop.at("packing", put, answers={asked.identifier: "yes"})
    shop.at("packing", PutOn(carrier, shop.item(new, 2)))  # both are known to be on it
    assert reasons(shop, carrier) == [f"It holds paint batches {OLD} and {NEW}: colours may differ."]
    shop.closes()


def test_pallets_of_two_paint_batches_are_asked_about_before_they_become_one(shop: Shop) -> None:
    carriers = []
    for batch in (OLD, NEW):
        carriers.append(pallet(shop))
        shop.at("packing", PutOn(carriers[-1], shop.item(rolled(shop, batch), 1)))
    command = Restack(tuple(carriers))
    answer = shop.asked(command, "yes")
    assert reasons(shop, answer.numbers[0]) == [
        f"It holds paint batches {OLD} and {NEW}: colours may differ."
    ]


# ---- as the tag says


def test_a_paint_batch_is_kept_as_on_the_tag_and_found_however_it_is_typed(shop: Shop) -> None:
    lot = coil(shop, "Rw 12/b")
    assert shop.house.ask(source_of, lot).paint_batch == "Rw 12/b"
    assert shop.house.ask(lots_with, PAINT_BATCH, "rw  12/B") == {lot}
    said = shop.at("receiving", CorrectReceipt(lot=lot, paint_batch=NEW), "receiver").say
    assert "paint batch P-1203 (was Rw 12/b)" in said
    assert (batches(shop, lot), shop.house.ask(lots_with, PAINT_BATCH, "Rw 12/b")) == ({NEW}, set())
    shop.at("receiving", CorrectReceipt(lot=lot, empty=("paint_batch",)), "receiver")
    assert batches(shop, lot) == set()
    shop.closes()


def test_a_paint_batch_of_more_than_40_characters_is_sent_back(shop: Shop) -> None:
    with pytest.raises(Unreadable, match="paint batch cannot be kept"):
        coil(shop, "B" * 41)
    assert shop.house.ask(source_of, coil(shop, "B" * 40)).paint_batch == "B" * 40


def test_the_batches_behind_a_bundle_are_found_by_index(shop: Shop) -> None:
    lot = welded(shop, OLD, NEW)
    with shop.house.database.reading() as connection:
        lines = plans(connection, lambda: known_as_above(connection, (lot, 1, 3), PAINT_BATCH))
    assert read_whole(lines) == []


def test_the_coil_tag_says_the_paint_batch(shop: Shop) -> None:
    lot = coil(shop, OLD)
    job = next(row for row in shop.house.rows(print_job) if row["number"] == lot)
    texts = [run.text for run in drawn(layout_named(job["layout"], 203), json.loads(job["fields"])).texts]
    assert f"Paint batch {OLD}" in texts


def test_the_roll_former_asks_whoever_scans(shop: Shop) -> None:
    roll = at(shop.house, "roll_1")
    roll.answer(coil(shop, OLD), "sheet_t35")
    ok(roll.scan("3"))
    ok(roll.scan("ENDED"))
    assert f"Paint batch {NEW} now" in ok(roll.scan(coil(shop, NEW)))["say"]
    shop.house.clock.forward(minutes=10)
    asked = roll.send(roll.body("1")).get_json()
    assert asked["question"]["text"].startswith(TEXT)
    roll.answer("1", "both")
    assert len(run_at(shop.house, "roll_1").outputs) == 2
