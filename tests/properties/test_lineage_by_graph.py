"""Do walks, shares and holds agree with a graph library that knows nothing of lots?

Plants are drawn; networkx finds ancestors, descendants and every path between two lots.
"""

from fractions import Fraction
from math import prod
from typing import NamedTuple

import networkx
from drawn_families import family
from hypothesis import given
from hypothesis import strategies as st
from lotroot.genealogy.events import LinksWritten, LotLink
from lotroot.genealogy.lots import above, below, find_lot, ids_above, ids_below
from lotroot.genealogy.walks import above_all, below_all
from lotroot.holds.facts import HoldPlaced, HoldReleased, HoldRootAdded
from lotroot.holds.reach import held_among, held_by
from lotroot.tracing import trace

AMOUNT = 1_250_000


class Link(NamedTuple):
    """A link as drawn: parent by its place, what it gave, whether a correction left it in doubt."""

    parent: int
    given: int
    doubted: bool


Plant = list[list[Link]]
"""The links of each lot, parents before their children."""


@st.composite
def drawn_plants(draw: st.DrawFn, lots: int = 9) -> Plant:
    """Up to so many lots, each with up to three links to lots before it, some twice to the same one."""
    found: Plant = [[]]
    for place in range(1, draw(st.integers(2, lots))):
        given = st.one_of(st.just(0), st.integers(1, 10**7))
        link = st.builds(Link, st.integers(0, place - 1), given, st.integers(0, 4).map(lambda one: not one))
        found.append(draw(st.lists(link, max_size=3)))
    return [_settled(links) for links in found]


def _settled(links: list[Link]) -> list[Link]:
    """What a corrected lot keeps in doubt are parents it has no live link to."""
    live = {link.parent for link in links if not link.doubted}
    kept = {link.parent: link for link in links if link.doubted and link.parent not in live}
    return [link for link in links if not link.doubted] + list(kept.values())


def laid(plant: Plant) -> list[str]:
    """The plant's lots in a house; returns their numbers."""
    numbers: list[str] = []
    for links in plant:
        number = family().lot("nail_lot", AMOUNT, source="" if links else "received")
        numbers.append(number)
        for doubted in (True, False):
            some = tuple(
                LotLink(numbers[link.parent], "any", "steel", 0, link.given)
                for link in links
                if link.doubted is doubted
            )
            if some or (links and not doubted):
                family().record(LinksWritten(number, "", some, doubted=not doubted))
    return numbers


def graph_of(plant: Plant, *, doubted: bool) -> networkx.MultiDiGraph:
    """Parent to child; each link carries the part it gave of its child."""
    graph = networkx.MultiDiGraph()
    graph.add_nodes_from(range(len(plant)))
    for child, links in enumerate(plant):
        live = [link for link in links if doubted or not link.doubted]
        whole = sum(link.given for link in live)
        for link in live:
            part = Fraction(link.given, whole) if whole else Fraction(1, len(live))
            graph.add_edge(link.parent, child, part=part)
    return graph


def ids_of(numbers: list[str], places: set[int]) -> set[int]:
    return {find_lot(family().connection, numbers[place]).id for place in places}


@given(drawn_plants(14), st.data())
def test_walks_find_the_lots_the_graph_has(plant: Plant, data: st.DataObject) -> None:
    numbers, some = laid(plant), st.integers(0, len(plant) - 1)
    place, other = data.draw(some), data.draw(some)
    connection = family().connection
    [one] = ids_of(numbers, {place})
    both = list(ids_of(numbers, {place, other}))
    for doubted in (False, True):
        graph = graph_of(plant, doubted=doubted)
        up, down = networkx.ancestors(graph, place), networkx.descendants(graph, place)
        assert set(above(connection, one, doubted=doubted).lots) == ids_of(numbers, up | {place})
        assert set(below(connection, one, doubted=doubted).lots) == ids_of(numbers, down | {place})
        more = up | networkx.ancestors(graph, other) | {place, other}
        assert set(above_all(connection, both, doubted=doubted).lots) == ids_of(numbers, more)
    assert ids_above(connection, one) == ids_of(numbers, networkx.ancestors(graph, place) | {place})
    assert ids_below(connection, one) == ids_of(numbers, networkx.descendants(graph, place) | {place})
    live = graph_of(plant, doubted=False)
    below_both = networkx.descendants(live, place) | networkx.descendants(live, other) | {place, other}
    found = {row.child for row in below_all(connection, both).edges} | set(both)
    assert found == ids_of(numbers, below_both)


@given(drawn_plants(), st.data())
def test_shares_are_the_sums_over_all_paths(plant: Plant, data: st.DataObject) -> None:
    numbers = laid(plant)
    place = data.draw(st.integers(0, len(plant) - 1))
    graph = graph_of(plant, doubted=False)
    up = {
        other: sum(
            prod((graph.edges[step]["part"] for step in path), start=Fraction(1))
            for path in networkx.all_simple_edge_paths(graph, other, place)
        )
        for other in networkx.ancestors(graph, place)
    }
    found = trace(family().connection, numbers[place], "up")
    parts = {one.lot.number: one.part.get("steel", 0) for one in found.lots if one.depth}
    assert set(parts) == {numbers[other] for other in up}
    assert all(abs(parts[numbers[other]] - AMOUNT * share) <= 1 for other, share in up.items())
    ends = [one for one in found.lots if one.source or one.gap]
    assert sum(sum(one.part.values()) for one in ends) == AMOUNT
    assert {one.lot.number for one in ends} == {
        numbers[other] for other in {*up, place} if not graph.in_degree(other)
    }


@given(drawn_plants(), st.data())
def test_down_gives_what_up_takes(plant: Plant, data: st.DataObject) -> None:
    numbers = laid(plant)
    place = data.draw(st.integers(0, len(plant) - 1))
    graph = graph_of(plant, doubted=False)
    found = trace(family().connection, numbers[place], "down")
    parts = {one.lot.number: one.part.get("steel", 0) for one in found.lots if one.depth}
    assert set(parts) == {numbers[other] for other in networkx.descendants(graph, place)}
    for other in networkx.descendants(graph, place):
        share = sum(
            prod((graph.edges[step]["part"] for step in path), start=Fraction(1))
            for path in networkx.all_simple_edge_paths(graph, place, other)
        )
        assert abs(parts[numbers[other]] - AMOUNT * share) <= 1


@given(drawn_plants(14), st.data())
def test_held_is_what_a_path_from_a_root_reaches_past_no_release(plant: Plant, data: st.DataObject) -> None:
    numbers, some = laid(plant), st.integers(0, len(plant) - 1)
    graph = graph_of(plant, doubted=True)
    held: dict[int, set[int]] = {}
    for _ in range(data.draw(st.integers(1, 3))):
        number = family().record(HoldPlaced("hold", "brittle"))
        roots, releases = (
            data.draw(st.sets(some, min_size=1, max_size=3)),
            data.draw(st.sets(some, max_size=2)),
        )
        for place in roots:
            family().record(HoldRootAdded(number, numbers[place]))
        for place in releases:
            family().record(HoldReleased(number, numbers[place], "tested good"))
        free = graph.subgraph(set(graph) - releases)
        there = roots - releases
        held[number] = there.union(*(networkx.descendants(free, place) for place in there))
    connection = family().connection
    for place, number in enumerate(numbers):
        found = {one.hold for one in held_by(connection, number)}
        assert found == {hold for hold, reached in held.items() if place in reached}
    every = {(lot, None) for lot in ids_of(numbers, set(range(len(plant))))}
    assert {lot for lot, _ in held_among(connection, every)} == ids_of(numbers, set().union(*held.values()))
