"""Can what was told about goods from outside be completed and corrected at any time, also after use?"""

from pathlib import Path
from typing import Any

import pytest
from houses import House, a_house
from lotroot.errors import Question, Refused, Unreadable
from lotroot.genealogy.lots import aliases_of, find_lot, lots_with
from lotroot.holds.handling import PlaceHold, ReleaseHold
from lotroot.holds.reach import held_by
from lotroot.labelling.tables import print_job
from lotroot.ledger.book import events_naming, keep_file
from lotroot.moving.places import MoveGoods
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.questions import open_questions
from lotroot.receiving.commands import (
    AddCertificate,
    CompleteReceipt,
    CorrectAmount,
    CorrectReceipt,
    OpenStock,
    ReceiveLot,
)
from lotroot.receiving.facts import ReceiptDetailed
from lotroot.receiving.receipts import certificates_awaited, details_due, source_of
from lotroot.stock.standing import standings, totals
from lotroot.voiding.handling import Void

COIL = {
    "product": "rod_55",
    "supplier": "nordhavn",
    "supplier_number": "4711",
    "heats": ("H1",),
    "amount": 2_000_000,
}


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


def receive(house: House, **fields: Any) -> str:
    return house.post(ReceiveLot(**{**COIL, **fields}), "receiver").numbers[0]


def reasons(house: House, lot: str) -> list[str]:
    return [row.reason for row in house.ask(open_questions) if row.subject == lot]


def accounts(house: House, lot: str) -> dict[str, int]:
    """What each account of a lot has, its places together as `standing`; sums to nothing (RULES 3)."""
    standing = sum(row.amount for row in house.ask(standings, lot))
    found = {**house.ask(totals, lot), "standing": standing}
    assert sum(found.values()) == 0
    assert found["born"] == -house.ask(find_lot, lot).amount
    return {name: amount for name, amount in found.items() if amount}


def drawn(house: House, coil: str, weight: int) -> str:
    """A stripper of so many grams drawn from a coil."""
    at = house.thing("station", "draw_1")
    house.post(LoadInput(coil), "operator", station=at)
    return house.post(MakeOutput(product="wire_25", weight=weight), "operator", station=at).numbers[0]


# ------------------------------------------------------------------ emergency receipts


def test_an_emergency_receipt_is_completed_and_labelled_anew(house: House) -> None:
    lot = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    house.post(MoveGoods(lot, house.thing("place", "rack_b")))
    answer = house.post(
        CompleteReceipt(
            lot=lot, product="coil_40x1250", supplier="bellmead", heats=("H7",), amount=5_000_000
        ),
        "receiver",
    )
    assert (answer.labels, answer.verdict) == ((lot,), "accepted")
    row = house.ask(find_lot, lot)
    assert (row.kind, row.product, row.amount, row.how) == (
        "sheet_coil",
        "coil_40x1250",
        5_000_000,
        "weighed",
    )
    assert [(one.spot, one.amount) for one in house.ask(standings, lot)] == [
        (house.thing("place", "rack_b"), 5_000_000)
    ]
    assert (house.ask(details_due), reasons(house, lot)) == ([], [])
    assert [job["copy"] for job in house.rows(print_job) if job["number"] == lot] == [1, 2]
    assert accounts(house, lot) == {"born": -5_000_000, "standing": 5_000_000}


def test_a_hold_catches_an_emergency_receipt_when_its_heat_is_told(house: House) -> None:
    guessed = ReceiveLot(emergency=True, amount=1_900_000, how="estimated")
    lot = house.post(guessed, "receiver").numbers[0]
    stripper = drawn(house, lot, 300_000)
    house.post(PlaceHold("Recalled by the mill", heat="H7"), "qa")
    assert house.ask(held_by, stripper) == []
    rest = CompleteReceipt(lot=lot, product="rod_55", supplier="nordhavn", heats=("h7",), amount=2_000_000)
    house.post(rest, "receiver")
    assert [one.root for one in house.ask(held_by, stripper)] == [lot]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"product": "", "heats": ("H7",), "amount": 5}, "lacks the product"),
        ({"heats": ("H7",), "amount": 5}, "lacks the supplier"),
        ({"supplier": "nordhavn", "amount": 5}, "lacks the heat"),
        ({"supplier": "nordhavn", "heats": ("H7",)}, "was not told"),
    ],
)
def test_an_emergency_receipt_is_complete_or_still_due(
    house: House, fields: dict[str, Any], said: str
) -> None:
    lot = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    with pytest.raises(Unreadable, match=said):
        house.post(CompleteReceipt(**{"lot": lot, "product": "rod_55", **fields}), "receiver")
    assert [row.lot for row in house.ask(details_due)] == [lot]


def test_what_was_told_at_once_need_not_be_told_again(house: House) -> None:
    told = ReceiveLot(emergency=True, product="rod_65", supplier="nordhavn", heats=("H3",), amount=1_900_000)
    lot = house.post(told, "receiver").numbers[0]
    house.post(CompleteReceipt(lot=lot, supplier_number="88"), "receiver")
    row, source = house.ask(find_lot, lot), house.ask(source_of, lot)
    assert (row.product, row.amount, row.how) == ("rod_65", 1_900_000, "weighed")
    assert (source.supplier, source.supplier_number, source.heats) == ("nordhavn", "88", "H3")


def test_details_are_told_once(house: House) -> None:
    lot = receive(house)
    with pytest.raises(Refused, match="told already, 06:00") as refused:
        house.post(CompleteReceipt(lot=lot, supplier="bellmead"), "receiver")
    assert refused.value.word == "already"


def test_a_coil_cannot_be_completed_as_something_with_another_letter(house: House) -> None:
    lot = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    with pytest.raises(Refused, match="cannot become"):
        house.post(
            CompleteReceipt(lot=lot, product="lumber_2x4x12", supplier="nordhavn", amount=294), "receiver"
        )


def test_a_difference_is_asked_about_when_details_come(house: House) -> None:
    lot = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    late = CompleteReceipt(
        lot=lot, product="rod_55", supplier="nordhavn", heats=("H7",), amount=1_900_000, mass_theirs=2_000_000
    )
    with pytest.raises(Question):
        house.post(late, "receiver")
    house.post(late, "receiver", answers={"mass-differs": "theirs"})
    assert house.ask(find_lot, lot).amount == 2_000_000
    assert len(reasons(house, lot)) == 1


# ------------------------------------------------------------------ corrections of details


def test_a_corrected_heat_takes_its_aliases_along_and_keeps_the_old_word(house: House) -> None:
    lot = receive(house, heats=("H1", "H2"))
    answer = house.post(CorrectReceipt(lot=lot, heats=("H2", "H3")), "receiver")
    assert answer.say.endswith("corrected: heats H2; H3 (was H1; H2).")
    assert answer.labels == (lot,)
    assert [row.value for row in house.ask(aliases_of, lot) if row.scheme == "heat"] == ["H2", "H3"]
    assert house.ask(lots_with, "heat", "H1") == set()
    told = [one.event.details.heats for one in house.ask(events_naming, lot) if hasattr(one.event, "details")]
    assert told == [("H1", "H2"), ("H2", "H3")]


def test_a_corrected_heat_is_caught_by_its_hold_also_after_use(house: House) -> None:
    lot = receive(house)
    stripper = drawn(house, lot, 500_000)
    house.post(PlaceHold("Brittle", heat="H9"), "qa")
    house.post(CorrectReceipt(lot=lot, heats=("H9",)), "receiver")
    assert [one.root for one in house.ask(held_by, stripper)] == [lot]


def test_a_lot_a_hold_no_longer_means_stays_held_and_in_question_until_qa_frees_it(house: House) -> None:
    lot = receive(house)
    hold = int(house.post(PlaceHold("Brittle", heat="H1"), "qa").numbers[0])
    answer = house.post(CorrectReceipt(lot=lot, heats=("H2",)), "receiver")
    assert answer.verdict == "in_question"
    assert [one.hold for one in house.ask(held_by, lot)] == [hold]
    assert f"Hold {hold}" in reasons(house, lot)[0]
    house.post(ReleaseHold(hold, lot, "not that heat"), "qa")
    assert house.ask(held_by, lot) == []
    # and what is corrected back is not held twice
    house.post(CorrectReceipt(lot=lot, heats=("H1",)), "receiver")
    assert house.ask(held_by, lot) == []


def test_a_hold_on_the_lot_itself_does_not_mind_its_details(house: House) -> None:
    lot = receive(house, hold_reason="look_again")
    house.post(CorrectReceipt(lot=lot, heats=("H2",)), "receiver")
    assert reasons(house, lot) == []
    assert len(house.ask(held_by, lot)) == 1


def test_a_wrong_supplier_is_corrected(house: House) -> None:
    lot = receive(house)
    house.post(CorrectReceipt(lot=lot, supplier="bellmead", grade="C7D"), "receiver")
    source = house.ask(source_of, lot)
    assert (source.supplier, source.grade, source.supplier_number) == ("bellmead", "C7D", "4711")
    assert house.ask(lots_with, "supplier", "bellmead") == {lot}
    assert house.ask(lots_with, "supplier", "nordhavn") == set()


def test_a_corrected_number_that_another_lot_has_is_asked_about(house: House) -> None:
    receive(house)
    other = receive(house, supplier_number="4712")
    wrong = CorrectReceipt(lot=other, supplier_number="4711")
    with pytest.raises(Question):
        house.post(wrong, "receiver")
    house.post(wrong, "receiver", answers={"received-already": "another"})
    assert len(reasons(house, other)) == 1


def test_a_wrong_product_is_corrected_within_its_letter(house: House) -> None:
    lot = receive(house)
    house.post(CorrectReceipt(lot=lot, product="galv_25"), "supervisor")
    row = house.ask(find_lot, lot)
    assert (row.product, row.kind) == ("galv_25", "wire_coil")
    assert not any(isinstance(one.event, ReceiptDetailed) for one in house.ask(events_naming, lot))
    with pytest.raises(Refused, match="cannot become"):
        house.post(CorrectReceipt(lot=lot, product="pvc_green"), "supervisor")


def test_a_guessed_product_is_confirmed_before_the_rest_is_told(house: House) -> None:
    lot = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    guess = house.ask(find_lot, lot).product
    assert house.ask(source_of, lot).product_due == 1
    house.post(CorrectReceipt(lot=lot, product=guess), "receiver")
    source = house.ask(source_of, lot)
    assert (source.product_due, source.details_due) == (0, 1)
    with pytest.raises(Refused, match="so already"):
        house.post(CorrectReceipt(lot=lot, product=guess), "receiver")


def test_fields_are_emptied_by_name(house: House) -> None:
    lot = receive(house, delivery="LF 1", remark="wet")
    house.post(CorrectReceipt(lot=lot, empty=("delivery", "remark")), "receiver")
    source = house.ask(source_of, lot)
    assert (source.delivery, source.remark, source.heats) == ("", "", "H1")
    assert house.ask(lots_with, "delivery", "LF 1") == set()
    with pytest.raises(Unreadable, match="cannot be emptied"):
        house.post(CorrectReceipt(lot=lot, empty=("due",)), "receiver")


def test_what_is_so_already_is_not_recorded_again(house: House) -> None:
    lot = receive(house)
    for command in (
        CorrectReceipt(lot=lot, heats=("H1",)),
        CorrectReceipt(lot=lot, product="rod_55"),
        CorrectAmount(lot=lot, amount=2_000_000, why="wrong_number"),
    ):
        with pytest.raises(Refused) as refused:
            house.post(command)
        assert refused.value.word == "already"


def test_what_was_made_here_has_no_receipt(house: House) -> None:
    stripper = drawn(house, receive(house), 500_000)
    with pytest.raises(Refused, match="made here"):
        house.post(CorrectReceipt(lot=stripper, heats=("H1",)), "receiver")


# ------------------------------------------------------------------ certificates


def test_one_certificate_is_laid_to_all_lots_it_is_for(house: House) -> None:
    lots = tuple(receive(house, supplier_number=str(place), certificate="to follow") for place in range(3))
    with house.database.writing() as connection:
        digest = keep_file(connection, "heat H1.pdf", "application/pdf", b"%PDF")
    answer = house.post(AddCertificate(lots=lots[:2], file=digest))
    assert answer.numbers == lots[:2]
    assert "heat H1.pdf" in answer.say
    assert [row.lot for row in house.ask(certificates_awaited)] == [lots[2]]
    assert house.post(AddCertificate(lots=lots, file=digest)).numbers == lots[2:]
    with pytest.raises(Refused) as refused:
        house.post(AddCertificate(lots=lots, file=digest))
    assert refused.value.word == "already"
    with pytest.raises(Unreadable):
        house.post(AddCertificate(lots=(), file=digest))
    assert house.status() == house.rebuilt()


# ------------------------------------------------------------------ amounts


@pytest.mark.parametrize("amount", [2_100_000, 1_900_000, 1])
def test_an_amount_is_corrected_where_the_lot_stands(house: House, amount: int) -> None:
    lot = receive(house)
    answer = house.post(CorrectAmount(lot=lot, amount=amount, why="wrong_number"), "supervisor")
    assert (answer.labels, answer.verdict) == ((lot,), "accepted")
    assert accounts(house, lot) == {"born": -amount, "standing": amount}
    assert [row.spot for row in house.ask(standings, lot)] == [house.thing("place", "coil_yard")]


def test_what_stands_nowhere_is_corrected_by_the_difference(house: House) -> None:
    lot = receive(house)
    at = house.thing("station", "draw_1")
    drawn(house, lot, 1_950_000)
    house.post(UnloadInput(remainder=0), "operator", station=at)
    before = accounts(house, lot)
    house.post(CorrectAmount(lot=lot, amount=1_940_000, why="wrong_number"), "supervisor")
    assert "standing" not in accounts(house, lot)
    assert accounts(house, lot)["difference"] == before["difference"] - 60_000
    house.post(CorrectAmount(lot=lot, amount=2_040_000, why="wrong_number"), "supervisor")
    assert accounts(house, lot)["difference"] == before["difference"] + 40_000


def test_a_loaded_coil_may_stand_below_zero_until_it_ends(house: House) -> None:
    lot = receive(house)
    drawn(house, lot, 500_000)
    house.post(CorrectAmount(lot=lot, amount=400_000, why="wrong_number"), "supervisor")
    assert accounts(house, lot) == {"born": -400_000, "taken": 500_000, "standing": -100_000}


def test_a_corrected_amount_of_what_was_made_here_puts_it_in_question(house: House) -> None:
    stripper = drawn(house, receive(house), 500_000)
    answer = house.post(CorrectAmount(lot=stripper, amount=490_000, why="wrong_number"), "supervisor")
    assert answer.verdict == "in_question"
    assert accounts(house, stripper) == {"born": -490_000, "standing": 490_000}


def test_a_mass_beside_an_amount_is_corrected(house: House) -> None:
    lot = receive(house, product="concentrate_ca", heats=(), amount=1_000_000, mass_theirs=1_230_000)
    house.post(CorrectAmount(lot=lot, amount=1_000_000, mass=1_210_000, why="x"), "supervisor")
    row = house.ask(find_lot, lot)
    assert (row.amount, row.mass, row.mass_how) == (1_000_000, 1_210_000, "weighed")
    with pytest.raises(Unreadable, match="no mass beside"):
        house.post(
            CorrectAmount(lot=receive(house, supplier_number="2"), amount=5, mass=5, why="x"), "supervisor"
        )


def test_items_that_stand_together_are_corrected_together(house: House) -> None:
    boxes = house.post(OpenStock(product="box_25x50", items=12)).numbers[0]
    house.post(CorrectAmount(lot=boxes, amount=299_000, why="wrong_number"), "supervisor")
    assert accounts(house, boxes) == {"born": -299_000, "standing": 299_000}
    assert [(row.first, row.last) for row in house.ask(standings, boxes)] == [(1, 12)]
    house.post(MoveGoods(boxes, house.thing("place", "rack_a")))


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"amount": 0}, "cannot be recorded"),
        ({"amount": -1}, "cannot be -1"),
        ({"amount": 10**10}, "From 0 to"),
        ({"how": "guessed"}, "cannot be recorded"),
        ({"why": " "}, "reason does not fit"),
    ],
)
def test_an_amount_is_corrected_to_one_that_can_be(house: House, fields: dict[str, Any], said: str) -> None:
    lot = receive(house)
    with pytest.raises(Unreadable, match=said):
        house.post(CorrectAmount(**{"lot": lot, "amount": 5, "why": "x", **fields}), "supervisor")


def test_a_receipt_that_never_was_is_taken_back_and_its_number_stays_given(house: House) -> None:
    answer = house.post(ReceiveLot(**COIL), "receiver")
    house.post(Void(answer.posting), "receiver")
    (lot,) = answer.numbers
    assert house.ask(find_lot, lot).voided == 1
    assert receive(house) != lot  # the supplier's number is free again: nothing is asked
    with pytest.raises(Refused, match="taken back"):
        house.post(CorrectReceipt(lot=lot, heats=("H2",)), "receiver")
    with pytest.raises(Refused, match="taken back"):
        house.post(CorrectAmount(lot=lot, amount=5, why="x"), "supervisor")


def test_status_after_corrections_is_what_their_events_say(house: House) -> None:
    lot = receive(house, heats=("H1", "H2"))
    drawn(house, lot, 500_000)
    house.post(PlaceHold("Brittle", heat="H1"), "qa")
    house.post(CorrectReceipt(lot=lot, heats=("H2",), supplier="bellmead"), "receiver")
    house.post(CorrectAmount(lot=lot, amount=1_800_000, why="wrong_number"), "supervisor")
    due = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    rest = CompleteReceipt(lot=due, product="rod_65", supplier="nordhavn", heats=("H1",), amount=3)
    house.post(rest, "receiver")
    assert house.status() == house.rebuilt()
