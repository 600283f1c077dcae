"""How does a test make up the closed runs of a day that a picture of mass is of?"""

from collections import Counter

from hypothesis import strategies as st
from lotroot.tracing.mass_flow import PALLET, PLACES, Facts, Flow, Made, Step, Taken, Thrown

AMOUNTS = st.integers(0, 20) | st.integers(0, 10**9)


def a_day(
    *taken: Taken, made: tuple[Made, ...] = (), thrown: tuple[Thrown, ...] = (), **more: object
) -> Facts:
    """Facts in which what does not add up is missing or too much; `loss` by process, `stands` as in Facts."""
    loss, stands = more.get("loss", {}), more.get("stands", {})
    off: Counter[str] = Counter()
    for one in taken:
        off[one.process] += one.loaded - one.returned
    for one in (*made, *thrown):
        off[one.process] -= one.amount
    for process, amount in loss.items():
        off[process] -= amount
    order = sorted({one.process for one in (*taken, *made, *thrown)} | set(loss))
    steps = [Step(each, loss.get(each, 0), max(off[each], 0), max(-off[each], 0)) for each in order]
    return Facts("g", tuple(steps), taken, made, thrown, stands)


@st.composite
def days(draw: st.DrawFn) -> Facts:
    """Up to six processes that use and make up to five kinds, in circles too."""
    processes = [f"p{number}" for number in range(draw(st.integers(1, 6)))]
    pairs = st.tuples(st.sampled_from(processes), st.sampled_from("abcde"))
    used = draw(st.lists(st.tuples(pairs, st.booleans(), AMOUNTS, AMOUNTS), min_size=1, max_size=10))
    goods = draw(st.dictionaries(pairs, AMOUNTS, max_size=10))
    scrap = draw(st.dictionaries(st.tuples(st.sampled_from(processes), st.sampled_from("vwxyz")), AMOUNTS))
    taken = {
        (pair, fresh): Taken(*pair, loaded, min(back, loaded), fresh) for pair, fresh, loaded, back in used
    }
    return a_day(
        *taken.values(),
        made=tuple(Made(*pair, amount) for pair, amount in goods.items()),
        thrown=tuple(Thrown(*pair, amount) for pair, amount in scrap.items()),
        loss=draw(st.dictionaries(st.sampled_from(processes), AMOUNTS)),
        stands=draw(st.dictionaries(st.tuples(st.sampled_from("abcde"), st.sampled_from(PLACES)), AMOUNTS)),
    )


def bands(found: Flow) -> dict[tuple[str, str], int]:
    """The bands of a flow by their ends."""
    return {(band.start, band.end): band.amount for band in found.bands}


def sides(found: Flow) -> tuple[Counter[str], Counter[str]]:
    """What comes into each node, and what leaves it."""
    comes, goes = Counter[str](), Counter[str]()
    for band in found.bands:
        comes[band.end] += band.amount
        goes[band.start] += band.amount
    return comes, goes


NAILS = a_day(
    Taken("drawing", "rod", 2_000, 400),
    Taken("nails", "stripper", 900),
    made=(Made("drawing", "stripper", 1_500), Made("nails", "nail", 910)),
    thrown=(Thrown("drawing", "ends", 30),),
    loss={"drawing": 20},
    stands={("nail", PALLET): 600},
)
"""Rods drawn, part of the strippers made to nails, of which ten are too much."""
