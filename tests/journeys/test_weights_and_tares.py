"""Is it kept who typed a weight, and what was taken off it for the pan it was weighed in?"""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.moving.pallets import EmptyCarrier, OpenPallet
from lotroot.moving.tares import WeighEmpty
from lotroot.processes.definition import LATER
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import ScrapInput
from lotroot.questions import questions_of
from lotroot.stock.carriers import find_carrier
from lotroot.stock.tares import tare_at, tares_of
from lotroot.tracing.story import story
from lotroot.voiding.handling import Undo
from shop import Shop

PAN_17 = 61_629
"""What plant.toml says of pan 17."""


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


@pytest.fixture
def either(database_url: str) -> Iterator[House]:
    """On SQLite and on PostgreSQL: what keeps or reads something new in the record."""
    with by_hand():
        made = a_house(database_url)
        yield made
        made.database.close()


def nailing(house: House, station: str = "nail_3") -> Any:
    """A terminal at a nail machine with a stripper on."""
    wire = lay(house, "wire_38", 500_000)
    terminal = at(house, station)
    terminal.answer(wire, "nail_38x100") if terminal.scan(wire)["verdict"] == "ask" else None
    return terminal


def pan(house: House, code: str) -> str:
    return str(house.ask(find_carrier, code).number)


def made(house: House, station: str) -> Any:
    return run_at(house, station).outputs[-1]


# ---- who typed it


@pytest.mark.parametrize("by", ["scale", "hand", ""])
def test_who_typed_a_weight_is_kept_with_it(either: House, by: str) -> None:
    rod = lay(either, "rod_55", 2_000_000)
    draw = at(either, "draw_1")
    draw.answer(rod, "wire_25")
    ok(draw.scan("412.5", typed_by=by))
    assert made(either, "draw_1").typed_by == by
    draw.answer("SCRAP", "ends")
    ok(draw.scan("12.5", typed_by=by))
    assert run_at(either, "draw_1").scrap[0].typed_by == by
    draw.answer("PART", "weigh")
    ok(draw.scan("1570", typed_by=by))
    assert run_at(either, "draw_1").inputs[0].typed_by == by
    assert either.status() == either.rebuilt()


def test_a_scan_of_before_that_says_nothing_is_of_nobody_knows(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(draw.scan("412.5"))
    assert made(house, "draw_1").typed_by == ""


def test_a_kept_scan_brings_along_who_typed_it(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    house.clock.forward(minutes=30)
    ok(draw.scan("412.5", typed_by="hand", late=timedelta(minutes=10)))
    assert made(house, "draw_1").typed_by == "hand"


def test_of_a_weight_and_its_pan_the_weight_counts(house: House) -> None:
    nails = nailing(house, "nail_1")
    ok(nails.scan("300", typed_by="hand"))
    ok(nails.scan(pan(house, "pan_17"), typed_by="scale"))
    assert made(house, "nail_1").typed_by == "hand"


def test_a_command_says_it_in_a_field_and_no_other_word(house: House) -> None:
    shop = Shop(house)
    shop.drawn(shop.coil())
    shop.at("draw_1", MakeOutput(weight=480_000, typed_by="scale"))
    assert made(house, "draw_1").typed_by == "scale"
    for command in (
        MakeOutput(weight=480_000, typed_by="nose"),
        ScrapInput(4_000, "ends", typed_by="nose"),
        UnloadInput(remainder=1_519_000, how="weighed", typed_by="nose"),
    ):
        with pytest.raises(Unreadable, match="by a scale or by hand"):
            shop.at("draw_1", command)
    shop.closes()


def test_the_run_s_page_says_where_it_was_typed_by_hand(house: House) -> None:
    shop = Shop(house)
    shop.drawn(shop.coil())
    lot = shop.at("draw_1", MakeOutput(weight=480_000, typed_by="hand")).numbers[0]
    shop.at("draw_1", ScrapInput(4_000, "ends", typed_by="hand"))
    page = at(house, "draw_1").client.get(f"/lots/{run_at(house, 'draw_1').number}").text
    assert page.count("weighed, typed by hand") >= 2
    assert "typed by hand" in at(house, "draw_1").client.get(f"/lots/{lot}").text


# ---- the tare of a pan


def test_a_pan_weighs_what_the_plant_says_until_it_is_weighed_empty(either: House) -> None:
    number, now = pan(either, "pan_17"), either.clock.at
    assert either.ask(tare_at, number, now, PAN_17) == (PAN_17, None)
    either.clock.forward(hours=1)
    shop = Shop(either)
    said = shop.at("nail_3", WeighEmpty(number, 62_000, typed_by="scale"))
    assert plain(said.say) == "Pan 17 weighs 62 kg empty, 61.629 kg before."
    assert either.ask(tare_at, number, either.clock.at).grams == 62_000
    assert either.ask(tare_at, number, now, PAN_17) == (PAN_17, None)  # then it weighed what it weighed
    (row,) = either.ask(tares_of, number)
    assert (row.grams, row.typed_by, row.person) == (62_000, "scale", either.people["operator"])
    shop.closes()


@pytest.mark.parametrize(
    ("weight", "asks"), [(66_629, False), (66_630, True), (56_629, False), (56_628, True)]
)
def test_a_tare_far_from_the_last_is_asked_about_once(house: House, weight: int, asks: bool) -> None:
    shop, number = Shop(house), pan(house, "pan_17")
    command = WeighEmpty(number, weight)
    answer = shop.asked(command, "yes", "nail_3") if asks else shop.at("nail_3", command)
    assert answer.verdict == ("in_question" if asks else "accepted")
    assert len(house.ask(questions_of, number)) == asks
    assert house.ask(tare_at, number, house.clock.at).grams == weight


def test_a_light_spool_is_asked_about_beyond_a_tenth(house: House) -> None:
    shop, number = Shop(house), pan(house, "spool_01")  # 27,553 g
    assert shop.at("draw_1", WeighEmpty(number, 30_308)).verdict == "accepted"
    assert "30.308 kg before" in plain(shop.question(WeighEmpty(number, 33_339), "draw_1").what)


def test_a_carrier_without_a_tare_is_never_asked_about(house: House) -> None:
    shop = Shop(house)
    assert shop.at("nail_3", WeighEmpty(pan(house, "tram_1"), 480_000)).verdict == "accepted"
    pallet = shop.at("nail_3", OpenPallet()).numbers[0]
    assert shop.at("nail_3", WeighEmpty(pallet, 22_000)).verdict == "accepted"


def test_a_pan_that_shows_goods_is_not_weighed_empty(house: House) -> None:
    shop, number = Shop(house), pan(house, "pan_17")
    shop.nails(shop.drawn(shop.coil(), 480_000)[0], 300_000)
    with pytest.raises(Refused, match="still shows N"):
        shop.at("nail_3", WeighEmpty(number, 61_000))
    shop.at("nail_3", EmptyCarrier(number))
    assert shop.at("nail_3", WeighEmpty(number, 61_000)).verdict == "accepted"


@pytest.mark.parametrize("weight", [0, -5, 10_000_001, 10**12])
def test_a_tare_that_cannot_be_is_refused(house: House, weight: int) -> None:
    with pytest.raises(Unreadable, match="cannot weigh that empty"):
        Shop(house).at("nail_3", WeighEmpty(pan(house, "pan_17"), weight))
    assert house.ask(tares_of, pan(house, "pan_17")) == []


def test_a_tare_is_taken_back_by_undo(either: House) -> None:
    shop, number = Shop(either), pan(either, "pan_17")
    shop.at("nail_3", WeighEmpty(number, 62_000))
    shop.at("nail_3", Undo())
    assert either.ask(tare_at, number, either.clock.at, PAN_17) == (PAN_17, None)
    shop.closes()


def test_whoever_may_empty_a_pan_may_weigh_it_in_a_plant_adopted_before() -> None:
    assert LATER["WeighEmpty"] == "EmptyCarrier"


def test_a_pan_is_weighed_by_a_scan_and_a_number(house: House) -> None:
    terminal = at(house, "nail_3").on("tares")
    number = pan(house, "pan_17")
    first = terminal.scan("62")
    assert (first["verdict"], "Scan the empty pan" in first["detail"]) == ("refused", True)
    assert plain(terminal.scan(number)["say"]) == "Pan 17, 61.629 kg so far. Type what it weighs empty."
    recorded = ok(terminal.scan("62", typed_by="scale"))
    assert plain(recorded["say"]) == "Pan 17 weighs 62 kg empty, 61.629 kg before."
    assert "by the scale" in recorded["fragments"]["tares"]
    assert house.ask(tares_of, number)[0].typed_by == "scale"


# ---- gross and net


@pytest.mark.parametrize("pan_first", [True, False])
def test_gross_less_the_tare_of_the_pan_is_net_and_both_are_kept(house: House, pan_first: bool) -> None:
    nails, number = nailing(house), pan(house, "pan_17")
    assert nails.last["next"] == "Weigh the nails: type kg gross, then scan the pan"
    if pan_first:
        said = nails.scan(number)
        assert said["say"] == "Pan 17. Now type the gross weight."
        assert plain(said["next"]) == (
            "Pan 17 weighs 61.629 kg empty (by the plant's list): type the gross weight, kg"
        )
        answer = ok(nails.scan("361.629"))
    else:
        assert plain(nails.scan("361.629")["say"]) == "361.629 kg gross. Scan the pan it is in."
        answer = ok(nails.scan(number))
    output = made(house, "nail_3")
    assert (output.own, output.gross, output.tare) == (300_000, 361_629, PAN_17)
    assert house.ask(find_lot, output.lot).amount == 300_000
    assert "361.629 kg gross less 61.629 kg" in plain(answer["say"])
    page = nails.client.get(f"/lots/{run_at(house, 'nail_3').number}").text
    assert "361.629 kg gross less 61.629 kg tare" in plain(page)
    Shop(house).closes()


def test_the_tare_of_its_own_day_counts_and_the_page_says_when_it_was_weighed(either: House) -> None:
    nails, number = nailing(either), pan(either, "pan_17")
    Shop(either).at("nail_3", WeighEmpty(number, 60_000))
    assert "Pan 17 weighs 60 kg empty (weighed 2 Nov): type the gross weight" in plain(
        nails.scan(number)["next"]
    )
    ok(nails.scan("361"))
    assert (made(either, "nail_3").own, made(either, "nail_3").tare) == (301_000, 60_000)
    Shop(either).at("nail_3", EmptyCarrier(number))
    Shop(either).at("nail_3", WeighEmpty(number, 61_000))
    assert made(either, "nail_3").tare == 60_000  # what was taken off then can still be seen


def test_a_net_weight_is_typed_with_its_word(house: House) -> None:
    nails = nailing(house)
    assert plain(nails.scan("300 net")["say"]).startswith("300 kg. Scan the pan")
    ok(nails.scan(pan(house, "pan_17")))
    assert (made(house, "nail_3").own, made(house, "nail_3").gross) == (300_000, 0)


def test_a_gross_weight_is_typed_with_its_word_where_net_is_usual(house: House) -> None:
    nails = nailing(house, "nail_1")
    nails.scan("361.629 gross")
    ok(nails.scan(pan(house, "pan_17")))
    assert (made(house, "nail_1").own, made(house, "nail_1").gross) == (300_000, 361_629)


def test_gross_without_its_pan_is_refused_when_the_run_is_closed_over_it(house: House) -> None:
    nails = nailing(house)
    nails.scan("361")
    refused = nails.scan("DONE")
    assert refused["verdict"] == "refused"
    assert "needs what it was weighed in" in refused["say"]
    ok(nails.scan(pan(house, "pan_17")))  # the number still waits
    assert made(house, "nail_3").gross == 361_000


def test_gross_where_nothing_is_loaded_asks_once(house: House) -> None:
    nails, number = nailing(house), pan(house, "pan_17")
    ok(nails.scan("361"))
    ok(nails.scan(number))
    assert nails.answer("DONE", "ended")["verdict"] == "asked_done"
    nails.scan("361")
    second = nails.answer(pan(house, "pan_18"), "yes")
    assert second["verdict"] == "asked_done", second
    assert made(house, "nail_3").tare == 61_666


def test_a_pan_nobody_weighed_is_refused_and_the_weight_kept(house: House) -> None:
    number = pan(house, "tram_1")
    shop = Shop(house)
    shop.at("nail_1", LoadInput(shop.drawn(shop.coil(), 480_000)[0], product="nail_25x50"))
    with pytest.raises(Refused, match="Nobody knows what Tram 1 weighs empty") as refused:
        shop.at("nail_1", MakeOutput(gross=361_000, carrier=number))
    assert "480 net" in refused.value.next_step
    assert run_at(house, "nail_1").outputs == []


@pytest.mark.parametrize(
    ("given", "error"),
    [
        ({"gross": 61_629}, "leaves nothing"),
        ({"gross": 50_000}, "leaves nothing"),
        ({"gross": 361_000, "weight": 300_000}, "does not go with this"),
        ({"gross": 361_000, "carrier": ""}, "needs what it was weighed in"),
    ],
)
def test_gross_that_gives_no_net_changes_nothing(house: House, given: dict[str, Any], error: str) -> None:
    shop = Shop(house)
    shop.at("nail_1", LoadInput(shop.drawn(shop.coil(), 480_000)[0], product="nail_25x50"))
    command = MakeOutput(**{"carrier": pan(house, "pan_17"), **given})
    with pytest.raises((Refused, Unreadable), match=error):
        shop.at("nail_1", command)
    assert run_at(house, "nail_1").outputs == []


def test_what_is_topped_up_was_on_the_scale_too(either: House) -> None:
    shop, number = Shop(either), pan(either, "pan_17")
    first = shop.nails(shop.drawn(shop.coil(), 480_000)[0], 100_000)
    lot = shop.asked(MakeOutput(gross=PAN_17 + 250_000, carrier=number), "topped", "nail_1").numbers[0]
    assert made(either, "nail_1").own == 150_000
    assert either.ask(find_lot, lot).amount == 250_000
    assert shop.stands(first) == []
    shop.closes()


def test_the_story_of_a_pan_tells_its_tares(house: House) -> None:
    number = pan(house, "pan_17")
    Shop(house).at("nail_3", WeighEmpty(number, 62_000, typed_by="hand"))
    told = [plain(one.sentence) for one in house.ask(story, number).told]
    assert "Pan 17 was weighed empty: 62 kg, typed by hand, before 61.629 kg." in told


# ---- what is no number


BAD = [
    ("0", "Nothing was made"),
    ("0,0", "Nothing was made"),
    ("-5", "negative"),
    ("NaN", "digits"),
    ("inf", "digits"),
    ("1e9", "digits"),
    ("1000000000", "more than can be"),
    ("480 m", "unit"),
    ("480 pcs", "unit"),
    ("1.234.567", "thousands"),
    ("1 234", "thousands"),
    ("48,", "decimal mark"),
    ("0,0001", "too little"),
]


@pytest.mark.parametrize(("text", "says"), BAD)
def test_a_bad_number_gives_a_message_and_writes_nothing(house: House, text: str, says: str) -> None:
    rod = lay(house, "rod_55", 2_000_000)
    draw = at(house, "draw_1")
    draw.answer(rod, "wire_25")
    before = house.status()
    answer = draw.scan(text)
    assert answer["verdict"] == "refused", answer
    assert says in plain(f"{answer['say']} {answer['detail']}")
    assert answer["detail"]
    assert f"Stripper, “{text}”: " in plain(answer["say"])
    assert house.status() == before


def test_a_number_that_cannot_be_waits_for_no_pan(house: House) -> None:
    nails = at(house, "nail_1")
    nails.answer(lay(house, "wire_25", 480_000), "nail_25x50")
    refused = nails.scan("1000000000")
    assert refused["verdict"] == "refused"
    said = plain(f"{refused['say']} {refused['detail']}")
    assert said.startswith("Nails, “1000000000”: That is more than can be. At most 100 000 kg.")


@pytest.mark.parametrize(("text", "grams"), [("480,5", 480_500), ("480.5", 480_500), ("1058,22 lb", 480_001)])
def test_a_decimal_comma_is_a_decimal_and_never_a_thousand(house: House, text: str, grams: int) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(draw.scan(text))
    assert made(house, "draw_1").own == grams


def test_what_can_be_read_in_two_ways_is_settled_by_what_is_loaded(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(draw.scan("1,234"))
    assert made(house, "draw_1").own == 1_234_000


@pytest.mark.parametrize("amount", [10**9, -1])
def test_scrap_and_remainders_beyond_all_bounds_are_refused(house: House, amount: int) -> None:
    shop = Shop(house)
    shop.drawn(shop.coil(), 480_000)
    for command in (ScrapInput(amount, "ends"), UnloadInput(remainder=amount, how="weighed")):
        with pytest.raises(Unreadable):
            shop.at("draw_1", command)
    shop.closes()
