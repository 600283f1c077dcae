"""Do the nodes of a lineage's picture stand apart, raw on the left, and do folds count what is in them?"""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lotroot.tracing.folding import Node, Strand, folded
from lotroot.tracing.layers import places


@st.composite
def graphs(draw: st.DrawFn) -> tuple[list[str], list[tuple[str, str]]]:
    """Up to forty nodes; arcs lead from earlier ones to later ones."""
    nodes = [f"N{number:010d}" for number in range(draw(st.integers(1, 40)))]
    pairs = st.tuples(st.integers(0, len(nodes) - 1), st.integers(0, len(nodes) - 1))
    some = draw(st.lists(pairs, max_size=80))
    return nodes, [(nodes[a], nodes[b]) for a, b in some if a < b]


@given(graphs())
def test_no_two_nodes_share_a_place_and_every_arc_leads_to_the_right(
    graph: tuple[list[str], list[tuple[str, str]]],
) -> None:
    nodes, arcs = graph
    found = places(nodes, arcs)
    assert set(found) == set(nodes)
    assert len(set(found.values())) == len(nodes)
    assert all(found[start].column < found[end].column for start, end in arcs)
    assert found == places(nodes, list(reversed(arcs)))
    rows = Counter(place.column for place in found.values())
    assert all(place.row < rows[place.column] for place in found.values())


def test_neighbours_stand_beside_each_other() -> None:
    nodes = ["a", "b", "c", "x", "y", "z"]
    found = places(nodes, [("a", "z"), ("b", "y"), ("c", "x")])
    assert [found[one].row for one in "abc"] == [found[one].row for one in "zyx"]


def lot(number: int, letter: str = "N", words: str = "nails", **more: bool) -> Node:
    key = f"{letter}{number:010d}"
    return Node(key, letter, key, words, {"g": 100 + number}, (key,), **more)


def family(children: int) -> tuple[list[Node], list[Strand]]:
    """A coil, and many lots made of it; of each a box."""
    coil = lot(0, "C", "rod", asked=True)
    made = [lot(number) for number in range(1, children + 1)]
    boxes = [lot(number, "F", "boxes") for number in range(1, children + 1)]
    strands = [Strand(coil.key, one.key, "steel", 10) for one in made]
    strands += [Strand(one.key, box.key, "steel", 5) for one, box in zip(made, boxes, strict=True)]
    return [coil, *made, *boxes], strands


def test_a_small_picture_is_left_as_it_is() -> None:
    nodes, strands = family(20)
    assert folded(nodes, strands, frozenset()) == (nodes, strands)


@pytest.mark.parametrize("children", [75, 200, 400])
def test_like_lots_fold_and_add_up(children: int) -> None:
    nodes, strands = family(children)
    some, between = folded(nodes, strands, frozenset())
    assert len(some) == 3
    assert sum(len(node.members) for node in some) == len(nodes)
    assert sum(node.amounts["g"] for node in some) == sum(node.amounts["g"] for node in nodes)
    assert sum(one.given for one in between) == sum(one.given for one in strands)
    titles = {node.title for node in some if node.folded}
    assert f"{children} lots of C0000000000" in titles


def test_held_and_asked_lots_never_fold_and_a_fold_can_be_shown_whole() -> None:
    nodes, strands = family(200)
    held = [lot(3, held=True) if node.key == lot(3).key else node for node in nodes]
    some, _ = folded(held, strands, frozenset())
    assert lot(3).key in {node.key for node in some}
    [fold] = [node.key for node in some if node.letter == "N" and node.folded]
    whole, between = folded(held, strands, frozenset({fold}))
    assert sum(node.letter == "N" for node in whole) == 200
    keys = {node.key for node in whole}
    assert all({one.start, one.end} <= keys for one in between)


@given(graphs(), st.integers(1, 40))
def test_whatever_folds_every_member_stands_once_and_arcs_still_lead_to_the_right(
    graph: tuple[list[str], list[tuple[str, str]]], most: int
) -> None:
    keys, arcs = graph
    nodes = [Node(key, "N", key, f"kind {place % 3}", {"g": 1}, (key,)) for place, key in enumerate(keys)]
    some, between = folded(nodes, [Strand(*arc, "steel", 1) for arc in arcs], frozenset(), most)
    assert sorted(member for node in some for member in node.members) == keys
    found = places([node.key for node in some], [(one.start, one.end) for one in between])
    assert all(found[one.start].column < found[one.end].column for one in between)
