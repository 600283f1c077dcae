"""Are the lots that goods share those that stand above all of them, found one by one?"""

from drawn_families import STREAMS, Drawn, families, family, laid
from hypothesis import given
from hypothesis import strategies as st
from lotroot.tracing.causes import causes


def above(lots: list[Drawn], place: int) -> set[int]:
    """Every lot a lot was made of, near or far."""
    found: set[int] = set()
    for link in lots[place].links:
        found |= {link.parent} | above(lots, link.parent)
    return found


@given(families(STREAMS), st.data())
def test_shared_lots_are_those_above_two_or_more(lots: list[Drawn], data: st.DataObject) -> None:
    places = data.draw(st.lists(st.integers(0, len(lots) - 1), min_size=2, max_size=4, unique=True))
    numbers = laid(lots)
    found = causes(family().connection, [numbers[place] for place in places])
    shared = {one.number: set(one.covers) for one in found.causes if one.what == "lot"}
    expected: dict[str, set[str]] = {}
    for place in places:
        for lot in above(lots, place):
            expected.setdefault(numbers[lot], set()).add(numbers[place])
    assert shared == {lot: by for lot, by in expected.items() if len(by) > 1}
    everything = set(places).union(*(above(lots, place) for place in places))
    assert found.visited == len(everything)
