"""Is the most that can flow found, to the unit, against a linear programme and on paper?"""

from random import Random

import pytest
from lotroot.balance.flows import Network
from scipy.optimize import linprog

Arcs = list[tuple[str, str, int]]

DIAMOND: Arcs = [("A", "one", 3), ("A", "two", 2), ("one", "T", 2), ("two", "T", 4), ("one", "two", 5)]


@pytest.mark.parametrize(
    ("arcs", "sources", "closed", "wanted"),
    [
        (DIAMOND, ["A"], [], 5),
        (DIAMOND, ["A"], ["one"], 2),
        (DIAMOND, ["A"], ["A"], 0),
        (DIAMOND, ["one"], [], 6),
        # several sources at once, one of them behind another
        (DIAMOND, ["A", "one"], [], 6),
        ([("A", "T", 3), ("B", "T", 4)], ["A", "B"], [], 7),
        # parallel arcs add up; what nobody named sends nothing
        ([("A", "T", 3), ("A", "T", 4)], ["A", "elsewhere"], [], 7),
        ([("A", "T", 0)], ["A"], [], 0),
        ([], ["A"], [], 0),
        # the first way found has to be given up again
        ([("A", "x", 1), ("A", "y", 1), ("x", "y", 1), ("x", "T", 1), ("y", "T", 1)], ["A"], [], 2),
        # round and round helps nothing
        ([("A", "x", 9), ("x", "y", 9), ("y", "x", 9), ("y", "T", 4)], ["A"], [], 4),
        # amounts of a plant, far above what a float holds exactly
        ([("A", "x", 2**62), ("x", "T", 2**60 + 1)], ["A"], [], 2**60 + 1),
    ],
)
def test_on_paper(arcs: Arcs, sources: list[str], closed: list[str], wanted: int) -> None:
    assert Network(arcs).flow(sources, "T", closed) == wanted


def test_a_network_can_be_asked_again() -> None:
    network = Network(DIAMOND)
    assert [network.flow(["A"], "T"), network.flow(["one"], "T"), network.flow(["A"], "T")] == [5, 6, 5]


def by_programme(arcs: list[tuple[int, int, int]], nodes: int) -> int:
    """The most from node 0 to the last one."""
    inner = [[(tail == node) - (head == node) for tail, head, _ in arcs] for node in range(1, nodes - 1)]
    wanted = [(tail == nodes - 1) - (head == nodes - 1) for tail, head, _ in arcs]
    limits = [(0, capacity) for _, _, capacity in arcs]
    answer = linprog(wanted, A_eq=inner or None, b_eq=[0] * len(inner) or None, bounds=limits)
    return -round(answer.fun)


def test_random_networks_carry_what_a_linear_programme_says(thorough: bool) -> None:
    for seed in range(1_000 if thorough else 200):
        random = Random(seed)
        nodes = random.randint(2, 12)
        arcs = [
            (tail, head, random.randint(0, 20))
            for tail in range(nodes)
            for head in range(nodes)
            if tail != head and random.random() < 0.3
        ]
        if arcs:
            assert Network(arcs).flow([0], nodes - 1) == by_programme(arcs, nodes), f"seed {seed}"
