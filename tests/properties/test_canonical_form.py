"""Has every fact exactly one text, and does that text give the same fact back?"""

import json
import unicodedata
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lotroot.errors import Unreadable
from lotroot.ledger.canonical import LARGEST, canonical, parse, sha256

TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc")) | st.sampled_from("\n\té"), max_size=20)
INTEGERS = st.integers(-LARGEST, LARGEST)
VALUES: st.SearchStrategy[Any] = st.recursive(
    st.booleans() | INTEGERS | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=12,
)


def composed(value: Any) -> Any:
    """The value with all its strings in NFC."""
    if isinstance(value, dict):
        return {composed(key): composed(part) for key, part in value.items()}
    if isinstance(value, list):
        return [composed(part) for part in value]
    return unicodedata.normalize("NFC", value) if isinstance(value, str) else value


CONTROLS = [chr(code) for code in (*range(0x20), *range(0x7F, 0xA0)) if chr(code) not in "\n\t"]


def has_clashing_keys(value: Any) -> bool:
    if isinstance(value, dict):
        return len(composed(value)) != len(value) or any(map(has_clashing_keys, value.values()))
    return isinstance(value, list) and any(map(has_clashing_keys, value))


@given(VALUES)
def test_what_is_written_is_read_back_the_same(value: Any) -> None:
    if has_clashing_keys(value):
        with pytest.raises(Unreadable):
            canonical(value)
        return
    back = parse(canonical(value))
    assert back == composed(value)
    assert canonical(back) == canonical(value)


@given(st.dictionaries(TEXTS.map(lambda key: unicodedata.normalize("NFC", key)), INTEGERS, min_size=2))
def test_the_order_in_which_fields_were_set_does_not_show(value: dict[str, int]) -> None:
    assert canonical(dict(reversed(value.items()))) == canonical(value)


@given(st.dictionaries(st.text(max_size=3), INTEGERS))
def test_keys_stand_in_the_order_of_their_code_points(value: dict[str, int]) -> None:
    try:
        keys = list(json.loads(canonical(value)))
    except Unreadable:
        return
    assert keys == sorted(keys, key=lambda key: [ord(sign) for sign in key])


@given(VALUES, VALUES)
def test_different_facts_have_different_hashes(one: Any, other: Any) -> None:
    if has_clashing_keys(one) or has_clashing_keys(other):
        return
    # In Python True equals 1; in the ledger they are two things, so compare by their JSON.
    same = json.dumps(composed(one), sort_keys=True) == json.dumps(composed(other), sort_keys=True)
    assert (sha256(canonical(one)) == sha256(canonical(other))) is same


@given(st.floats() | st.integers(LARGEST + 1) | st.integers(max_value=-LARGEST - 1))
def test_numbers_that_json_readers_would_change_are_refused(number: float) -> None:
    with pytest.raises(Unreadable):
        canonical({"amount": number})


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ({}, "{}"),
        ({"b": 1, "a": [True, False]}, '{"a":[true,false],"b":1}'),
        ({"a": None, "b": 1}, '{"b":1}'),  # absent fields are left out
        ({"a": (1, 2)}, '{"a":[1,2]}'),
        ({"é": "e\u0301"}, '{"é":"é"}'),  # in UTF-8, not escaped; composed
        ({"a": 'quote " slash \\ line\n'}, '{"a":"quote \\" slash \\\\ line\\n"}'),
        ({"€": 1, "\U00010400": 2, "ﬀ": 3}, '{"€":1,"ﬀ":3,"\U00010400":2}'),  # not the order of UTF-16
        ({"n": -LARGEST}, '{"n":-9007199254740991}'),
    ],
)
def test_a_fact_is_written_in_one_way(value: Any, text: str) -> None:
    assert canonical(value) == text


@pytest.mark.parametrize(
    "value",
    [
        *CONTROLS,
        "\ud800",
        "\udfff",
        1.0,
        float("nan"),
        [None],
        b"bytes",
        object(),
        {1: 2},
    ],
)
def test_what_cannot_be_kept_is_refused(value: Any) -> None:
    with pytest.raises(Unreadable):
        canonical({"field": value})


@pytest.mark.parametrize(
    "text",
    [
        '{"a":1.5}',
        '{"a":1e3}',
        '{"a":NaN}',
        '{"a":Infinity}',
        '{"a":1,"a":2}',
        '{"a":9007199254740992}',
        '{"a":-9007199254740992}',
        '{"a":' + "9" * 5000 + "}",
        "{",
        "",
        "[" * 100_000,
    ],
)
def test_json_that_canonical_json_cannot_hold_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        parse(text)
