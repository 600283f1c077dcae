"""Does a hold of a heat, delivery or supplier catch what comes later, and how does QA end that?"""

from pathlib import Path

import pytest
from houses import House
from lotroot.errors import NotAllowed, Refused, Unreadable
from lotroot.holds.handling import EndHold, PlaceHold, ReleaseHold
from lotroot.holds.reach import held_by
from lotroot.holds.standing import standing_holds
from lotroot.identity.showing import shown
from lotroot.receiving.commands import CompleteReceipt, DeliveryRow, ReceiveDelivery, ReceiveLot
from lotroot.voiding.handling import Undo
from offices import an_office_house, office, sent
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def came(house: House, heat: str = "H99") -> str:
    told = ReceiveLot(product="rod_55", supplier="nordhavn", amount=1_000_000, heats=(heat,))
    return house.post(told, "receiver").numbers[0]


def placed(house: House) -> int:
    house.post(PlaceHold("brittle", heat="H99"), "qa")
    [standing] = house.ask(standing_holds)
    return int(standing.hold.id)


def reasons(house: House, lot: str) -> list[str]:
    return [one.reason for one in house.ask(held_by, lot)]


def test_it_catches_what_comes_later_until_it_is_ended(house: House) -> None:
    first = came(house)
    hold = placed(house)
    second = came(house)
    said = house.post(EndHold(hold, "certificate of the heat is in"), "qa").say
    third = came(house)
    assert said.endswith("catches nothing more: certificate of the heat is in. What it holds stays held.")
    assert [reasons(house, lot) for lot in (first, second, third)] == [["brittle"], ["brittle"], []]
    assert house.status() == house.rebuilt()


def test_it_stands_on_the_page_until_all_is_released_and_nothing_more_is_caught(house: House) -> None:
    coil = came(house)
    hold = placed(house)
    house.post(ReleaseHold(hold, coil, "bend test passed"), "qa")
    [standing] = house.ask(standing_holds)
    assert standing.catching
    qa = office(house, "qa")
    assert "Also catches later: heat H99" in qa.client.get("/holds").text
    ended = sent(qa, f"/holds/{hold}/end", "/holds", words="the heat was mistyped")
    assert "Nothing is held." in ended
    assert house.ask(standing_holds) == []


def test_a_hold_of_something_that_never_came_can_be_ended(house: House) -> None:
    hold = placed(house)
    qa = office(house, "qa")
    assert "Catch nothing more" in qa.client.get("/holds").text
    assert "Nothing is held." in sent(qa, f"/holds/{hold}/end", "/holds", words="the heat was mistyped")
    assert reasons(house, came(house)) == []


def test_what_cannot_be_ended_is_said_and_changes_nothing(house: House) -> None:
    coil = came(house)
    house.post(PlaceHold("brittle", lot=coil), "qa")
    [standing] = house.ask(standing_holds)
    with pytest.raises(Refused, match="catches nothing that comes later"):
        house.post(EndHold(standing.hold.id, "tested"), "qa")
    with pytest.raises(Refused, match="catches nothing that comes later"):
        house.post(EndHold(4_711, "tested"), "qa")
    hold = placed_beside(house)
    with pytest.raises(Unreadable, match="needs a reason"):
        house.post(EndHold(hold, " "), "qa")
    with pytest.raises(NotAllowed):
        house.post(EndHold(hold, "no time"), "operator")
    house.post(EndHold(hold, "tested"), "qa")
    with pytest.raises(Refused, match="catches nothing that comes later"):
        house.post(EndHold(hold, "tested"), "qa")
    assert reasons(house, coil) == ["brittle", "brittle"]


def placed_beside(house: House) -> int:
    house.post(PlaceHold("brittle", heat="H99"), "qa")
    return int(house.ask(standing_holds)[-1].hold.id)


def test_what_was_taken_back_is_no_longer_among_what_is_held(house: House) -> None:
    told = ReceiveLot(
        product="rod_55", supplier="nordhavn", amount=1_000_000, heats=("A",), hold_reason="brittle"
    )
    shop = Shop(house)
    coil = shop.at("receiving", told, "receiver").numbers[0]
    assert coil in office(house, "qa").client.get("/holds").text
    shop.at("receiving", Undo(), "receiver")
    assert "Nothing is held." in office(house, "qa").client.get("/holds").text


def test_a_lot_and_a_heat_in_one_hold_are_refused_for_only_the_lot_would_be_held(house: House) -> None:
    lot, other = came(house, "H1"), came(house, "H99")
    qa = office(house, "qa")
    said = sent(qa, "/holds", "/holds", number=lot, heat="H99", reason="brittle")
    assert "not both" in said
    assert [house.ask(standing_holds), reasons(house, lot), reasons(house, other)] == [[], [], []]


def test_whoever_receives_or_completes_what_is_caught_is_told(house: House) -> None:
    placed(house)
    told = ReceiveLot(product="rod_55", supplier="nordhavn", amount=1_000_000, heats=("H99",))
    assert house.post(told, "receiver").say.endswith(" On hold: brittle.")
    row = DeliveryRow(product="rod_55", amount=1_000_000, supplier_number="A 1", heats=("H99",))
    free = DeliveryRow(product="rod_55", amount=1_000_000, supplier_number="A 2", heats=("H1",))
    both = ReceiveDelivery(supplier="nordhavn", delivery="LF 1", certificate="to follow", rows=(row, free))
    came_in = house.post(both, "receiver")
    assert came_in.say.endswith(f" On hold ({shown(came_in.numbers[0])}): brittle.")
    lot = house.post(ReceiveLot(emergency=True), "receiver").numbers[0]
    rest = CompleteReceipt(
        lot=lot,
        product="rod_55",
        supplier="nordhavn",
        supplier_number="A 3",
        amount=1_000_000,
        heats=("H99",),
    )
    assert house.post(rest, "receiver").say.endswith(" On hold: brittle.")


def test_undo_after_an_act_on_a_hold_says_what_to_do_instead(house: House) -> None:
    coil = came(house)
    hold = placed(house)
    acts = (
        (ReleaseHold(hold, coil, "bend test passed"), "Place the hold again"),
        (EndHold(hold, "the heat was mistyped"), "Place the hold again"),
        (PlaceHold("brittle", heat="H77"), "or to end it, on the page of holds"),
    )
    for act, instead in acts:
        house.post(act, "qa")
        with pytest.raises(Refused, match=instead):
            house.post(Undo(), "qa")
