"""Does theory let in sizes that a plant could have, and nothing else, and count the same for any caller?"""

from collections.abc import Callable
from decimal import Decimal, localcontext

import pytest
from lotroot.errors import Unreadable
from lotroot.theory import sizes, wire
from refusals import NO_SIZES, check_refused, refuses_no_sizes


@pytest.mark.parametrize("value", [Decimal("2.5"), 5, Decimal("0.01"), Decimal(60)])
def test_a_size_within_its_bounds_comes_back_as_a_decimal(value: sizes.Size) -> None:
    found = wire.diameter(value)
    assert isinstance(found, Decimal)
    assert found == value


@pytest.mark.parametrize("value", NO_SIZES, ids=repr)
def test_what_is_no_size_is_refused_with_the_field_and_what_would_fit(value: object) -> None:
    check_refused(
        lambda: sizes.positive(value, "wire diameter", "mm", 60),
        "The wire diameter cannot be",
        value,
        "Expected from 0.001 to 60 mm.",
    )


@pytest.mark.parametrize("value", [0, -1, 10**9, Decimal(5), 5.0, True, "5"], ids=repr)
def test_an_amount_is_a_whole_number_within_bounds(value: object) -> None:
    check_refused(
        lambda: sizes.amount(value, "roll mass", "g", 1000),
        "The roll mass cannot be",
        value,
        "Expected a whole number from 1 to 1000 g.",
    )


def test_nothing_may_be_allowed_where_a_coat_may_be_missing() -> None:
    assert sizes.not_negative(0, "zinc coating", "g/m2", 3000) == 0
    with pytest.raises(Unreadable):
        sizes.not_negative(Decimal("-0.1"), "zinc coating", "g/m2", 3000)


@pytest.mark.parametrize(
    ("rounding", "value", "whole"),
    [
        (sizes.nearest, "0.5", 1),
        (sizes.nearest, "1.499", 1),
        (sizes.nearest, "2.5", 3),
        (sizes.nearest, "-2.5", -3),
        (sizes.whole_within, "2.999", 2),
    ],
)
def test_rounding(rounding: Callable[[Decimal], int], value: str, whole: int) -> None:
    assert rounding(Decimal(value)) == whole


@pytest.mark.parametrize(("value", "text"), [("20.000", "20"), ("1E+3", "1000"), ("63.21205", "63.212")])
def test_a_figure_in_a_message_is_plain(value: str, text: str) -> None:
    assert sizes.shown(Decimal(value)) == text


def test_a_caller_who_counts_roughly_gets_the_same_mass() -> None:
    exact = wire.mg_per_m(Decimal("2.5"))
    with localcontext() as context:
        context.prec = 3
        assert wire.mg_per_m(Decimal("2.5")) == exact


def test_bounds_are_tried_on_every_field_of_a_wire() -> None:
    refuses_no_sizes(wire.mg_per_m, "wire diameter")
    refuses_no_sizes(lambda value: wire.pvc_mg_per_m(2, 3, value), "density")
    refuses_no_sizes(lambda value: wire.mass_g(Decimal(2), value), "wire length")
    refuses_no_sizes(lambda value: wire.length_mm(Decimal(2), value), "mass of wire")
    refuses_no_sizes(lambda value: wire.break_load_n(Decimal(2), value), "tensile")
