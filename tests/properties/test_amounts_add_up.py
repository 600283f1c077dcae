"""Do shares add up to the unit, and do typed figures come back the same?"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lotroot.errors import Question, Unreadable
from lotroot.quantities import (
    MOST_AMOUNT,
    THIN_SPACE,
    UNITS,
    read_amount,
    read_number,
    share_out,
    show_amount,
    split_cumulative,
)

totals = st.integers(-(2**64), 2**64)
weights = st.lists(st.integers(0, 10**12), min_size=1, max_size=30).filter(any)


@given(totals, weights)
def test_shares_sum_exactly_and_are_off_by_less_than_one_unit(total: int, parts: list[int]) -> None:
    for share in (share_out, split_cumulative):
        shares = share(total, parts)
        assert sum(shares) == total
        for got, part in zip(shares, parts, strict=True):
            assert abs(got - Fraction(total * part, sum(parts))) < 1
            assert part or not got


@given(totals, weights, st.data())
def test_neighbours_in_a_cumulative_split_are_together_right_to_the_unit(
    total: int, parts: list[int], data: st.DataObject
) -> None:
    start = data.draw(st.integers(0, len(parts)))
    end = data.draw(st.integers(start, len(parts)))
    exact = Fraction(total * sum(parts[start:end]), sum(parts))
    assert abs(sum(split_cumulative(total, parts)[start:end]) - exact) < 1


@given(st.integers(0, MOST_AMOUNT), st.sampled_from(sorted(set(UNITS) - {"lb", "in", "ft"})))
def test_what_is_shown_in_a_metric_unit_is_read_back_to_the_base_unit(amount: int, unit: str) -> None:
    base = UNITS[unit].base
    shown = show_amount(amount, base, unit).replace(THIN_SPACE, "")
    figure = shown.removesuffix(unit)
    if len(figure.replace(".", "")) <= 15:
        assert read_amount(shown, unit, amount) == amount


@pytest.mark.parametrize(("unit", "per_unit"), [("lb", 10), ("in", 10), ("ft", 100)])
def test_customary_figures_come_back_as_typed(unit: str, per_unit: int) -> None:
    # Goal of the floor facts: lb in, lb out, same digits, 0.1 lb steps to 10,000 lb.
    for step in range(0, 10_000 * 10 + 1, 7):
        typed = Decimal(step) / per_unit
        amount = read_amount(f"{typed:f}", unit, int(typed * UNITS[unit].size))
        assert (
            show_amount(amount, UNITS[unit].base, unit).replace(THIN_SPACE, "")
            == f"{typed.normalize():f}{unit}"
        )


@given(st.integers(0, 99_999), st.integers(0, 99_999), st.integers(1, 5), st.sampled_from(".,"))
def test_a_mark_is_a_decimal_mark_or_asked_about(whole: int, behind: int, places: int, mark: str) -> None:
    fraction = f"{behind:05d}"[-places:]
    typed = f"{whole}{mark}{fraction}"
    if places == 3 and 0 < whole < 1000:
        with pytest.raises(Question):
            read_number(typed)
    else:
        assert read_number(typed) == Decimal(f"{whole}.{fraction}")


@given(
    st.text(max_size=40) | st.text("0123456789.,-+e kglbtmNaNinf", max_size=20),
    st.sampled_from(sorted(UNITS)),
)
def test_any_text_is_an_amount_a_question_or_refused_in_words(text: str, unit: str) -> None:
    try:
        amount = read_amount(text, unit)
    except Question as asked:
        assert len(asked.choices) == 2
    except Unreadable as refused:
        assert refused.what and refused.expected and refused.next_step
    else:
        assert 0 <= amount <= MOST_AMOUNT
