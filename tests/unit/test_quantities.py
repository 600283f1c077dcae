"""Are amounts read strictly, shown plainly and shared out to the last unit?"""

from decimal import Decimal

import pytest
from lotroot.errors import Question, Unreadable
from lotroot.quantities import (
    base_of,
    read_amount,
    read_number,
    share_out,
    show_amount,
    split_cumulative,
    unit_typed,
)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("0", "0"),
        ("12", "12"),
        ("1,5", "1.5"),  # never 15, whatever the language
        ("1.5", "1.5"),
        ("12,50", "12.50"),
        ("12.50\r\n", "12.50"),
        ("007", "7"),
        (".148", "0.148"),  # a nail's wire in inches: nothing before the mark can be thousands
        ("0.148", "0.148"),
        ("0,148", "0.148"),
        ("00.148", "0.148"),
        ("1234.567", "1234.567"),  # four digits before the mark: no group of thousands
        ("1,2345", "1.2345"),
        ("999999999999999", "999999999999999"),
    ],
)
def test_comma_and_dot_are_both_the_decimal_mark(text: str, number: str) -> None:
    read = read_number(text)
    assert (read, str(read)) == (Decimal(number), number)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "No number was typed"),
        ("  \r\n", "No number was typed"),
        ("-5", "negative"),
        ("−5", "negative"),
        ("-", "negative"),
        ("NaN", "not written in digits"),
        ("inf", "not written in digits"),
        ("+Infinity", "not written in digits"),
        ("1e3", "not written in digits"),
        ("1.5E-3", "not written in digits"),
        ("1,234,567", "thousands are typed without"),
        ("1.234.567", "thousands are typed without"),
        ("1,234.5", "thousands are typed without"),
        ("1.234,5", "thousands are typed without"),
        ("1 234", "thousands are typed without"),
        ("1\u202f234.5", "thousands are typed without"),
        ("1'234", "thousands are typed without"),
        ("1_000", "thousands are typed without"),
        ("12.", "digits behind the decimal mark are missing"),
        (",", "digits behind the decimal mark are missing"),
        ("+5", "is no number"),
        ("0x10", "is no number"),
        ("١٢", "is no number"),
        ("１２", "is no number"),
        ("½", "is no number"),
        ("1/2", "is no number"),
        ("twelve", "is no number"),
        ("1234567890123456", "too long"),
        ("0." + "1" * 200, "too long"),
    ],
)
def test_doubtful_figures_are_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(Unreadable, match=said) as refused:
        read_number(text)
    assert refused.value.expected
    assert refused.value.next_step


@pytest.mark.parametrize(
    ("text", "expected", "number"),
    [
        ("1,234", 1200, "1234"),
        ("1.234", 1200, "1234"),
        ("1,234", Decimal("1.2"), "1.234"),
        ("1.234", 12, "1.234"),
        ("12.345", 12_000, "12345"),
        ("123,456", 100, "123.456"),
        ("1.000", 1, "1.000"),
        ("1.000", 1000, "1000"),
        ("1.5", 1500, "1.5"),  # not doubtful: what is expected never bends a clear figure
    ],
)
def test_three_digits_behind_the_mark_are_settled_by_what_is_expected(
    text: str, expected: Decimal | int, number: str
) -> None:
    assert str(read_number(text, expected)) == number


@pytest.mark.parametrize("expected", [None, 0, -5, 40, Decimal("0.01"), 1_000_000])
def test_where_nothing_settles_them_both_readings_are_asked_about(expected: Decimal | int | None) -> None:
    with pytest.raises(Question) as asked:
        read_number("1,234", expected, question="mass")
    assert asked.value.identifier == "mass"
    assert asked.value.choices == {"1.234": "1.234", "1234": "1\u202f234"}
    for choice in asked.value.choices:
        assert read_number("1,234", Decimal(choice)) == Decimal(choice)


@pytest.mark.parametrize(
    ("text", "unit", "amount"),
    [
        ("4215", "kg", 4_215_000),
        ("4215,5", "kg", 4_215_500),
        ("4.2155 t", "kg", 4_215_500),
        ("12.5 lb", "kg", 5_670),
        ("12.5lb", "kg", 5_670),
        ("12.5 LBS", "kg", 5_670),
        ("12 KG", "lb", 12_000),
        ("1", "lb", 454),
        ("100000", "lb", 45_359_237),
        ("250 g", "kg", 250),
        ("1", "in", 25),
        ("10", "in", 254),
        ("10 ft", "m", 3_048),
        (".148 in", "mm", 4),
        ("2,5 l", "ml", 2_500),
        ("1.5 m3", "cm3", 1_500_000),
        ("1.5 m³", "m3", 1_500_000),
        ("2 m3", "l", 2_000_000),
        ("200", "pcs", 200),
        ("200 pcs", "pcs", 200),
        ("1,234", "pcs", 1_234),  # 1.234 pieces there are not
        ("0", "kg", 0),
        ("0.0005", "kg", 1),
        ("0.5 mm", "mm", 1),
        ("9007199254740.99", "kg", 9_007_199_254_740_990),
    ],
)
def test_amounts_come_in_base_units(text: str, unit: str, amount: int) -> None:
    assert read_amount(text, unit) == amount


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("12 m", "kg", "m is no unit that fits here"),
        ("12 kg", "pcs", "kg is no unit that fits here"),
        ("12 stone", "kg", "stone is no unit that fits here"),
        ("12 tons", "kg", "tons is no unit that fits here"),
        ("12 e3", "kg", "e3 is no unit that fits here"),
        ("1.5", "pcs", "counted whole"),
        ("0.0004", "kg", "too little to record"),
        ("9007199254741 kg", "kg", "too much to record"),
        ("kg", "kg", "No number was typed"),
        ("-1 kg", "kg", "negative"),
        ("nan kg", "kg", "not written in digits"),
        ("1e3", "kg", "not written in digits"),
        ("1,234.5 kg", "kg", "thousands are typed without"),
        ("12", "stone", "stone is no unit known here"),
        ("9" * 500 + " kg", "kg", "too long|is no number"),
    ],
)
def test_amounts_that_cannot_be_are_refused_in_words(text: str, unit: str, said: str) -> None:
    with pytest.raises(Unreadable, match=said) as refused:
        read_amount(text, unit)
    assert refused.value.expected


@pytest.mark.parametrize(
    ("text", "unit", "expected", "amount"),
    [
        ("1,234", "kg", 1_200_000, 1_234_000),
        ("1,234 t", "kg", 1_200_000, 1_234_000),
        ("1.234 kg", "kg", 1_300, 1_234),
        ("2,645 lb", "kg", 1_200_000, 1_199_752),
    ],
)
def test_the_expected_amount_settles_a_doubtful_one(text: str, unit: str, expected: int, amount: int) -> None:
    assert read_amount(text, unit, expected) == amount


def test_a_doubtful_amount_is_asked_about_in_its_unit_and_answered_in_base_units() -> None:
    with pytest.raises(Question) as asked:
        read_amount("1,234", "kg", question="mass")
    assert asked.value.identifier == "mass"
    assert asked.value.choices == {"1234": "1.234\u202fkg", "1234000": "1\u202f234\u202fkg"}
    for choice in asked.value.choices:
        assert read_amount("1,234", "kg", int(choice)) == int(choice)


@pytest.mark.parametrize(
    ("amount", "unit", "display", "text"),
    [
        (12_345_678, "g", "kg", "12 345.678 kg"),
        (1_200_000, "g", "kg", "1 200 kg"),
        (1_200_500, "g", "kg", "1 200.5 kg"),
        (0, "g", "kg", "0 kg"),
        (-12_000, "g", "kg", "−12 kg"),
        (12_345_678, "g", "t", "12.345678 t"),
        (5_443, "g", "lb", "12 lb"),
        (45_359_237, "g", "lb", "100 000 lb"),
        (254, "mm", "in", "10 in"),
        (3_048, "mm", "ft", "10 ft"),
        (2_500, "ml", "l", "2.5 l"),
        (1_500_000, "cm3", "m3", "1.5 m3"),
        (12_345, "pcs", "pcs", "12 345 pcs"),
        (100, "pcs", "pcs", "100 pcs"),
        (2**53 - 1, "g", "t", "9 007 199 254.740991 t"),
    ],
)
def test_amounts_are_shown_with_thin_spaces_and_a_dot(
    amount: int, unit: str, display: str, text: str
) -> None:
    assert show_amount(amount, unit, display) == text.replace(" ", "\u202f")


def test_a_column_has_the_same_decimals_all_down() -> None:
    shown = [show_amount(amount, "g", "kg", decimals=1) for amount in (1_000, 1_250, 12_349, -20)]
    assert shown == ["1.0\u202fkg", "1.3\u202fkg", "12.3\u202fkg", "0.0\u202fkg"]


@pytest.mark.parametrize(("unit", "display"), [("g", "m"), ("kg", "kg"), ("pcs", "kg"), ("g", "stone")])
def test_units_that_do_not_belong_together_are_refused(unit: str, display: str) -> None:
    with pytest.raises(Unreadable):
        show_amount(1, unit, display)


def test_a_unit_typed_along_is_told_under_its_own_name() -> None:
    typed = ("25.5 kg", "25.5kgs", "12 LB", "3 m³", "12", "25.5 stone", "kg", "", "NaN", "1e3")
    assert [unit_typed(text) for text in typed] == ["kg", "kg", "lb", "m3", "", "", "kg", "", "", ""]


def test_each_unit_names_its_base() -> None:
    assert [base_of(unit) for unit in ("t", "ft", "l", "m3", "pcs")] == ["g", "mm", "ml", "cm3", "pcs"]


@pytest.mark.parametrize(
    ("total", "weights", "shares"),
    [
        (10, [1, 1, 1], [4, 3, 3]),
        (-10, [1, 1, 1], [-4, -3, -3]),
        (100, [1, 2, 4], [14, 29, 57]),
        (7, [0, 5, 0], [0, 7, 0]),
        (1, [1, 1], [1, 0]),
        (0, [0, 0], [0, 0]),
        (0, [], []),
    ],
)
def test_the_largest_remainders_get_what_is_left_over(
    total: int, weights: list[int], shares: list[int]
) -> None:
    assert share_out(total, weights) == shares


@pytest.mark.parametrize(
    ("total", "weights", "shares"),
    [
        (10, [1, 1, 1], [3, 3, 4]),
        (-10, [1, 1, 1], [-4, -3, -3]),
        (2**64, [1, 2], [2**64 // 3, 2**64 - 2**64 // 3]),
        (7, [0, 5, 0], [0, 7, 0]),
        (0, [0, 0], [0, 0]),
        (0, [], []),
    ],
)
def test_a_split_in_order_takes_the_cumulative_floor(
    total: int, weights: list[int], shares: list[int]
) -> None:
    assert split_cumulative(total, weights) == shares


@pytest.mark.parametrize("weights", [[], [0, 0], [2, -1]])
def test_nothing_is_shared_out_by_no_weight(weights: list[int]) -> None:
    for share in (share_out, split_cumulative):
        with pytest.raises(Unreadable, match="cannot be shared out"):
            share(5, weights)
