"""Is what stands at a place counted label by label, and taken back as it was recorded?"""

from collections.abc import Iterator

import pytest
from counting_shop import RACK, YARD, Counting
from houses import House, a_house
from lotroot.counting.commands import FinishCount, StartCount
from lotroot.counting.counts import differences_of, find_count, seen_in
from lotroot.errors import LotrootError, Question, Refused, Unknown, Unreadable
from lotroot.holds.handling import PlaceHold
from lotroot.identity import make
from lotroot.identity.showing import shown
from lotroot.moving.pallets import Restack
from lotroot.moving.places import MoveGoods
from lotroot.production.loading import LoadInput
from lotroot.questions import questions_of
from lotroot.stock.carriers import find_carrier
from lotroot.voiding.handling import Undo, Void


@pytest.fixture
def shop(database_url: str) -> Iterator[Counting]:
    house: House = a_house(database_url)
    yield Counting(house)
    house.database.close()


def test_a_count_of_what_is_as_recorded_has_no_difference(shop: Counting) -> None:
    coils = [shop.coil() for _ in range(3)]
    count = shop.start()
    assert shop.done(count) == (0, 3)
    for coil in coils:
        assert shop.see(count, coil).say == f"{shown(coil)}: seen."
    assert shop.done(count) == (3, 3)
    assert shop.finish(count).say == "Coil yard: 3 of 3 seen, no difference."
    assert shop.doubts() == set()
    shop.closes()


def test_a_place_is_counted_once_at_a_time_and_two_places_by_two(shop: Counting) -> None:
    count = shop.start()
    with pytest.raises(Refused, match=f"Go on with count {count}") as refused:
        shop.start(who="dispatcher")
    assert refused.value.word == "already"
    other = shop.start(RACK, who="dispatcher")
    coil = shop.coil()
    shop.see(count, coil, "dispatcher")  # who joins scans into the same count
    shop.finish(count)
    assert shop.start() not in (count, other)


def test_a_second_scan_says_when_the_first_was(shop: Counting) -> None:
    coil, lot = shop.coil(), shop.boxes()
    pallet = shop.pallet(lot, 1, 3)
    count = shop.start()
    shop.see(count, coil)
    shop.see(count, pallet)
    for number, words in (
        (coil, rf"{shown(coil)} was seen at \d\d:\d\d\."),
        (pallet, r"was seen at \d\d:\d\d\."),
        (shop.item(lot, 2), rf"was seen at \d\d:\d\d, on pallet {shown(pallet)}\."),
    ):
        with pytest.raises(Refused, match=words) as refused:
            shop.see(count, number)
        assert refused.value.word == "already"
    assert len(shop.house.ask(seen_in, count)) == 3


# ---- missing


def test_what_nobody_scanned_is_missing_and_in_question_until_it_is_written_off(shop: Counting) -> None:
    coil, other = shop.coil(), shop.coil()
    count = shop.start()
    shop.see(count, other)
    answer = shop.finish(count)
    assert answer.verdict == "in_question"
    assert answer.say == "Coil yard: 1 of 2 seen, 1 missing."
    assert shop.found(count) == [("missing", coil)]
    assert shop.doubts() == {coil}
    shop.settle(count, "looked_for")
    assert shop.doubts() == {coil}
    with pytest.raises(Unreadable, match="needs a reason"):
        shop.settle(count, "written_off")
    assert shop.spot(coil) == {shop.place(YARD): 2_000_000}
    said = shop.settle(count, "written_off", reason="used_unrecorded").say
    assert said == f"{shown(coil)}: written off, Used, not recorded."
    assert shop.doubts() == set()
    assert shop.spot(coil) == {}
    assert shop.account(coil) == {"born": -2_000_000, "difference": 2_000_000}
    with pytest.raises(Refused, match="written off already"):
        shop.settle(count, "here")
    shop.closes()


def test_the_count_goes_on_where_the_answer_is_no(shop: Counting) -> None:
    shop.coil()
    count = shop.start()
    with pytest.raises(Question, match="1 label was not seen at Coil yard") as asked:
        shop.at("receiving", FinishCount(count), "receiver")
    with pytest.raises(Refused, match="goes on"):
        shop.at("receiving", FinishCount(count), "receiver", answers={asked.value.identifier: "no"})
    assert shop.house.ask(find_count, count).state == "open"


def test_what_went_or_came_while_the_count_went_on_is_not_missing(shop: Counting) -> None:
    moved, used, back = shop.coil(), shop.coil(), shop.coil()
    count = shop.start()
    shop.at("dispatch", MoveGoods(moved, shop.place(RACK)), "dispatcher")
    shop.at("draw_1", LoadInput(used, product="wire_25", end="outer"))
    shop.at("dispatch", MoveGoods(back, shop.place(RACK)), "dispatcher")
    shop.at("dispatch", MoveGoods(back, shop.place(YARD)), "dispatcher")
    shop.coil()
    assert shop.done(count) == (0, 0)
    assert shop.finish(count).say == "Coil yard: 0 of 0 seen, no difference."


def test_what_was_seen_and_then_moved_away_is_no_difference(shop: Counting) -> None:
    coil = shop.coil()
    count = shop.start()
    shop.see(count, coil)
    shop.at("dispatch", MoveGoods(coil, shop.place(RACK)), "dispatcher")
    shop.finish(count)
    assert shop.found(count) == []


def test_of_a_pallet_only_the_boxes_that_nobody_scanned_are_missing(shop: Counting) -> None:
    lot = shop.boxes()
    pallet = shop.pallet(lot, 1, 4)
    whole = shop.pallet(lot, 5, 6)
    count = shop.start()
    assert shop.done(count) == (0, 2)
    said = shop.see(count, shop.item(lot, 2), to=shop.item(lot, 3)).say
    assert said.endswith(f"seen. It is on pallet {shown(pallet)}.")
    shop.finish(count)
    assert shop.found(count) == [
        ("missing", whole),
        ("missing", shop.item(lot, 1)),
        ("missing", shop.item(lot, 4)),
    ]
    assert shop.doubts() == {lot, whole}
    shop.settle(count, "written_off", 1, reason="not_found")
    shop.settle(count, "written_off", 2, reason="not_found")
    assert shop.stands(lot) == [(2, 4, 75_000)]
    assert shop.house.ask(find_carrier, whole).state == "emptied"
    assert shop.house.ask(find_carrier, pallet).state == "open", "its label tells what is no longer so"
    shop.settle(count, "here", 3)
    assert shop.doubts() == set()
    shop.closes()


def test_what_was_missed_and_has_been_used_since_is_not_written_off(shop: Counting) -> None:
    coil = shop.coil()
    count = shop.start()
    shop.finish(count)
    shop.at("dispatch", MoveGoods(coil, shop.place(RACK)), "dispatcher")
    with pytest.raises(Refused, match="it turned up"):
        shop.settle(count, "written_off", reason="not_found")
    shop.settle(count, "here")
    assert shop.doubts() == set()


def test_the_next_count_says_whether_what_was_missed_is_there(shop: Counting) -> None:
    coil, other = shop.coil(), shop.coil()
    first = shop.start()
    shop.finish(first)
    assert shop.doubts() == {coil, other}
    second = shop.start()
    shop.see(second, coil)
    shop.finish(second)
    assert [row.choice for row in shop.house.ask(differences_of, first)] == ["counted_again"] * 2
    assert shop.found(second) == [("missing", other)]
    assert shop.doubts() == {other}
    shop.closes()


# ---- what cannot be counted, and what is counted all the same


def test_held_goods_are_counted_and_it_is_said(shop: Counting) -> None:
    coil = shop.coil()
    shop.house.post(PlaceHold("brittle", coil), "qa")
    count = shop.start()
    assert shop.see(count, coil).say.endswith("seen. It is on hold: brittle.")


def test_bad_input_says_what_would_fit_and_changes_nothing(shop: Counting) -> None:
    lot, coil = shop.boxes(), shop.coil()
    old = shop.pallet(lot, 1, 2)
    new = shop.at("packing", Restack((old,))).numbers[0]
    count = shop.start()
    for number, more, error, words in (
        (f"{coil[:9]}00", {}, Unreadable, "check"),
        (str(make("C", 2026, 999_999)), {}, Unknown, "No lot C26-999999-"),
        (shop.place(YARD), {}, Unreadable, "is not goods"),
        (shop.house.people["qa"], {}, Unreadable, "is not goods"),
        (lot, {}, Refused, "is told by items"),
        (shop.item(lot, 7), {}, Refused, "has no item 7 yet"),
        (shop.item(lot, 3), {"to": shop.item(lot, 2)}, Refused, "no row of items"),
        (coil, {"to": shop.item(lot, 2)}, Refused, "no row of items"),
        (old, {}, Refused, f"became {shown(new)}"),
        (shop.item(lot, 3), {"amount": 25_000}, Refused, "not one lot that can be weighed"),
        (coil, {"amount": -1}, Refused, "not one lot that can be weighed"),
    ):
        with pytest.raises(error, match=words):
            shop.see(count, number, **more)
    with pytest.raises(Unknown, match="No count 1 "):
        shop.see(1, coil)
    with pytest.raises(Refused, match="is no place"):
        shop.at("receiving", StartCount(coil), "receiver")
    assert shop.house.ask(seen_in, count) == []


def test_a_finished_count_takes_no_more_scans(shop: Counting) -> None:
    count = shop.start()
    shop.finish(count)
    with pytest.raises(Refused, match="was finished at"):
        shop.see(count, shop.coil())
    with pytest.raises(Refused, match="was finished at"):
        shop.finish(count)


# ---- taken back


def test_each_step_of_a_count_is_taken_back_in_turn(shop: Counting) -> None:
    coil = shop.coil()
    before = shop.house.status()
    count = shop.start()
    shop.see(count, coil)
    shop.see(count, coil, amount=1_900_000)
    shop.finish(count)
    shop.settle(count, "corrected")
    assert shop.spot(coil) == {shop.place(YARD): 1_900_000}
    shop.at("laboratory", Undo(), "supervisor")
    assert shop.spot(coil) == {shop.place(YARD): 2_000_000}
    assert shop.doubts() == {coil}
    assert [row.choice for row in shop.house.ask(differences_of, count)] == [""]
    for left in (2, 1, 0):
        _undo(shop)
        assert shop.house.ask(find_count, count).state == "open"
        assert len(shop.house.ask(seen_in, count)) == left
    _undo(shop)
    with pytest.raises(Unknown):
        shop.house.ask(find_count, count)
    assert shop.house.status()["standing"] == before["standing"]
    assert shop.doubts() == set()
    shop.closes()


def _undo(shop: Counting) -> None:
    try:
        shop.at("receiving", Undo(), "receiver")
    except Question as asked:
        shop.at("receiving", Undo(), "receiver", answers={asked.identifier: "yes"})


def test_what_a_count_went_on_from_is_not_taken_back(shop: Counting) -> None:
    coil = shop.coil()
    started = shop.at("receiving", StartCount(shop.place(YARD)), "receiver")
    count = int(started.numbers[0])
    seen = shop.see(count, coil, amount=1_900_000)
    with pytest.raises(Refused, match="Something was scanned in this count"):
        shop.at("receiving", Void(started.posting), "receiver")
    finished = shop.finish(count)
    with pytest.raises(Refused, match="is finished"):
        shop.at("receiving", Void(seen.posting), "receiver")
    settled = shop.settle(count, "kept")
    with pytest.raises(Refused, match="Differences of this count are settled"):
        shop.at("receiving", Void(finished.posting), "receiver")
    shop.at("receiving", Void(settled.posting), "supervisor")
    shop.start()
    with pytest.raises(Refused, match="The place is being counted again"):
        shop.at("receiving", Void(finished.posting), "receiver")


def test_a_count_stands_in_no_undos_way(shop: Counting) -> None:
    coil = shop.coil()
    moved = shop.at("dispatch", MoveGoods(coil, shop.place(RACK)), "dispatcher")
    count = shop.start(RACK)
    shop.see(count, coil)
    shop.at("dispatch", Void(moved.posting), "dispatcher")
    shop.finish(count)
    assert shop.found(count) == [], "it was moved since it was seen"
    assert shop.spot(coil) == {shop.place(YARD): 2_000_000}


def test_a_settlement_says_who_and_names_the_lot_in_its_story(shop: Counting) -> None:
    coil = shop.coil()
    count = shop.start()
    shop.finish(count)
    shop.settle(count, "here", who="manager")
    [row] = shop.house.ask(differences_of, count)
    assert row.person == shop.house.people["manager"]
    assert [(one.settlement, one.reason) for one in shop.house.ask(questions_of, coil)] == [
        ("It is there after all", "Not found when Coil yard was counted.")
    ]
    with pytest.raises(LotrootError, match="roles do not cover"):
        shop.settle(count, "looked_for", who="receiver")
