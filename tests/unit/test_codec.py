"""Do events and commands become plain values and come back checked?"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lotroot.errors import Unreadable
from lotroot.ledger.canonical import canonical, parse
from lotroot.ledger.codec import decode, encode


@dataclass(frozen=True)
class Strap:
    """A part of a parcel."""

    width: int
    steel: bool = False


@dataclass(frozen=True)
class Parcel:
    """Everything a field may be."""

    number: str
    amount: int
    sealed: bool
    straps: tuple[Strap, ...]
    pair: tuple[int, str]
    note: str = ""
    least: int | None = None
    roles: tuple[str, ...] = ()
    inner: Strap | None = None
    told: Mapping[str, Any] | None = None


PLAIN: dict[str, Any] = {
    "number": "C2600000100",
    "amount": 7,
    "sealed": True,
    "straps": [{"width": 19}],
    "pair": [1, "a"],
}
PARCEL = Parcel("C2600000100", 7, True, (Strap(19),), (1, "a"))


def test_fields_at_their_default_are_left_out() -> None:
    assert encode(PARCEL) == PLAIN
    assert decode(Parcel, PLAIN) == PARCEL


@given(
    st.builds(
        Parcel,
        amount=st.integers(-(2**53) + 1, 2**53 - 1),
        number=st.from_regex(r"[A-Z]\d{10}", fullmatch=True),
        note=st.sampled_from(["", "wet", "née"]),
        straps=st.lists(st.builds(Strap, width=st.integers(0, 99))).map(tuple),
        pair=st.tuples(st.integers(0, 9), st.sampled_from(["a", ""])),
        roles=st.lists(st.sampled_from(["qa", "operator"])).map(tuple),
        least=st.none() | st.integers(0, 9),
        told=st.none() | st.dictionaries(st.sampled_from("abc"), st.lists(st.integers(0, 9))),
    )
)
def test_every_value_comes_back_the_same_through_the_ledgers_text(parcel: Parcel) -> None:
    assert decode(Parcel, parse(canonical(encode(parcel)))) == parcel


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"amount": "7"}, "amount"),
        ({"amount": 7.0}, "amount"),
        ({"amount": True}, "amount"),  # a bool is no amount, though Python says it is an int
        ({"sealed": 1}, "sealed"),
        ({"number": 7}, "number"),
        ({"straps": {"width": 19}}, "straps"),
        ({"straps": [19]}, "straps"),
        ({"straps": [{"width": "19"}]}, "width"),
        ({"straps": [{}]}, "width"),
        ({"pair": [1]}, "pair"),
        ({"pair": [1, 2]}, "pair"),
        ({"least": "none"}, "least"),
        ({"inner": [1]}, "inner"),
        ({"told": "[1]"}, "told"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_a_field_that_does_not_fit_is_named(changes: dict[str, Any], named: str) -> None:
    with pytest.raises(Unreadable, match=f"“{named}”"):
        decode(Parcel, {**PLAIN, **changes})


@pytest.mark.parametrize("field", ["number", "amount", "sealed", "straps", "pair"])
def test_a_field_that_is_missing_is_named(field: str) -> None:
    with pytest.raises(Unreadable, match=f"“{field}”"):
        decode(Parcel, {name: value for name, value in PLAIN.items() if name != field})


def test_an_optional_field_may_be_null() -> None:
    assert decode(Parcel, {**PLAIN, "least": None, "inner": {"width": 3}}).inner == Strap(3)
