"""Which families of lots do the properties of tracing run on?

Drawn by hypothesis, laid down in one house: each example's lots have nothing to do with the others'.
"""

from functools import cache
from typing import NamedTuple

from family_by_hand import Family
from hypothesis import strategies as st
from lotroot.genealogy.events import LotLink

KINDS = ("nail_lot", "boxed_nails")
STREAMS = ("steel", "pvc")


@cache
def family() -> Family:
    """One house for all examples: each lays down lots that have nothing to do with the others'."""
    return Family()


class Given(NamedTuple):
    """A link as drawn: lots by their place in the list, serials None for no items or all of them."""

    parent: int
    stream: str
    given: int
    made: tuple[int, int] | None
    taken: tuple[int, int] | None


class Drawn(NamedTuple):
    """A lot as drawn; `items` is 0 for no lot of items."""

    amount: int
    items: int
    source: bool
    links: tuple[Given, ...]


def _span(items: int) -> st.SearchStrategy[tuple[int, int] | None]:
    if not items:
        return st.none()
    pairs = st.tuples(st.integers(1, items), st.integers(1, items))
    return st.one_of(st.none(), pairs.map(lambda pair: (min(pair), max(pair))))


@st.composite
def families(draw: st.DrawFn, streams: tuple[str, ...] = STREAMS[:1]) -> list[Drawn]:
    """Up to nine lots, each made of lots before it; items are made and taken in ranges or unknown."""
    lots: list[Drawn] = []
    for place in range(draw(st.integers(2, 9))):
        items = draw(st.sampled_from((0, 0, 1, 4, 7)))
        count = draw(st.integers(0, 4)) if place else 0
        links = []
        for _ in range(count):
            parent = draw(st.integers(0, place - 1))
            links.append(
                Given(
                    parent,
                    draw(st.sampled_from(streams)),
                    draw(st.one_of(st.just(0), st.integers(1, 10**7))),
                    draw(_span(items)),
                    draw(_span(lots[parent].items)),
                )
            )
        lots.append(Drawn(draw(st.integers(1, 10**7)), items, draw(st.booleans()) or not place, tuple(links)))
    return lots


def laid(lots: list[Drawn]) -> list[str]:
    """The lots in a house; returns their numbers."""
    numbers: list[str] = []
    for one in lots:
        source = "received" if one.source and not one.links else ""
        number = family().lot(KINDS[bool(one.items)], one.amount, items=one.items, source=source)
        numbers.append(number)
        if one.links:
            family().link(number, *(link_of(numbers, each) for each in one.links))
    return numbers


def link_of(numbers: list[str], each: Given) -> LotLink:
    """A drawn link between the lots of these numbers."""
    made, taken = each.made or (None, None), each.taken or (None, None)
    return LotLink(
        numbers[each.parent], "any", each.stream, 0, each.given, taken[0], taken[1], made[0], made[1]
    )


def serials_of(lot: Drawn, span: tuple[int, int] | None) -> set[int]:
    """The items a link names; all of them, or the one thing that is no item, where it names none."""
    return set(range(span[0], span[1] + 1)) if span else set(range(1, lot.items + 1)) or {0}
