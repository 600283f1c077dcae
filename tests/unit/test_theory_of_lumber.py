"""Is the wood in packs and poles what a tape and a table make it?"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from lotroot.theory import lumber
from lotroot.theory.constants import PI
from refusals import check_refused, refuses_no_sizes

D = Decimal


def test_a_pack_is_its_pieces_by_actual_size() -> None:
    """1.5 x 3.5 in x 12 ft: 38.1 x 88.9 x 3657.6 mm, 294 pieces."""
    piece = lumber.piece_mm3(D("38.1"), D("88.9"), D("3657.6"))
    assert piece == D("12388620.384")
    assert lumber.pack_cm3(294, piece) == 3_642_254


def test_a_pack_is_rounded_once_and_not_by_the_piece() -> None:
    assert lumber.pack_cm3(10, D(1400)) == 14


def test_rough_sawn_lumber_has_its_full_inches() -> None:
    assert lumber.full_mm(2) * lumber.full_mm(4) == D("50.8") * D("101.6")


def test_board_feet_go_by_the_name_and_are_a_third_more_than_the_wood() -> None:
    """294 of 2x4, 12 ft: 8 bd ft each; 1,000 bd ft are 2.3597 m3 by name, 1.55 m3 of dressed wood."""
    feet = lumber.board_feet(294, 2, 4, 12)
    assert feet == 2352
    wood = lumber.pack_cm3(294, lumber.piece_mm3(D("38.1"), D("88.9"), D("3657.6")))
    assert round(wood / feet / 1000, 2) == D("1.55")


def test_both_formulas_agree_on_a_cylinder() -> None:
    cylinder = PI / 4 * 100**2 * 2400
    assert round(lumber.pole_mm3(100, 2400) - cylinder, 20) == 0
    assert round(lumber.tapered_pole_mm3(100, 100, 2400) - cylinder, 20) == 0


def test_a_tapered_pole_lies_between_its_middle_and_its_ends() -> None:
    """120 and 80 mm over 2.4 m: the cone frustum is pi/12 x 2400 x (14400 + 9600 + 6400)."""
    frustum = PI / 12 * 2400 * (14_400 + 9_600 + 6_400)
    assert lumber.pole_mm3(100, 2400) < frustum < lumber.tapered_pole_mm3(120, 80, 2400)


@pytest.mark.parametrize(
    ("call", "field", "value", "fits"),
    [
        (lambda: lumber.tapered_pole_mm3(80, 120, 2400), "top diameter", 120, "that of the butt, 80 mm"),
        (lambda: lumber.piece_mm3(38, 89, 10**9), "length", 10**9, "from 1 to 30000 mm"),
        (lambda: lumber.pack_cm3(0, 5), "number of pieces", 0, "from 1"),
        (lambda: lumber.pack_cm3(1, 0), "volume of a piece", 0, "mm3"),
        (lambda: lumber.board_feet(1, 2, 4, 0), "length", 0, "ft"),
        (lambda: lumber.board_feet(1, 2, 400, 12), "nominal size", 400, "to 40 in"),
        (lambda: lumber.full_mm(D("NaN")), "nominal size", "NaN", "in"),
    ],
)
def test_a_wrong_size_is_refused(call: Callable[[], object], field: str, value: object, fits: str) -> None:
    check_refused(call, field, value, fits)


def test_no_field_of_lumber_takes_what_is_no_size() -> None:
    refuses_no_sizes(lambda value: lumber.piece_mm3(value, 89, 3658), "thickness")
    refuses_no_sizes(lambda value: lumber.piece_mm3(38, value, 3658), "width")
    refuses_no_sizes(lambda value: lumber.pole_mm3(value, 2400), "middle diameter")
    refuses_no_sizes(lambda value: lumber.pole_mm3(100, value), "length")
    refuses_no_sizes(lambda value: lumber.tapered_pole_mm3(value, 80, 2400), "butt diameter")
