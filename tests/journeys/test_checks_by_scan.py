"""Can a check be recorded by scan and a few typed digits, and does its verdict say what it rests on?"""

from pathlib import Path

import pytest
from houses import House
from lotroot.holds.reach import held_by
from lotroot.identity.showing import shown
from lotroot.plant.adopted import current_plant
from lotroot.quality.checks import checks_of
from offices import an_office_house
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def checking(house: House, who: str = "operator") -> Terminal:
    terminal = Terminal(house).at("laboratory").on("checks")
    assert terminal.badge(who)["verdict"] == "accepted"
    return terminal


def test_goods_check_and_reading_are_three_scans(house: House) -> None:
    wire = Shop(house).drawn(Shop(house).coil(), 400_000)[0]
    bench = checking(house)
    scanned = bench.scan(wire)
    assert "Wire diameter" in scanned["fragments"]["check-choices"]
    assert scanned["next"] == f"Choose what was checked on {shown(wire)}"
    assert bench.scan("CHECK wire_diameter")["next"] == "Wire diameter: type what was read, in mm"
    passed = bench.scan("2.50 2,51")
    assert (passed["verdict"], passed["word"]) == ("accepted", "pass")
    assert "2.50; 2.51 mm (mean 2.505). Good is 2.45 to 2.55 mm" in passed["detail"]
    [row] = house.ask(checks_of, wire)
    assert (row.readings, row.verdict) == ("2.50 2.51", "pass")
    assert "pass" in passed["fragments"]["check-done"]


def test_a_fail_is_said_as_one_and_asks_to_hold(house: House) -> None:
    wire = Shop(house).drawn(Shop(house).coil(), 400_000)[0]
    bench = checking(house)
    for text in (wire, "CHECK wire_diameter"):
        bench.scan(text)
    failed = bench.answer("2.58", "hold")
    assert (failed["verdict"], failed["word"]) == ("held", "Fail")
    assert "Good is 2.45 to 2.55 mm" in failed["detail"]
    assert house.ask(held_by, wire)
    bench.scan("CHECK wire_diameter")
    noted = bench.answer("2.58", "record")
    assert (noted["verdict"], noted["word"]) == ("refused", "Fail")
    assert "in question" in noted["say"]


def test_what_is_counted_is_asked_in_two_steps(house: House) -> None:
    lot = Shop(house).nails(Shop(house).drawn(Shop(house).coil(), 400_000)[0], 300_000)
    bench = checking(house)
    for text in (lot, "CHECK nail_clean"):
        bench.scan(text)
    assert bench.scan("50")["next"] == "How many of the 50 were not good?"
    assert bench.scan("0")["word"] == "pass"
    [row] = [one for one in house.ask(checks_of, lot) if one.characteristic == "nail_clean"]
    assert (row.count, row.found) == (50, 0)


def test_same_again_keeps_the_check_for_the_next_goods(house: House) -> None:
    first, second = Shop(house).drawn(Shop(house).coil(), 400_000, 410_000)
    bench = checking(house)
    for text in (first, "CHECK wire_diameter", "SAME AGAIN", "2.50", second, "2.51"):
        bench.scan(text)
    assert [row.readings for row in house.ask(checks_of, second)] == ["2.51"]


def test_a_gauge_says_what_was_read_with_it(house: House) -> None:
    wire = Shop(house).drawn(Shop(house).coil(), 400_000)[0]
    gauge = next(
        house.thing("instrument", code)
        for code, one in house.ask(current_plant).instruments.items()
        if "wire_diameter" in one.checks
    )
    bench = checking(house)
    for text in (wire, "CHECK wire_diameter", gauge, "2.50"):
        bench.scan(text)
    assert [row.instrument for row in house.ask(checks_of, wire)] == [gauge]


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        (("2.50",), "Scan the goods first"),
        (("CHECK dancing",), "no characteristic"),
        (("wire", "2.50"), "Choose it below"),
        (("wire", "CHECK wire_diameter", "1.2.3"), "1.2.3"),
        (("C2600000799",), "check digits do not fit"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(house: House, texts: tuple[str, ...], expected: str) -> None:
    wire = Shop(house).drawn(Shop(house).coil(), 400_000)[0]
    bench = checking(house)
    for text in texts:
        answer = bench.scan(wire if text == "wire" else text)
    assert answer["verdict"] == "refused"
    assert expected in answer["say"] + answer["detail"]
    assert house.ask(checks_of, wire) == []
