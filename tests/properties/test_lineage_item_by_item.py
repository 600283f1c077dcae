"""Is every part of a lineage right against fractions, item by item, on any family of lots?

The oracle follows every path by itself, in fractions, and every item by itself: slow and obvious.
"""

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction

from drawn_families import STREAMS, Drawn, Given, families, family, laid, serials_of
from hypothesis import given
from hypothesis import strategies as st
from lineage_shape import check_lineage
from lotroot.identity import ItemNumber, number_from
from lotroot.tracing import Lineage, as_json, trace

Way = tuple[int, str, Fraction]
"""A lot, the chain of streams on the way to it, and the share that went this way."""


def ways_up(lots: list[Drawn], place: int, serials: set[int], chain: str = "") -> Iterator[Way]:
    """Every way up from some items of a lot to one of its ancestors."""
    for stream in STREAMS:
        links = [link for link in lots[place].links if link.stream == stream]
        met = [link for link in links if serials_of(lots[place], link.made) & serials]
        any_given = any(link.given for link in met)
        weights = [_weight(lots[place], link, serials, any_given) for link in met]
        longer = chain if chain.rpartition("/")[2] == stream else f"{chain}/{stream}".lstrip("/")
        for link, weight in zip(met, weights, strict=True):
            share = weight / sum(weights)
            yield link.parent, longer, share
            onward = spoken_of(lots[link.parent], serials_of(lots[link.parent], link.taken))
            for lot, further, part in ways_up(lots, link.parent, onward, longer):
                yield lot, further, share * part


def _weight(lot: Drawn, link: Given, serials: set[int], any_given: bool) -> Fraction:
    made = serials_of(lot, link.made)
    return Fraction((link.given if any_given else 1) * len(made & serials), len(made))


def spoken_of(lot: Drawn, serials: set[int]) -> set[int]:
    """Items on the way that no link speaks of count as all of their lot."""
    spoken = [link for link in lot.links if serials_of(lot, link.made) & serials]
    return serials if spoken else serials_of(lot, None)


def exact(lots: list[Drawn], place: int, serials: set[int]) -> dict[int, dict[str, Fraction]]:
    """The share of some items that came from each ancestor, by chain."""
    found: dict[int, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for lot, chain, share in ways_up(lots, place, serials):
        found[lot][chain] += share
    return found


def parts(lineage: Lineage) -> dict[str, dict[str, int]]:
    return {one.lot.number: dict(one.part) for one in lineage.lots}


def assert_near(got: dict[str, int], share: dict[str, Fraction], amounts: dict[str, int]) -> None:
    """RULES 4: tests allow one base unit against fractions."""
    assert set(got) == set(share)
    for chain, part in got.items():
        assert abs(part - share[chain] * amounts[chain.partition("/")[0]]) <= 1


@given(families(STREAMS), st.data())
def test_up_is_right_to_a_unit_and_adds_up_exactly(lots: list[Drawn], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(lots) - 1))
    numbers = laid(lots)
    lineage = trace(family().connection, numbers[place], "up")
    check_up(lots, numbers, place, lineage, serials_of(lots[place], None))
    assert lineage.asked.amount == lots[place].amount


@given(families(STREAMS), st.data())
def test_an_item_follows_only_the_links_that_speak_of_it(lots: list[Drawn], data: st.DataObject) -> None:
    places = [place for place, lot in enumerate(lots) if lot.items]
    if not places:
        return
    place = data.draw(st.sampled_from(places))
    serial = data.draw(st.integers(1, lots[place].items))
    numbers = laid(lots)
    item = str(ItemNumber(number_from(numbers[place]), serial))
    lineage = trace(family().connection, item, "up")
    before, after = (lots[place].amount * one // lots[place].items for one in (serial - 1, serial))
    assert (lineage.asked.number, lineage.asked.kind, lineage.asked.amount) == (item, "item", after - before)
    check_up(lots, numbers, place, lineage, {serial})


def check_up(lots: list[Drawn], numbers: list[str], place: int, lineage: Lineage, serials: set[int]) -> None:
    """Against the oracle; amounts by stream are those of the asked lot itself, which sum to its own."""
    check_lineage(as_json(lineage))
    got = parts(lineage)
    own = got.pop(numbers[place])
    assert sum(own.values()) == lineage.asked.amount
    found = exact(lots, place, serials)
    assert set(got) == {numbers[lot] for lot in found}
    for lot, share in found.items():
        assert_near(got[numbers[lot]], share, own)
    shown = {one.lot.number: one for one in lineage.lots}
    for stream, amount in own.items():
        ends: dict[int, set[bool]] = defaultdict(set)
        for lot, some in met(lots, place, serials, stream):
            ends[lot].add(not linked(lots[lot], stream, some))
        if any(len(each) > 1 for each in ends.values()):
            continue  # a lot some of whose items end here and others go on shows one part for both
        last = [shown[numbers[lot]] for lot, each in ends.items() if True in each]
        assert all(one.source or one.gap for one in last)
        assert sum(one.part[stream] for one in last) == amount


def met(lots: list[Drawn], place: int, serials: set[int], stream: str) -> Iterator[tuple[int, set[int]]]:
    """Some items of a lot and all they were made of within one stream: lots, and which items of them."""
    yield place, serials
    for link in lots[place].links:
        if link.stream == stream and serials_of(lots[place], link.made) & serials:
            parent = lots[link.parent]
            yield from met(lots, link.parent, spoken_of(parent, serials_of(parent, link.taken)), stream)


def linked(lot: Drawn, stream: str, serials: set[int]) -> bool:
    """Whether a link of a stream speaks of any of some items."""
    return any(link.stream == stream and serials_of(lot, link.made) & serials for link in lot.links)


@given(families(), st.data())
def test_in_one_stream_sources_and_gaps_are_all_there_is(lots: list[Drawn], data: st.DataObject) -> None:
    """The contract: per stream the sum of part over source or gap is the asked amount."""
    place = data.draw(st.integers(0, len(lots) - 1))
    numbers = laid(lots)
    lineage = trace(family().connection, numbers[place], "up")
    ends = [one for one in lineage.lots if one.source or one.gap]
    assert sum(part for one in ends for part in one.part.values()) == lots[place].amount


@given(families(), st.data())
def test_down_gives_each_lot_the_part_that_up_gives_of_it(lots: list[Drawn], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(lots) - 1))
    numbers = laid(lots)
    down = trace(family().connection, numbers[place], "down")
    ups = {number: trace(family().connection, number, "up") for number in numbers}
    check_lineage(as_json(down))
    got = parts(down)
    assert got.pop(numbers[place]) == dict.fromkeys(ups[numbers[place]].lots[0].part, lots[place].amount)
    for later, number in enumerate(numbers):
        up = parts(ups[number]).get(numbers[place])
        if later != place and number in got:
            share = exact(lots, later, serials_of(lots[later], None)).get(place, {})
            assert_near(got[number], share, dict.fromkeys(STREAMS, lots[later].amount))
            assert up is not None
            assert all(abs(got[number][chain] - part) <= 1 for chain, part in up.items())
