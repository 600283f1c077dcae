"""Does every form answer whatever stands in its fields with figures, or name the field that does not fit?"""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st
from lotroot.reckoning.fields import WrongField
from lotroot.reckoning.form import reckoned
from lotroot.reckoning.forms import FORMS

ODD = ("", "0", "-1", "1,5", "2.500", "1e9", "NaN", "12 BWG", "12", "0.099 in", "3 x 412", "10 x 3.6; 2 x 4",
       "99999999999999", "0.0000001", "½", "26 MSG")  # fmt: skip
TEXTS = st.one_of(
    st.sampled_from(ODD),
    st.decimals("0.001", "100000", places=3).map(str),
    st.text('0123456789.,x -;mkgin"', max_size=12),
    st.text(max_size=20),
)


@given(code=st.sampled_from(list(FORMS)), data=st.data())
def test_any_text_in_any_field(code: str, data: st.DataObject) -> None:
    form = FORMS[code]
    names = [field.name for field in form.fields]
    asked = {name: data.draw(TEXTS, label=name) for name in names}
    try:
        answer = reckoned(form, asked)
    except WrongField as wrong:
        assert wrong.field in names
        assert wrong.error.expected
        return
    assert answer.figures
    assert all(Decimal(one.value).is_finite() for one in answer.figures)


@given(
    line=st.decimals("1.6", "3.0", places=2),
    barb=st.decimals("1.4", "2.5", places=2),
    length=st.integers(1, 1000),
)
def test_a_roll_twice_as_long_is_twice_as_heavy(line: Decimal, barb: Decimal, length: int) -> None:
    def roll(metres: int) -> Decimal:
        asked = {"line": str(line), "barb": str(barb), "points": "4", "spacing": "100", "take_up": "1.02",
                 "barb_wire": "120", "length": str(metres)}  # fmt: skip
        return Decimal(reckoned(FORMS["barbed"], asked).figures[0].value)

    assert abs(roll(2 * length) - 2 * roll(length)) <= Decimal("0.001")
