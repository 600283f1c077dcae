"""Is what a lot gave at least and at most what a linear programme says, over the fillings of any vessels?"""

from random import Random

import pytest
from drawn_vessels import ancestors, by_programme, drawn_plant


@pytest.fixture
def seeds(thorough: bool) -> range:
    """1,000 small nets, or every fifth of them."""
    return range(0, 1_000, 1 if thorough else 5)


@pytest.mark.parametrize("gains", [False, True], ids=["what came out went in", "more came out at times"])
def test_flows_over_fillings_are_exact(seeds: range, gains: bool) -> None:
    for seed in seeds[gains::2]:
        random = Random(seed)
        book = drawn_plant(random, gains=gains)
        target = max(book.links)
        reckoned = book.reckoned([target])
        above = sorted(ancestors(book, target))
        found = reckoned.of_sources({lot: reckoned.net.nodes_of(lot) for lot in above}, target)
        for lot in random.sample(above, min(3, len(above))):
            wanted = (*by_programme(book, lot, target), True)
            assert found[lot] == wanted, f"seed {seed}, up: {lot} in {target}"
            down = reckoned.of_goods(set(reckoned.net.nodes_of(lot)))
            assert down[target] == wanted, f"seed {seed}, down: {lot} in {target}"


def test_the_chained_bounds_hold_what_the_exact_ones_do(seeds: range) -> None:
    """Above the stated size: never closer than exact, and told as outer unless nothing is left open."""
    for seed in seeds:
        book = drawn_plant(Random(seed), gains=bool(seed % 2))
        target = max(book.links)
        nodes = {lot: book.net().nodes_of(lot) for lot in ancestors(book, target)}
        exact = book.reckoned([target]).of_sources(nodes, target)
        large = book.reckoned([target], most_nodes=0)
        chained = large.of_sources(nodes, target)
        for lot, wanted in exact.items():
            for found in (chained[lot], large.of_goods(set(nodes[lot]))[target]):
                assert found.least <= wanted.least <= wanted.most <= found.most, f"seed {seed}: {lot}"
                assert not found.exact or found == wanted, f"seed {seed}: {lot}"
