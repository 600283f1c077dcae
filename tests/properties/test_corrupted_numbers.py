"""Can a slip of the hand or of a reader turn one number into another?

The classes are those of ISO/IEC 7064: every single substitution, adjacent swap, jump swap (abc to cba)
and twin error (aa to bb). A forgiven slip (O for 0) gives back the number meant and is none.
"""

import random
from collections.abc import Iterator

import pytest
from lotroot.errors import Unreadable
from lotroot.identity import Badge, ItemNumber, make, read
from lotroot.identity.families import LETTERS, LOT_FAMILIES
from stdnum.iso7064 import mod_97_10

DIGITS = "0123456789"
CHARACTERS = DIGITS + "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
LOOKALIKES = {"O": "0", "I": "1", "L": "1"}
ONE_MILLION = 1_000_000


def a_number(chance: random.Random) -> str:
    letter = chance.choice(sorted(LETTERS))
    number = make(letter, chance.randrange(100), chance.randint(1, 999_999))
    kind = chance.randrange(3)
    if kind == 0 and letter in LOT_FAMILIES:
        return str(ItemNumber(number, chance.randint(1, 9_999)))
    if kind == 1:
        return str(Badge(f"{chance.randrange(10**14):014d}"))
    return str(number)


def substitutions(text: str) -> Iterator[str]:
    for place, right in enumerate(text):
        wrong = CHARACTERS if place == 0 else DIGITS + chr(65 + (place * 7) % 26)
        for character in wrong:
            if right not in (character, LOOKALIKES.get(character) if place else None):
                yield text[:place] + character + text[place + 1 :]


def swaps(text: str) -> Iterator[str]:
    for place in range(len(text) - 1):
        first, second = text[place], text[place + 1]
        if first != second:
            yield text[:place] + second + first + text[place + 2 :]


def jump_swaps(text: str) -> Iterator[str]:
    for place in range(len(text) - 2):
        first, middle, last = text[place : place + 3]
        if first != last:
            yield text[:place] + last + middle + first + text[place + 3 :]


def twins(text: str) -> Iterator[str]:
    for place in range(len(text) - 1):
        if text[place] == text[place + 1]:
            for digit in DIGITS:
                if digit != text[place]:
                    yield text[:place] + digit + digit + text[place + 2 :]


CLASSES = (substitutions, swaps, jump_swaps, twins)


def corrupted(chance: random.Random) -> Iterator[str]:
    while True:
        text = a_number(chance)
        for errors in CLASSES:
            yield from errors(text)


def passes(text: str) -> bool:
    try:
        read(text)
    except Unreadable:
        return False
    return True


def test_of_a_million_corrupted_numbers_none_passes(thorough: bool) -> None:
    """The quick profile tries a fifth of them."""
    stream = corrupted(random.Random(20260101))
    tried = range(ONE_MILLION if thorough else ONE_MILLION // 5)
    passed = [text for _, text in zip(tried, stream, strict=False) if passes(text)]
    assert not passed


@pytest.mark.parametrize("errors", CLASSES)
def test_every_class_of_error_is_among_the_million(errors: object) -> None:
    assert callable(errors)
    texts = [a_number(random.Random(seed)) for seed in range(50)]
    made = {wrong for text in texts for wrong in errors(text)}
    assert len(made) > 50
    assert not made & set(texts)


def test_double_slips_pass_once_in_a_hundred_at_most() -> None:
    # Published measure of the scheme: 0.8 % (identification facts); goal 18 of the floor facts: 1 %.
    chance = random.Random(97)
    tried = passed = 0
    while tried < 40_000:
        text = str(make("R", chance.randrange(100), chance.randint(1, 999_999)))
        first, second = sorted(chance.sample(range(1, 11), 2))
        one, two = chance.choice(DIGITS), chance.choice(DIGITS)
        if one == text[first] or two == text[second]:
            continue
        wrong = text[:first] + one + text[first + 1 : second] + two + text[second + 1 :]
        tried += 1
        passed += passes(wrong)
    assert passed / tried <= 0.01


def test_python_stdnum_proves_every_number_we_make() -> None:
    chance = random.Random(7064)
    for _ in range(5_000):
        text = a_number(chance)
        assert mod_97_10.is_valid(text)
        assert str(read(text).value) == text
