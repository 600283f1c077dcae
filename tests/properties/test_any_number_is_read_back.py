"""Does every number come back from every way it is written, and does any text at all get an answer?"""

from hypothesis import given
from hypothesis import strategies as st
from keyboards import ARRIVALS
from lotroot.errors import Unreadable
from lotroot.identity import (
    Badge,
    ItemNumber,
    Number,
    Read,
    badge_from,
    find,
    item_from,
    make,
    number_from,
    read,
    read_tag,
)
from lotroot.identity.families import LETTERS, LOT_FAMILIES

years = st.integers(0, 99)
running = st.integers(1, 999_999)
numbers = st.builds(make, st.sampled_from(sorted(LETTERS)), years, running)
lots = st.builds(make, st.sampled_from(sorted(LOT_FAMILIES)), years, running)
items = st.builds(ItemNumber, lots, st.integers(1, 9_999))
badges = st.builds(lambda digits: Badge(f"{digits:014d}"), st.integers(0, 10**14 - 1))
frames = st.sampled_from(
    ["{}", "{}\r\n", "\r{}\t", "]C0{}", "]Q1{}\n", "https://host.example/t/{}", "HTTP://H/T/{}/"]
)


@given(numbers | items | badges, st.integers(1, 99), frames, st.sampled_from(sorted(ARRIVALS)))
def test_what_is_sent_is_what_is_read(
    value: Number | ItemNumber | Badge, copy: int, frame: str, arrival: str
) -> None:
    sent = str(value) + (f"K{copy}" if copy > 1 else "")
    assert read(ARRIVALS[arrival](frame.format(sent))) == Read(value, copy)


@given(numbers | items)
def test_what_is_shown_is_read_back_and_found(value: Number | ItemNumber) -> None:
    for text in (
        value.shown,
        value.shown.lower(),
        value.shown.replace("-", " "),
        value.shown.replace("0", "O"),
    ):
        assert read(text) == Read(value)
        assert find(text) == [str(value)]


@given(numbers, items, badges)
def test_canonical_text_and_value_are_one(number: Number, item: ItemNumber, badge: Badge) -> None:
    assert number_from(str(number)) == number
    assert item_from(str(item)) == item
    assert badge_from(str(badge)) == badge
    assert item.lot == number_from(str(item)[:11])


@given(numbers | items, st.data())
def test_any_stretch_of_a_number_leads_to_it(value: Number | ItemNumber, data: st.DataObject) -> None:
    text = str(value)
    start = data.draw(st.integers(0, len(text) - 1))
    end = data.draw(st.integers(max(start + 1, 2), len(text)))
    assert any(part in text for part in find(text[start:end]))


@given(st.text(max_size=60) | st.text("RCK026&é\"'(-è_çà!§$%/=]+httpsVX ", max_size=30))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    for reader in (read, find, read_tag):
        try:
            reader(text)
        except Unreadable as refusal:
            assert refusal.what and refusal.expected and refusal.next_step
