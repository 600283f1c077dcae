"""Is each fault of a scanner named as what it is, and nothing else, and is it said whether a number is read?

How texts arrive is worked out by `keyboards` of the tests, which knows nothing of the program's own tables.
"""

import pytest
from keyboards import ARRIVALS
from lotroot.errors import Unreadable
from lotroot.identity import make, read
from lotroot.identity.keyboards import WAYS, Way
from lotroot.identity.scanner_check import ENTER, NONE, TAB, Arrived, check
from lotroot.identity.scanner_codes import BARS, CODES, QR

WHOLE = CODES[BARS]
SAMPLE = str(make("R", 2026, 123))


def faults(arrived: Arrived) -> set[str]:
    return {one.kind for one in check(arrived).findings if not one.well}


def said(arrived: Arrived) -> str:
    return " ".join(f"{one.seen} {one.to_set}" for one in check(arrived).findings)


def test_a_scanner_that_is_well_set_has_no_fault_and_says_what_is_well() -> None:
    found = check(Arrived(WHOLE, ENTER, 250))
    assert (found.code, found.well, found.reads) == (BARS, True, True)
    assert {one.kind for one in found.findings} == {"keyboard", "caps", "suffix", "speed"}
    assert check(Arrived(CODES[QR])).code == QR


# ---- keyboards: what the tests' own tables say arrives

LOCKED = {"US, shift lock", "German, shift lock", "French, shift lock", "Belgian, shift lock"}


@pytest.mark.parametrize("arrival", ARRIVALS)
@pytest.mark.parametrize("code", [BARS, QR])
def test_a_wrong_keyboard_and_caps_lock_are_told_apart(arrival: str, code: str) -> None:
    text = ARRIVALS[arrival](CODES[code])
    expected = {
        name for name, there in (("keyboard", "US" not in arrival), ("caps", "ock" in arrival)) if there
    }
    assert faults(Arrived(text)) == expected
    assert check(Arrived(text)).code == code
    country = arrival.partition(",")[0]
    if country != "US":
        assert f"Set the scanner's country or keyboard to {country}" in said(Arrived(text))
        assert "types as on a US keyboard" in said(Arrived(text))


@pytest.mark.parametrize("arrival", ARRIVALS)
def test_whether_a_number_is_read_all_the_same_is_what_the_reader_says(arrival: str) -> None:
    try:
        reads = str(read(ARRIVALS[arrival](SAMPLE)).value) == SAMPLE
    except Unreadable:
        reads = False
    assert check(Arrived(ARRIVALS[arrival](WHOLE))).reads is reads


def test_a_scanner_set_to_another_country_than_its_computer_is_told_both() -> None:
    text = Way("French", "US").arrives(WHOLE)
    assert faults(Arrived(text)) == {"keyboard"}
    assert "types as on a French keyboard, this computer expects a US one" in said(Arrived(text))
    assert "Set the scanner's country or keyboard to US" in said(Arrived(text))


def test_no_two_ways_make_the_same_of_a_test_code() -> None:
    for code in CODES.values():
        made = [way.arrives(code) for way in WAYS if way.reader != way.computer]
        assert len(set(made)) == len(made)


# ---- one fault each

FAULTS = [
    # what came, which key ended it, and how many milliseconds it took -> what is wrong
    ((WHOLE, TAB, 250), {"suffix"}, "suffix to Enter", True),
    ((WHOLE, TAB, 5000), {"suffix", "speed"}, "suffix to Enter", False),
    ((WHOLE, NONE, 250), {"suffix"}, "Nothing follows the code", False),
    ((WHOLE.swapcase(), ENTER, 250), {"caps"}, "Press Caps Lock", True),
    ((f"]C0{WHOLE}", ENTER, 250), {"prefix"}, "AIM ID", True),
    ((f"]Q1{CODES[QR]}", ENTER, 250), {"prefix"}, "AIM ID", True),
    ((f"S1{WHOLE}", ENTER, 250), {"prefix"}, "sends S1 before each code", False),
    ((f"{WHOLE}*", ENTER, 250), {"behind"}, "sends * after each code", False),
    ((WHOLE.replace("56", "556"), ENTER, 250), {"doubled"}, "came twice: 5", False),
    ((WHOLE.replace("Q", "QQ"), ENTER, 250), {"doubled"}, "came twice: Q", False),
    ((WHOLE.replace("7", ""), ENTER, 250), {"lost"}, "were lost: 7", False),
    ((WHOLE.replace("4", "").replace("M", ""), ENTER, 250), {"lost"}, "were lost: 4 M", False),
    ((WHOLE.replace("8", "#"), ENTER, 250), {"changed"}, "8 as #", False),
    ((WHOLE, ENTER, 9000), {"speed"}, "looks typed by hand", True),
    (("", ENTER, 0), {"nothing"}, "Nothing arrived", False),
    ((SAMPLE, ENTER, 100), {"unknown"}, "no code of the test sheet", False),
    (("LB", ENTER, 100), {"unknown"}, "no code of the test sheet", False),
    (("x" * 250, ENTER, 100), {"unknown"}, "no code of the test sheet", False),
]


@pytest.mark.parametrize(("came", "expected", "words", "reads"), FAULTS)
def test_each_fault_gives_exactly_its_verdict(
    came: tuple[str, str, int], expected: set[str], words: str, reads: bool
) -> None:
    arrived = Arrived(*came)
    assert faults(arrived) == expected
    assert words in said(arrived)
    assert check(arrived).reads is reads
    assert check(arrived).well is (not expected)


@pytest.mark.parametrize("arrival", ["German", "French", "Belgian", "US, Caps Lock"])
def test_two_faults_at_once_are_both_named(arrival: str) -> None:
    text = ARRIVALS[arrival](f"]C0{WHOLE}")
    kind = "caps" if "Caps" in arrival else "keyboard"
    assert faults(Arrived(text, TAB, 250)) == {kind, "prefix", "suffix"}
    assert "AIM ID" in said(Arrived(text))


@pytest.mark.parametrize("arrival", ["German", "French, Caps Lock"])
def test_a_lost_character_does_not_hide_a_wrong_keyboard(arrival: str) -> None:
    text = ARRIVALS[arrival](WHOLE.replace("7", ""))
    assert {"keyboard", "lost"} <= faults(Arrived(text))


def test_every_fault_says_what_to_do() -> None:
    for came, _, _, _ in FAULTS:
        for one in check(Arrived(*came)).findings:
            assert one.well or one.to_set.endswith(".")
