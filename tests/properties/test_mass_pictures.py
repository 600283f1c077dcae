"""Whatever a day was: does its mass add up at every node, and does nothing in its picture touch?"""

from collections import Counter
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from lotroot.tracing.mass_columns import Arc, Knot
from lotroot.tracing.mass_flow import EXCESS, LOSS, MISSING, SOURCE, STEP, Facts, Flow, flow
from lotroot.tracing.mass_gathered import gathered
from lotroot.tracing.mass_layout import Laid, Space, laid
from mass_facts import days, sides

SPACE = Space(40_000, 1_200)


@given(days())
def test_as_much_goes_into_every_node_as_comes_out_and_nothing_is_lost(facts: Facts) -> None:
    found = flow(facts)
    comes, goes = sides(found)
    for node in found.nodes:
        assert not (comes[node.key] and goes[node.key]) or comes[node.key] == goes[node.key], node
    enters = sum(amount for key, amount in goes.items() if not comes[key])
    assert enters == sum(amount for key, amount in comes.items() if not goes[key])
    assert {node.part for node in found.nodes if not comes[node.key]} <= {SOURCE, EXCESS}
    parts = {node.key: node.part for node in found.nodes}
    for part in (EXCESS, MISSING, LOSS):
        drawn = sum(one.amount for one in found.bands if part in (parts[one.start], parts[one.end]))
        assert drawn == sum(getattr(step, part) for step in facts.steps)


@given(days())
def test_each_step_gets_what_it_was_loaded_with_and_gives_what_it_made(facts: Facts) -> None:
    found = flow(facts)
    loaded, made = Counter[str](), Counter[str]()
    for band in found.bands:
        if band.end.startswith("step.") and not band.start.startswith("excess."):
            loaded[band.end] += band.amount
        if band.start.startswith("step.") and band.end.startswith("goods."):
            made[band.start] += band.amount
    for process in {node.code for node in found.nodes if node.part == STEP}:
        assert loaded[f"step.{process}"] == sum(one.loaded for one in facts.taken if one.process == process)
        assert made[f"step.{process}"] == sum(one.amount for one in facts.made if one.process == process)


@given(days(), st.integers(1, 4))
def test_gathering_takes_nothing_away(facts: Facts, most: int) -> None:
    found = flow(facts)
    few = gathered(found, most)
    assert sum(band.amount for band in few.bands) == sum(band.amount for band in found.bands)
    through = few.amounts()
    assert all(through[node.key] == found.amounts()[node.key] for node in few.nodes if node in found.nodes)


def put(found: Flow) -> tuple[list[Knot], list[Arc], Laid]:
    knots = [Knot(node.key, 3_900 + 1_700 * (len(node.key) % 3), len(node.part) % 4) for node in found.nodes]
    arcs = [Arc(*band) for band in found.bands]
    return knots, arcs, laid(knots, arcs, SPACE)


@given(days())
def test_the_bands_at_either_side_of_a_node_fill_its_bar_without_a_gap(facts: Facts) -> None:
    found = flow(facts)
    _, arcs, place = put(found)
    for key, spot in place.spots.items():
        out = [spans[0] for arc, spans in zip(arcs, place.spans, strict=True) if arc.start == key]
        come = [spans[-1] for arc, spans in zip(arcs, place.spans, strict=True) if arc.end == key]
        for side in (some for some in (out, come) if some):
            ordered = sorted(side)
            assert (ordered[0].top, ordered[-1].bottom) == (spot.bar, spot.bottom)
            assert all(upper.bottom == lower.top for upper, lower in pairwise(ordered))


@given(days())
def test_words_bars_and_lanes_of_a_column_stand_apart(facts: Facts) -> None:
    """Words stand over their bar; bands lie between columns, or in a lane of their own."""
    found = flow(facts)
    knots, arcs, place = put(found)
    words = {knot.key: knot.words for knot in knots}
    taken: dict[int, list[tuple[int, int]]] = {}
    for key, spot in place.spots.items():
        assert spot.bar - spot.top == words[key]
        taken.setdefault(spot.column, []).append((spot.top, spot.bottom))
    for arc, spans in zip(arcs, place.spans, strict=True):
        start, end = place.spots[arc.start].column, place.spots[arc.end].column
        assert len(spans) == 2 * (end - start)
        for passed, (comes, goes) in enumerate(zip(spans[1:-1:2], spans[2:-1:2], strict=True), start + 1):
            assert comes == goes  # level
            taken.setdefault(passed, []).append(comes)
    for slots in taken.values():
        ordered = sorted(slots)
        assert all(below[0] - above[1] >= SPACE.free for above, below in pairwise(ordered))
        assert ordered[0][0] >= 0
        assert max(bottom for _, bottom in ordered) <= place.height


@given(days())
def test_the_same_day_gives_the_same_picture_and_bands_lead_to_the_right(facts: Facts) -> None:
    found = flow(facts)
    knots, arcs, place = put(found)
    assert all(place.spots[arc.start].column < place.spots[arc.end].column for arc in arcs)
    assert place == laid(knots, arcs, SPACE)
    assert place.columns == 1 + max((spot.column for spot in place.spots.values()), default=-1)
