"""Are shares right to a base unit, and do they add up exactly, on any genealogy?"""

from collections import defaultdict
from collections.abc import Iterable
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from lotroot.genealogy.shares import WHOLE, Edge, in_units, reach, shares

AMOUNT = 1_250_000
STREAMS = ("wood", "solution")

Exact = dict[int, dict[str, Fraction]]


@st.composite
def genealogies(draw: st.DrawFn) -> list[Edge[int]]:
    """Up to 9 lots, lot n of rank n; each has up to 4 links to lots below it, in either stream.

    Some links give nothing, some parents are linked twice.
    """
    found: list[Edge[int]] = []
    for child in range(2, draw(st.integers(2, 9)) + 1):
        for seq in range(1, draw(st.integers(0, 4)) + 1):
            parent, stream = draw(st.integers(1, child - 1)), draw(st.sampled_from(STREAMS))
            found.append(Edge(child, child, seq, parent, stream, draw(st.integers(0, 10**6))))
    return draw(st.permutations(found))


def by_paths(target: int, edges: Iterable[Edge[int]]) -> Exact:
    """Every path from the target up by itself, in fractions: slow and obvious."""
    inputs: dict[tuple[int, str], list[Edge[int]]] = defaultdict(list)
    for edge in edges:
        inputs[edge.child, edge.stream].append(edge)
    found: Exact = defaultdict(lambda: defaultdict(Fraction))

    def climb(lot: int, chain: tuple[str, ...], share: Fraction) -> None:
        if chain:
            found[lot]["/".join(chain)] += share
        for stream in STREAMS:
            links = inputs[lot, stream]
            whole = sum(link.given for link in links)
            for link in links:
                part = Fraction(link.given, whole) if whole else Fraction(1, len(links))
                climb(link.parent, chain if chain[-1:] == (stream,) else (*chain, stream), share * part)

    climb(target, (), Fraction(1))
    return found


def ends_of(parts: dict[int, dict[str, int]], edges: list[Edge[int]], chain: str) -> list[int]:
    """The lots a chain ends at: without parents in its last stream."""
    fed = {(edge.child, edge.stream) for edge in edges}
    last = chain.rpartition("/")[2]
    return [lot for lot, chains in parts.items() if chain in chains and (lot, last) not in fed]


@given(genealogies())
def test_shares_are_those_of_all_paths_in_fractions(edges: list[Edge[int]]) -> None:
    """RULES.md 4 allows one base unit; 2^64 leaves a lot of room below it."""
    target = max((edge.child for edge in edges), default=1)
    exact, found = by_paths(target, edges), shares(target, edges)
    assert {lot: set(chains) for lot, chains in found.items() if lot != target} == {
        lot: set(chains) for lot, chains in exact.items()
    }
    for lot, chains in exact.items():
        for chain, share in chains.items():
            assert abs(found[lot][chain] - share * WHOLE) <= 4 * 9 * 9


@given(genealogies())
def test_each_stream_of_the_asked_lot_is_one_whole(edges: list[Edge[int]]) -> None:
    target = max((edge.child for edge in edges), default=1)
    found = shares(target, edges)
    for stream in {edge.stream for edge in edges if edge.child == target}:
        assert found[target][stream] == WHOLE
        assert sum(found[lot][stream] for lot in ends_of(found, edges, stream)) == WHOLE


@given(genealogies())
def test_base_units_add_up_to_the_asked_amount_and_are_right_to_one(edges: list[Edge[int]]) -> None:
    target = max((edge.child for edge in edges), default=1)
    amounts = dict.fromkeys(STREAMS, AMOUNT)
    parts = shares(target, edges)
    units, exact = in_units(parts, amounts, edges, int), by_paths(target, edges)
    for stream in {edge.stream for edge in edges if edge.child == target}:
        assert units[target][stream] == AMOUNT
        assert sum(units[lot][stream] for lot in ends_of(parts, edges, stream)) == AMOUNT
    for lot, chains in exact.items():
        for chain, share in chains.items():
            assert abs(units[lot][chain] - share * AMOUNT) <= 1


@given(genealogies())
def test_down_says_of_each_lot_what_up_says_of_it(edges: list[Edge[int]]) -> None:
    source = min((edge.parent for edge in edges), default=1)
    down = reach(source, edges)
    assert source not in down
    for lot in {edge.child for edge in edges} - {source}:
        up = by_paths(lot, edges).get(source, {})
        assert set(down.get(lot, {})) == set(up)
        for chain, share in up.items():
            assert 0 <= share * WHOLE - down[lot][chain] <= 4 * 9 * 9


@given(genealogies())
def test_the_order_in_which_links_are_read_does_not_matter(edges: list[Edge[int]]) -> None:
    target = max((edge.child for edge in edges), default=1)
    assert shares(target, edges) == shares(target, reversed(edges))
    assert reach(1, edges) == reach(1, reversed(edges))
