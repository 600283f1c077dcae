"""Does what comes in get its own number, label and names, whatever the tag tells and however odd it looks?"""

import json
from pathlib import Path
from typing import Any

import pytest
from houses import House, a_house
from lotroot.errors import KeyReused, NotAllowed, Question, Refused, Unknown, Unreadable
from lotroot.genealogy.lots import aliases_of, find_lot, lots_known_as
from lotroot.holds.handling import PlaceHold
from lotroot.holds.reach import held_by
from lotroot.labelling.tables import print_job
from lotroot.ledger.book import keep_file
from lotroot.questions import open_questions
from lotroot.receiving.commands import (
    OpenStock,
    ReceiveLot,
    ReserveNumbers,
)
from lotroot.receiving.receipts import (
    certificates_awaited,
    details_due,
    latest_receipts,
    received_as,
    source_of,
    usual_mass,
)
from lotroot.stock.standing import standings, totals

COIL = {
    "product": "rod_55",
    "supplier": "nordhavn",
    "supplier_number": "nh-4711",
    "heats": ("H88",),
    "amount": 2_010_000,
    "mass_theirs": 2_015_000,
}


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


def receive(house: House, answers: dict[str, str] | None = None, **fields: Any) -> str:
    command = ReceiveLot(**{**COIL, **fields})
    return house.post(command, "receiver", answers=answers or {}).numbers[0]


def kept(house: House, content: bytes, name: str = "3.1 certificate.pdf") -> str:
    with house.database.writing() as connection:
        return keep_file(connection, name, "application/pdf", content)


def names(house: House, lot: str) -> list[tuple[str, str]]:
    return [(row.scheme, row.value) for row in house.ask(aliases_of, lot)]


def reasons(house: House, lot: str) -> list[str]:
    return [row.reason for row in house.ask(open_questions) if row.subject == lot]


def test_a_coil_gets_a_number_a_place_a_label_and_every_name_on_its_tag(house: House) -> None:
    answer = house.post(
        ReceiveLot(**COIL, grade="C9D", size="5.5", order_number="PO 12", delivery="lf 77"),
        "receiver",
        station=house.thing("station", "receiving"),
    )
    (lot,) = answer.numbers
    assert (lot[0], answer.labels, answer.verdict) == ("C", (lot,), "accepted")
    assert answer.say == f"{lot[:3]}-{lot[3:9]}-{lot[9:]}: Wire rod 5.5 mm, 2\u202f010\u202fkg, at Coil yard."
    row = house.ask(find_lot, lot)
    assert (row.source, row.amount, row.how, row.unit) == ("received", 2_010_000, "weighed", "g")
    assert [(one.spot, one.amount) for one in house.ask(standings, lot)] == [
        (house.thing("place", "coil_yard"), 2_010_000)
    ]
    assert names(house, lot) == [
        ("delivery", "LF 77"),
        ("heat", "H88"),
        ("supplier", "NORDHAVN"),
        ("supplier's number", "NH-4711"),
    ]
    source = house.ask(source_of, lot)
    assert (source.supplier_number, source.heats, source.order_number) == ("nh-4711", "H88", "PO 12")


@pytest.mark.parametrize("typed", ["nh-4711", "NH-4711", "  nh-4711 "])
def test_a_suppliers_number_leads_to_the_lot_however_it_is_typed(house: House, typed: str) -> None:
    lot = receive(house)
    assert house.ask(lots_known_as, typed) == [lot]
    assert [row.lot for row in house.ask(received_as, "nordhavn", typed)] == [lot]


@pytest.mark.parametrize(
    ("heats", "kept_as", "aliases"),
    [
        (("H1",), "H1", ["H1"]),
        (("h1", "H2"), "h1; H2", ["H1", "H2"]),
        (("H1; h1 ;H2",), "H1; H2", ["H1", "H2"]),
        (("not on tag",), "not on tag", []),
        (("Not On Tag",), "not on tag", []),
    ],
)
def test_heats_are_one_two_or_not_on_the_tag(
    house: House, heats: tuple[str, ...], kept_as: str, aliases: list[str]
) -> None:
    lot = receive(house, heats=heats)
    assert house.ask(source_of, lot).heats == kept_as
    assert [value for scheme, value in names(house, lot) if scheme == "heat"] == aliases


@pytest.mark.parametrize(
    ("fields", "error", "said"),
    [
        ({"supplier": ""}, Unreadable, "lacks the supplier"),
        ({"supplier": "nobody"}, Unknown, "No supplier nobody"),
        ({"supplier": "tamarind"}, Unknown, "No supplier tamarind"),  # a customer
        ({"heats": ()}, Unreadable, "lacks the heat"),
        ({"heats": ("H1", "not on tag")}, Unreadable, "do not go together"),
        ({"product": "moon_rock"}, Unknown, "moon_rock"),
        ({"amount": 0, "mass_theirs": 0}, Unreadable, "was not told"),
        ({"amount": -1}, Unreadable, "amount cannot be -1 g"),
        ({"amount": 10**9}, Unreadable, "amount cannot be 1\u202f000\u202f000\u202fkg"),
        ({"items": 10**9}, Unreadable, "items cannot be"),
        ({"items": 20_000}, Unreadable, "No items: a lot of this kind is one piece"),
        ({"mass_theirs": 2**53}, Unreadable, "cannot be kept in the ledger"),
        ({"how": "guessed"}, Unreadable, "How the amount is known"),
        ({"amount": 5, "mass": 6}, Unreadable, "The mass does not fit"),
        ({"items": 3}, Unreadable, "number of items"),
        ({"supplier_number": "9" * 91}, Unreadable, "supplier number cannot be kept"),
        ({"remark": "long " * 101}, Unreadable, "remark cannot be kept"),
        ({"certificate": "f" * 64}, Unreadable, "not kept here"),
        ({"photo": "to follow"}, Unreadable, "not kept here"),
        ({"place": "T2600999911"}, Unknown, "is not a place"),
        ({"number": "C2600000120"}, Refused, "never set aside"),
        ({"number": "C2600000121"}, Unreadable, "no number of ours"),
        ({"kind": "stripper"}, Unreadable, "not of the kind"),
    ],
)
def test_what_cannot_be_read_is_sent_back_and_nothing_is_recorded(
    house: House, fields: dict[str, Any], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said) as refused:
        receive(house, **fields)
    assert getattr(refused.value, "next_step", "")
    assert house.ask(latest_receipts) == []


def test_only_those_who_may_receive_do(house: House) -> None:
    with pytest.raises(NotAllowed):
        house.post(ReceiveLot(**COIL), "operator")


def test_their_mass_stands_in_where_nobody_weighed(house: House) -> None:
    lot = receive(house, amount=0)
    row = house.ask(find_lot, lot)
    assert (row.amount, row.how) == (2_015_000, "theirs")
    assert reasons(house, lot) == []


@pytest.mark.parametrize(
    ("ours", "asked"), [(1_994_850, False), (1_994_849, True), (2_035_150, False), (2_035_151, True)]
)
def test_masses_more_than_one_percent_apart_are_asked_about(house: House, ours: int, asked: bool) -> None:
    if not asked:
        assert reasons(house, receive(house, amount=ours)) == []
        return
    with pytest.raises(Question) as question:
        receive(house, amount=ours)
    assert set(question.value.choices) == {"ours", "theirs"}
    assert house.ask(latest_receipts) == []


@pytest.mark.parametrize(
    ("choice", "amount", "how"), [("ours", 1_900_000, "weighed"), ("theirs", 2_015_000, "theirs")]
)
def test_the_answer_about_masses_is_recorded_and_in_question(
    house: House, choice: str, amount: int, how: str
) -> None:
    lot = receive(house, {"mass-differs": choice}, amount=1_900_000)
    row = house.ask(find_lot, lot)
    assert (row.amount, row.how) == (amount, how)
    assert len(reasons(house, lot)) == 1


def test_the_same_number_of_a_supplier_is_asked_about_once(house: House) -> None:
    first = receive(house)
    house.clock.forward(minutes=5)
    with pytest.raises(Question, match="received at 06:0") as question:
        receive(house, supplier_number="NH-4711 ")
    assert set(question.value.choices) == {"another", "same"}
    with pytest.raises(Refused) as refused:
        receive(house, {"received-already": "same"})
    assert refused.value.word == "already"
    second = receive(house, {"received-already": "another"})
    assert [row.lot for row in house.ask(received_as, "nordhavn", "nh-4711")] == [first, second]
    assert reasons(house, second) != []
    other = receive(house, supplier="bellmead")  # another supplier may use the same number
    assert reasons(house, other) == []


def test_the_same_key_is_one_receipt(house: House) -> None:
    key = "the-same-key-twice"
    first = house.post(ReceiveLot(**COIL), "receiver", key=key)
    again = house.post(ReceiveLot(**COIL), "receiver", key=key)
    assert (again.numbers, again.replayed) == (first.numbers, True)
    assert len(house.ask(latest_receipts)) == 1
    with pytest.raises(KeyReused):
        house.post(ReceiveLot(**{**COIL, "amount": 1}), "receiver", key=key)


@pytest.mark.parametrize(
    ("reason", "words"), [("coating_low", "Coating low"), ("rusty at one end", "rusty at one end")]
)
def test_one_key_holds_what_comes_in(house: House, reason: str, words: str) -> None:
    lot = receive(house, hold_reason=reason)
    assert [one.reason for one in house.ask(held_by, lot)] == [words]
    (job,) = [row for row in house.rows(print_job) if row["number"] == lot]
    assert "ON HOLD" in job["fields"]


@pytest.mark.parametrize(
    ("hold", "caught"),
    [
        ({"heat": "h88"}, True),
        ({"delivery": "LF 77"}, True),
        ({"supplier": "nordhavn"}, True),
        ({"heat": "H88", "supplier": "nordhavn"}, True),
        ({"heat": "H88", "supplier": "bellmead"}, False),
        ({"heat": "H89"}, False),
    ],
)
def test_a_hold_placed_before_catches_what_comes_in(house: House, hold: dict[str, str], caught: bool) -> None:
    house.post(PlaceHold("Recalled by the mill", **hold), "qa")
    lot = receive(house, delivery="lf 77")
    assert bool(house.ask(held_by, lot)) is caught


def test_a_certificate_is_there_to_follow_or_missing(house: House) -> None:
    digest = kept(house, b"%PDF certificate")
    with_it = receive(house, certificate=digest, photo=kept(house, b"a picture", "tag.jpg"))
    later = receive(house, supplier_number="2", certificate="to follow")
    receive(house, supplier_number="3")
    assert house.ask(source_of, with_it).certificate == digest
    assert [row.lot for row in house.ask(certificates_awaited)] == [later]
    assert house.ask(held_by, later) == []


@pytest.mark.parametrize(
    ("place", "station", "stands"),
    [
        ("rod_yard", "", "rod_yard"),
        ("", "receiving", "coil_yard"),
        ("", "laboratory", "quarantine"),
        ("", "", "coil_yard"),  # the first yard
    ],
)
def test_goods_stand_where_they_are_put(house: House, place: str, station: str, stands: str) -> None:
    named = house.thing("place", place) if place else ""
    at = house.thing("station", station) if station else ""
    lot = house.post(ReceiveLot(**COIL, place=named), "receiver", station=at).numbers[0]
    assert [row.spot for row in house.ask(standings, lot)] == [house.thing("place", stands)]


@pytest.mark.parametrize(
    ("fields", "born"),
    [
        # product, what was told → amount, how, mass, how the mass is known, items
        (
            {"product": "lumber_2x4x12", "amount": 294, "mass_theirs": 0},
            (294, "counted", None, "", 0),
        ),
        (
            {"product": "concentrate_ca", "amount": 1_000_000, "mass_theirs": 1_230_000},
            (1_000_000, "weighed", 1_230_000, "theirs", 0),
        ),
        (
            {"product": "concentrate_ca", "amount": 1_000_000, "mass": 1_225_000, "mass_theirs": 1_230_000},
            (1_000_000, "weighed", 1_225_000, "weighed", 0),
        ),
        ({"product": "pvc_green", "amount": 25_000, "how": "estimated"}, (25_000, "estimated", None, "", 0)),
        (
            {"product": "box_25x50", "items": 40, "amount": 0},
            (1_000_000, "counted", None, "", 40),
        ),
        (
            {"product": "mesh_a142", "items": 3, "amount": 0, "mass_theirs": 3_068_000},
            (120, "counted", 3_068_000, "theirs", 3),
        ),
    ],
)
def test_each_kind_keeps_its_own_amount(house: House, fields: dict[str, Any], born: tuple[Any, ...]) -> None:
    plain = {**COIL, "heats": (), "mass_theirs": 0, "amount": 0}
    lot = house.post(ReceiveLot(**{**plain, **fields}), "receiver").numbers[0]
    row = house.ask(find_lot, lot)
    assert (row.amount, row.how, row.mass, row.mass_how, row.items) == born
    assert house.ask(totals, lot)["born"] == -born[0]
    assert sum(one.amount for one in house.ask(standings, lot)) == born[0]


def test_opening_stock_is_labelled_with_what_its_old_tag_tells(house: House) -> None:
    lot = house.post(
        OpenStock(product="coil_40x1250", amount=4_000_000, how="estimated"), "administrator"
    ).numbers[0]
    row = house.ask(find_lot, lot)
    assert (row.source, row.amount, row.how) == ("before", 4_000_000, "estimated")
    assert names(house, lot) == []
    told = OpenStock(
        product="box_25x50", items=12, supplier="nordhavn", heats=("H5",), hold_reason="look_again"
    )
    boxes = house.post(told, "administrator")
    assert (boxes.labels, names(house, boxes.numbers[0])) == (
        boxes.numbers,
        [("heat", "H5"), ("supplier", "NORDHAVN")],
    )
    assert [(one.first, one.last) for one in house.ask(standings, boxes.numbers[0])] == [(1, 12)]
    assert house.ask(held_by, boxes.numbers[0], 5, 5) != []
    with pytest.raises(Unreadable, match="was not told"):
        house.post(OpenStock(product="coil_40x1250"), "administrator")


def test_an_emergency_needs_nothing_but_a_number(house: House) -> None:
    answer = house.post(ReceiveLot(emergency=True), "receiver")
    (lot,) = answer.numbers
    assert (answer.labels, answer.verdict) == ((lot,), "in_question")
    assert [row.lot for row in house.ask(details_due)] == [lot]
    assert house.ask(find_lot, lot).how == "estimated"
    assert [row.spot for row in house.ask(standings, lot)] == [house.thing("place", "coil_yard")]


def test_a_label_says_nothing_that_nobody_told(house: House) -> None:
    unknown = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    told = ReceiveLot(emergency=True, product="rod_65", heats=("not on tag",))
    house.post(told, "receiver")
    held = house.post(ReceiveLot(emergency=True, hold_reason="look_again"), "receiver").numbers[0]
    labels = {job["number"]: json.loads(job["fields"]) for job in house.rows(print_job)}
    assert {"product", "amount"}.isdisjoint(labels[unknown])
    assert [(one.get("kind"), one.get("product"), one["held"]) for one in labels.values()] == [
        ("Coil", None, "DETAILS DUE"),
        ("Rod coil", "Wire rod 6.5 mm", "DETAILS DUE"),
        ("Coil", None, "ON HOLD"),
    ]
    assert list(labels)[2] == held


def test_a_label_kept_ready_is_used_once_for_goods_of_its_letter(house: House) -> None:
    pad = house.post(ReserveNumbers(letter="L", count=3), "administrator").numbers
    lot = house.post(ReceiveLot(emergency=True, number=pad[1]), "receiver").numbers[0]
    assert lot == pad[1]
    assert house.ask(find_lot, lot).kind == "lumber"  # the first of that letter
    with pytest.raises(Refused, match="given already") as refused:
        house.post(ReceiveLot(emergency=True, number=pad[1]), "receiver")
    assert refused.value.word == "already"
    with pytest.raises(Unreadable, match="beginning with C"):
        receive(house, number=pad[2])
    fresh = house.post(ReceiveLot(emergency=True, kind="lumber"), "receiver").numbers[0]
    assert fresh not in pad


@pytest.mark.parametrize(("letter", "count"), [("U", 1), ("H", 5), ("Z", 1), ("C", 0), ("C", 501)])
def test_only_numbers_of_goods_are_set_aside(house: House, letter: str, count: int) -> None:
    with pytest.raises(Unreadable):
        house.post(ReserveNumbers(letter=letter, count=count))


def test_the_usual_mass_of_a_product_is_the_middle_of_its_latest_tags(house: House) -> None:
    assert house.ask(usual_mass, "rod_55") == 0
    for place, mass in enumerate((2_000_000, 9_000_000, 2_100_000)):
        receive(house, supplier_number=str(place), amount=0, mass_theirs=mass)
    assert house.ask(usual_mass, "rod_55") == 2_100_000


def test_receipts_are_listed_latest_first_and_paged(house: House) -> None:
    lots = [receive(house, supplier_number=str(place)) for place in range(5)]
    first = house.ask(latest_receipts, limit=3)
    assert [row.lot for row in first] == lots[:1:-1]
    assert [row.lot for row in house.ask(latest_receipts, before=first[-1].id)] == lots[1::-1]


def test_status_of_receipts_is_what_their_events_say(house: House) -> None:
    house.post(PlaceHold("Watched", supplier="nordhavn"), "qa")
    receive(house, heats=("H1", "H2"), certificate="to follow")
    house.post(ReserveNumbers(letter="C", count=2))
    house.post(ReceiveLot(emergency=True), "receiver")
    assert house.status() == house.rebuilt()
