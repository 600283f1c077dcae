"""Is a size read as mm, inches or a gauge with its system, and refused with what would fit?"""

from decimal import Decimal

import pytest
from lotroot.errors import Question, Unreadable
from lotroot.theory.gauges import SHEET, read_size, size_mm


@pytest.mark.parametrize(
    ("text", "mm", "shown"),
    [
        # a length
        ("2.5", "2.5", "2.5 mm"),
        ("2,5", "2.5", "2.5 mm"),
        (" 2.50 mm ", "2.50", "2.5 mm"),
        ("2.5mm", "2.5", "2.5 mm"),
        ("2.500", "2.500", "2.5 mm"),
        ("0.099 in", "2.5146", "2.51 mm"),
        ('0,099"', "2.5146", "2.51 mm"),
        ("12", "12", "12 mm"),
        ("0.2 mm", "0.2", "0.2 mm"),
        # a gauge, however written
        ("12 BWG", "2.7686", "2.77 mm (12 BWG)"),
        ("9 US", "3.7668", "3.77 mm (9 US)"),
        ("SWG 12", "2.6416", "2.64 mm (12 SWG)"),
        ("7/0 SWG", "12.7000", "12.7 mm (7/0 SWG)"),
        ("000 bwg", "10.7950", "10.8 mm (3/0 BWG)"),
        ("0 swg", "8.2296", "8.23 mm (0 SWG)"),
        ("12 1/2 US", "2.5146", "2.51 mm (12 1/2 US)"),
        ("12½ us steel", "2.5146", "2.51 mm (12 1/2 US)"),
        ("12.5 W&M", "2.5146", "2.51 mm (12 1/2 US)"),
        ("no. 12 ga Imperial", "2.6416", "2.64 mm (12 SWG)"),
        ("BWG gauge 12", "2.7686", "2.77 mm (12 BWG)"),
        ("36 AWG", "0.1270", "0.127 mm (36 AWG)"),
        ("6/0 AWG", "14.7320", "14.73 mm (6/0 AWG)"),
    ],
)
def test_a_size_is_kept_in_mm_and_shown_with_its_gauge(text: str, mm: str, shown: str) -> None:
    assert size_mm(text, "Wire") == Decimal(mm)
    assert read_size(text, "Wire").shown == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("20 MSG", "0.912 mm (20 MSG)"),
        ("20 galvanized", "1.01 mm (20 GSG)"),
        ("20 SWG", "0.91 mm (20 SWG sheet)"),
        ("0.40", "0.4 mm"),
    ],
)
def test_sheet_has_gauges_of_its_own(text: str, shown: str) -> None:
    assert read_size(text, "Sheet", of=SHEET).shown == shown


@pytest.mark.parametrize(
    ("text", "says"),
    [
        # a gauge without its system, or not in it
        (
            "12 ga",
            "12 ga does not say which gauge. 12 US is 2.68 mm, 12 SWG is 2.64 mm, 12 BWG is 2.77 mm, "
            "12 AWG is 2.05 mm.",
        ),
        ("gauge 12", "Type the system along, as in 12 US, or the size in mm."),
        ("12 1/2 gauge", "12 1/2 US is 2.51 mm."),
        ("50 ga", "No system has 50; expected one of US, SWG, BWG, AWG."),
        ("41 AWG", "there is no 41 AWG. AWG goes from 6/0 to 40."),
        ("12 1/2 BWG", "12 BWG is 2.77 mm, 13 BWG is 2.41 mm; 12 1/2 US is 2.51 mm."),
        ("20 MSG", "msg is no unit of a size."),
        # no size at all
        ("0", "0 is no size. Above 0."),
        ("0.00 mm", "0 is no size."),
        ("-2.5", "-2.5 is negative."),
        ("NaN", "nan is not written in digits"),
        ("inf", "inf is not written in digits"),
        ("1e9", "1e9 is not written in digits"),
        ("1000000000", "1000000000 is too large. Below 1000000000 mm."),
        ("39370079 in", "39370079 in is too large."),
        ("1 000 mm", "thousands are typed without"),
        ("", "No number was typed."),
        ("mm", "is no number"),
        ("abc", "is no number"),
        # a unit that is none of a size
        ("2.5 cm", "cm is no unit of a size."),
        ("2.5 kg", "kg is no unit of a size."),
        ("2.5 g", "g is no unit of a size."),
    ],
)
def test_what_is_no_size_names_the_field_the_value_and_what_would_fit(text: str, says: str) -> None:
    with pytest.raises(Unreadable) as refusal:
        size_mm(text, "Line wire")
    assert str(refusal.value).startswith("Line wire: ")
    assert says in str(refusal.value)
    assert refusal.value.value == text or text.startswith(refusal.value.value)
    assert refusal.value.expected
    assert refusal.value.next_step


def test_the_greatest_size_is_read() -> None:
    assert size_mm("999999999", "Wire") == Decimal(999_999_999)


def test_a_width_in_doubt_is_settled_by_what_is_expected_or_asked() -> None:
    assert size_mm("1.250", "Coil width", expected=Decimal(1200)) == Decimal(1250)
    assert size_mm("1.250", "Wire") == Decimal("1.250")
    with pytest.raises(Question, match=r"1\.250 can be read in two ways"):
        size_mm("1.250", "Coil width", expected=Decimal(30))
