"""Can a number exist that is not one of ours, and does it say what it stands for?"""

import pytest
from lotroot.errors import Unreadable
from lotroot.identity import (
    Badge,
    Family,
    ItemNumber,
    Number,
    badge_from,
    is_carrier,
    is_case,
    is_lot,
    is_person,
    is_run,
    is_shipment,
    is_thing,
    item_from,
    make,
    number_from,
)
from lotroot.identity.families import LAYOUT_SAFE_LETTERS, LETTERS


def test_a_number_shows_itself_to_people_and_to_readers() -> None:
    number = make("R", 2026, 123)
    assert (str(number), number.shown, number.family.word) == ("R2600012383", "R26-000123-83", "stripper")
    assert (number.letter, number.year, number.running) == ("R", 26, 123)


def test_an_item_names_its_lot_without_a_look_up() -> None:
    item = ItemNumber(make("R", 26, 123), 17)
    assert str(item) == "R2600012383001720"
    assert item.lot == number_from("R2600012383")
    assert item_from(str(item)) == item


def test_a_badge_keeps_its_digits_out_of_logs() -> None:
    badge = Badge("12345678901234")
    assert badge_from(str(badge)) == badge
    assert len(str(badge)) == 17
    assert "1234" not in repr(badge)


@pytest.mark.parametrize(
    ("letter", "year", "running"),
    [
        ("V", 26, 1),
        ("r", 26, 1),
        ("", 26, 1),
        ("RR", 26, 1),
        ("R", 26, 0),
        ("R", 26, 1_000_000),
        ("R", 26, -1),
    ],
)
def test_a_number_out_of_range_cannot_exist(letter: str, year: int, running: int) -> None:
    with pytest.raises(Unreadable):
        make(letter, year, running)


def test_a_year_has_two_digits() -> None:
    with pytest.raises(Unreadable):
        Number("R", 2026, 1)
    assert make("R", 2026, 1) == make("R", 26, 1) == Number("R", 26, 1)


@pytest.mark.parametrize("serial", [0, 10_000, -1])
def test_a_serial_has_four_digits_and_starts_at_one(serial: int) -> None:
    with pytest.raises(Unreadable):
        ItemNumber(make("N", 26, 5), serial)


@pytest.mark.parametrize("letter", "UPDHTX")
def test_only_lots_have_items(letter: str) -> None:
    with pytest.raises(Unreadable, match="has no items"):
        ItemNumber(make(letter, 26, 5), 1)


@pytest.mark.parametrize(
    "digits", ["", "1234567890123", "123456789012345", "1234567890123A", "١٢٣٤٥٦٧٨٩٠١٢٣٤"]
)
def test_a_badge_has_fourteen_digits(digits: str) -> None:
    with pytest.raises(Unreadable):
        Badge(digits)


@pytest.mark.parametrize(
    "text", ["", "R2600012384", "r2600012383", "R26-000123-83", "R2600012383001720", "R٢600012383"]
)
def test_only_canonical_text_makes_a_number(text: str) -> None:
    with pytest.raises(Unreadable):
        number_from(text)


@pytest.mark.parametrize("text", ["", "R2600012383", "R2600012383001721", "R2600012384001720"])
def test_only_canonical_text_makes_an_item(text: str) -> None:
    with pytest.raises(Unreadable):
        item_from(text)


@pytest.mark.parametrize("text", ["", "H1234567890123442", "R2600012383001720", "H2699999988"])
def test_only_canonical_text_makes_a_badge(text: str) -> None:
    with pytest.raises(Unreadable):
        badge_from(text)


PREDICATES = (is_lot, is_run, is_carrier, is_shipment, is_person, is_thing, is_case)


@pytest.mark.parametrize(
    ("letters", "asked"),
    [
        ("CSRGNFLK", is_lot),
        ("U", is_run),
        ("P", is_carrier),
        ("D", is_shipment),
        ("H", is_person),
        ("T", is_thing),
        ("X", is_case),
    ],
)
def test_every_family_answers_to_one_question(letters: str, asked: object) -> None:
    for letter in letters:
        answers = [predicate for predicate in PREDICATES if predicate(make(letter, 26, 1))]
        assert answers == [asked]


def test_all_letters_survive_a_wrong_layout_and_have_a_word() -> None:
    assert set(LAYOUT_SAFE_LETTERS) >= LETTERS
    assert all(family.word for family in Family)
    assert "".join(sorted(LETTERS)) == "CDFGHKLNPRSTUX"


def test_numbers_sort_as_their_text_does() -> None:
    numbers = [make("S", 25, 9), make("R", 26, 1), make("R", 25, 999_999), make("R", 26, 20)]
    assert [str(number) for number in sorted(numbers)] == sorted(map(str, numbers))
