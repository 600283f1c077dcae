"""Does what went through the sets of a run add up exactly to what it made, over any times and any changes?"""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from lotroot.tracing.die_spans import Drawn, Use, finished_in, part, spans
from lotroot.tracing.met import FOR_EVER

SETS = ("T1", "T2", "T3")
times = st.integers(1, 1_000)


@st.composite
def outputs(draw: st.DrawFn) -> list[Drawn]:
    """What two runs made; an output may take no time at all."""
    found = []
    for number in range(draw(st.integers(1, 8))):
        began, took = draw(times), draw(st.integers(0, 200))
        amount = draw(st.integers(1, 10**9))
        found.append(Drawn(draw(st.sampled_from(["U1", "U2"])), f"R{number}", amount, began, began + took))
    return found


@st.composite
def uses(draw: st.DrawFn) -> list[Use]:
    """Each run has at least one set, changed at any times, also twice at one."""
    found = []
    for run in ("U1", "U2"):
        changes = draw(st.lists(st.tuples(times, st.sampled_from(SETS)), min_size=1, max_size=6))
        found += [Use(run, thing, since, order) for order, (since, thing) in enumerate(changes)]
    return found


@given(outputs(), uses())
def test_all_sets_together_drew_what_was_made(made: list[Drawn], used: list[Use]) -> None:
    for one in made:
        assert sum(part(one, spans(used, thing)) for thing in SETS) == one.amount
        assert [finished_in(one, spans(used, thing)) for thing in SETS].count(True) == 1


@given(outputs(), uses(), st.lists(st.integers(0, 1_300), max_size=6))
def test_windows_one_after_the_other_add_up_to_the_whole(
    made: list[Drawn], used: list[Use], cuts: list[int]
) -> None:
    borders = [0, *sorted(cuts), FOR_EVER]
    windows = list(pairwise(borders))
    for thing in SETS:
        mine = spans(used, thing)
        whole = sum(part(one, mine) for one in made)
        parts = [sum(part(one, mine, since, until) for one in made) for since, until in windows]
        assert sum(parts) == whole
        assert min(parts) >= 0
