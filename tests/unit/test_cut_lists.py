"""Is a typed cut list read as it was meant, and is one that cannot be refused by its line?"""

import pytest
from lotroot.errors import Unreadable
from lotroot.production.cut_facts import Cut
from lotroot.production.cut_lists import MOST_LINES, length_of, pieces_of, read_cuts

TWO = (Cut(24, 3_600), Cut(12, 2_400))

READ = [
    ("24x3.6 12x2.4", "m", TWO),
    ("24x3,6 12x2,4", "m", TWO),
    ("24 x 3,6  12 X 2,4", "m", TWO),
    ("24×3.6; 12×2.4", "m", TWO),
    ("24x3.6, 12x2.4", "m", TWO),
    ("24*3.600 + 12*2,400", "m", TWO),
    ("24x3.6 m 12x2.4m", "m", TWO),
    ("24x3600mm 12x2400 mm", "m", TWO),
    ("24x3600 12x2400", "mm", TWO),
    ("24x3.6 12x2,4", "mm", TWO),
    ("24x3600 12x2.4", "mm", TWO),
    ("1x6", "mm", (Cut(1, 6_000),)),
    ("1x0.345", "m", (Cut(1, 345),)),
    ("10x10", "ft", (Cut(10, 3_048),)),
    (" ".join(["1x2"] * MOST_LINES), "m", (Cut(1, 2_000),) * MOST_LINES),
]


@pytest.mark.parametrize(("text", "unit", "cuts"), READ)
def test_a_cut_list_is_read(text: str, unit: str, cuts: tuple[Cut, ...]) -> None:
    assert read_cuts(text, unit) == cuts


def test_pieces_and_length_are_sums_of_the_lines() -> None:
    assert (pieces_of(TWO), length_of(TWO)) == (36, 115_200)


REFUSED = [
    ("0x3.6", "Line 1, “0x3.6”: 0 pieces", "1 to 999 pieces"),
    ("24x0", "Line 1, “24x0”: 0\u202fm is no length", "0.1\u202fm to 50\u202fm"),
    ("24", "Line 1, “24”, is no count and length", "count x length"),
    ("24x", "Line 1, “24x”, is no count and length", "count x length"),
    ("x3.6", "Line 1, “x3.6”, is no count and length", "count x length"),
    ("24x99999", "Line 1, “24x99999”: 99\u202f999\u202fm", "0.1\u202fm to 50\u202fm"),
    ("24x3600", "Line 1, “24x3600”: 3\u202f600\u202fm", "as 3600mm"),
    ("1e3x2", "Line 1, “1e3x2”: 1e3 is no count", "whole number"),
    ("-2x3", "Line 1, “-2x3”: -2 is no count", "whole number"),
    ("2.5x3", "Line 1, “2.5x3”: 2.5 is no count", "whole number"),
    ("24x-3", "Line 1, “24x-3”: -3 is no length", "0.1\u202fm to 50\u202fm"),
    ("24x3.6kg", "Line 1, “24x3.6kg”: 3.6kg is no length", "0.1\u202fm to 50\u202fm"),
    ("24x3.6 12x", "Line 2, “12x”", "count x length"),
    ("24x3.6 1000x2.4", "Line 2, “1000x2.4”: 1000 pieces", "1 to 999 pieces"),
    ("24x3x6", "Line 1, “24x3x6”", "count x length"),
    ("٢x3", "Line 1, “٢x3”: ٢ is no count", "whole number"),
    (" ".join(["1x2"] * 13), "A cut list of 13 lines", "1 to 12 lines"),
    ("", "A cut list of 0 lines", "1 to 12 lines"),
]


@pytest.mark.parametrize(("text", "what", "expected"), REFUSED)
def test_a_cut_list_that_cannot_be_is_refused_by_its_line(text: str, what: str, expected: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read_cuts(text, "m")
    assert what in refused.value.what
    assert expected in refused.value.expected
    assert refused.value.next_step == "Type the whole cut list again."
