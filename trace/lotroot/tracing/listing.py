"""How is a list told in a sentence: only what somebody asked about, and not too much of it?"""

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from lotroot.tracing.words import Words

T = TypeVar("T")

Tell = Callable[[Any, Words, str], str]
"""Tells an event in one sentence, with the number that is asked about."""

MOST = 4
"""So many are told one by one; the rest is counted."""

LOT_LENGTH = 11


def some(things: Iterable[T], say: Callable[[T], str]) -> str:
    """The first few of some things in words, and how many more there are."""
    every = list(things)
    said = [say(one) for one in every[:MOST]]
    more = [f"and {len(every) - MOST} more"] if len(every) > MOST else []
    return ", ".join([*said, *more])


def those(things: Iterable[T], about: str, numbers: Callable[[T], tuple[str, ...]]) -> list[T]:
    """Those of some things that name a number, or all of them where none does."""
    every = list(things)
    return [one for one in every if about[:LOT_LENGTH] in numbers(one)] or every
