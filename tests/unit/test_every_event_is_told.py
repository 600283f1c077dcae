"""Does every kind of event have one plain sentence, whatever is in it?"""

import dataclasses
import types
from collections.abc import Iterator, Mapping
from contextlib import closing
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from family_by_hand import YARD, Family  # which knows every feature, so every event is declared
from lotroot.ledger import events
from lotroot.tracing.sentences import SENTENCES
from lotroot.tracing.telling import LONG_SENTENCES, sentence
from lotroot.tracing.words import Words

LOT = "N2600000163"

NUMBERS = {
    "number",
    "lot",
    "run",
    "child",
    "parent",
    "shipment",
    "carrier",
    "person",
    "thing",
    "spot",
    "case",
}
"""Fields that hold a number."""

FEW = {"source": YARD, "target": YARD, "unit": "g"}
"""Fields whose text cannot be just any."""


KINDS = [kind for kind in events.kinds() if events._KINDS[kind].__module__.startswith("lotroot.")]
"""Every kind of the program; other tests declare some of their own."""


def sample(hint: Any, name: str, *, full: bool) -> Any:
    """A value for a field; the least it may be, or one of everything."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return sample(get_args(hint)[0], name, full=full) if full else None
    if origin is tuple:
        return tuple(sample(get_args(hint)[0], name, full=full) for _ in range(7 if full else 0))
    if origin is Mapping:
        return {"heat": "some words"} if full else {}
    if dataclasses.is_dataclass(hint):
        return sample_of(hint, full=full)
    if hint is str:
        return FEW.get(name, LOT if name in NUMBERS else "some words") if full else FEW.get(name, "")
    return hint(3) if full else hint(0)


def sample_of(kind: Any, *, full: bool) -> Any:
    hints = get_type_hints(kind)
    fields = {
        field.name: sample(hints[field.name], field.name, full=full) for field in dataclasses.fields(kind)
    }
    return kind(**fields)


@pytest.fixture(scope="module")
def words() -> Iterator[Words]:
    with closing(Family()) as family:
        family.lot("nail_lot", 1_000)
        found = Words(family.connection)
        found.learn([LOT])
        yield found


def test_no_kind_is_told_in_two_ways_and_no_sentence_is_of_no_kind() -> None:
    assert not SENTENCES.keys() & LONG_SENTENCES.keys()
    assert SENTENCES.keys() | LONG_SENTENCES.keys() == set(KINDS)


@pytest.mark.parametrize("full", [True, False], ids=["full", "sparse"])
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_one_plain_sentence(words: Words, kind: str, full: bool) -> None:
    said = sentence(sample_of(events._KINDS[kind], full=full), words)
    assert not {"{", "}", "\n"} & set(said)
    assert "None" not in said.split()
    assert LOT not in said, "numbers are written for people"
    if full:
        assert said == said.strip()
        assert said[0].isupper() or said[0].isdigit()
        assert "  " not in said
        assert " ." not in said
        assert " ," not in said
        assert ",," not in said
        assert ",." not in said


def test_a_kind_of_a_later_release_is_told_by_its_name(words: Words) -> None:
    later = dataclasses.make_dataclass("RoofTornOff", [])
    assert sentence(later(), words) == "Roof torn off."
