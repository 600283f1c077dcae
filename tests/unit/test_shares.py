"""Which part of a lot came from where? Worked by us on paper."""

import pytest
from lotroot.errors import Fault
from lotroot.genealogy.shares import WHOLE, Edge, in_units, reach, shares

NAILS = [
    Edge("tumbled", 3, 1, "N1", "steel", 300),
    Edge("tumbled", 3, 2, "N2", "steel", 100),
    Edge("N1", 2, 1, "A", "steel", 200),
    Edge("N1", 2, 2, "B", "steel", 600),
    Edge("N2", 2, 1, "B", "steel", 50),
]
TREATED = [
    Edge("boards", 4, 1, "T1", "wood", 500),
    Edge("boards", 4, 2, "untreated", "wood", 500),
    Edge("T1", 3, 1, "P1", "wood", 2_000),
    Edge("T1", 3, 2, "K2", "solution", 90),
    Edge("K2", 2, 1, "K1", "solution", 700),
    Edge("K2", 2, 2, "drum", "solution", 300),
]


def test_a_child_is_divided_by_what_it_was_given_itself() -> None:
    """A: 3/4 of 1/4; B: 3/4 of 3/4 and 1/4 of all."""
    found = shares("tumbled", NAILS)
    assert found == {
        "tumbled": {"steel": WHOLE},
        "N1": {"steel": WHOLE * 3 // 4},
        "N2": {"steel": WHOLE // 4},
        "A": {"steel": WHOLE * 3 // 16},
        "B": {"steel": WHOLE * 13 // 16},
    }
    assert in_units(found, {"steel": 25_000}, NAILS, str) == {
        "tumbled": {"steel": 25_000},
        "N1": {"steel": 18_750},
        "N2": {"steel": 6_250},
        "A": {"steel": 4_688},  # 4,687.5
        "B": {"steel": 20_312},
    }


def test_what_was_reached_through_another_stream_stands_under_the_chain() -> None:
    """RULES.md 2: half of the boards came of the treated pack, and so of the solution in it."""
    found = shares("boards", TREATED)
    assert found["P1"] == {"wood": WHOLE // 2}
    assert found["K2"] == {"wood/solution": WHOLE // 2}
    units = in_units(found, {"wood": 1_000}, TREATED, str)
    assert units == {
        "boards": {"wood": 1_000},
        "T1": {"wood": 500},
        "untreated": {"wood": 500},
        "P1": {"wood": 500},
        "K2": {"wood/solution": 500},
        "K1": {"wood/solution": 350},
        "drum": {"wood/solution": 150},
    }


def test_each_stream_of_the_asked_lot_is_a_whole_of_its_own() -> None:
    found = shares("T1", TREATED)
    assert found["T1"] == {"wood": WHOLE, "solution": WHOLE}
    assert found["P1"] == {"wood": WHOLE}
    assert set(found["drum"]) == {"solution"}
    units = in_units(found, {"wood": 2_000, "solution": 90}, TREATED, str)
    assert (units["P1"], units["K1"], units["drum"]) == ({"wood": 2_000}, {"solution": 63}, {"solution": 27})


def test_a_lot_treated_twice_carries_two_wholes_of_solution() -> None:
    again = [
        Edge("T3", 4, 1, "T2", "wood", 10),
        Edge("T2", 3, 1, "T1", "wood", 10),
        Edge("T2", 3, 2, "K2", "solution", 1),
        Edge("T1", 2, 1, "P", "wood", 10),
        Edge("T1", 2, 2, "K1", "solution", 1),
    ]
    units = in_units(shares("T3", again), {"wood": 10}, again, str)
    assert [units[lot] for lot in ("P", "K1", "K2")] == [
        {"wood": 10},
        {"wood/solution": 10},
        {"wood/solution": 10},
    ]


def test_a_lot_met_in_pieces_is_rounded_once() -> None:
    """Three pieces of half a unit each are two units (1.5 rounded), not three of one."""
    halves = [Edge("box", 4, seq, f"N1 piece {seq}", "steel", 1) for seq in (1, 2, 3)]
    fed = [Edge(f"N1 piece {seq}", 3, 1, "A", "steel", 1) for seq in (1, 2, 3)]
    links = [*halves, *fed, Edge("box", 4, 4, "N2", "steel", 3)]
    units = in_units(shares("box", links), {"steel": 3}, links, lambda piece: piece.partition(" ")[0])
    assert units == {"box": {"steel": 3}, "N1": {"steel": 2}, "N2": {"steel": 1}, "A": {"steel": 2}}


def test_down_each_descendant_has_its_part_of_the_source() -> None:
    assert reach("A", NAILS) == {"N1": {"steel": WHOLE // 4}, "tumbled": {"steel": WHOLE * 3 // 16}}
    assert reach("drum", TREATED) == {
        "K2": {"solution": WHOLE * 3 // 10},
        "T1": {"solution": WHOLE * 3 // 10},
        "boards": {"wood/solution": WHOLE * 3 // 10 // 2},
    }


def test_a_parent_that_only_could_be_one_stands_with_nothing() -> None:
    edges = [Edge("S", 2, 1, "A", "steel", 500), Edge("S", 2, 2, "B", "steel", 0)]
    assert shares("S", edges)["B"] == {"steel": 0}
    assert reach("B", edges) == {"S": {"steel": 0}}


def test_where_nothing_was_weighed_yet_all_parents_count_alike() -> None:
    edges = [Edge("S", 2, 1, "A", "steel", 0), Edge("S", 2, 2, "B", "steel", 0)]
    assert (
        shares("S", edges)["A"] == shares("S", edges)["B"] == reach("A", edges)["S"] == {"steel": WHOLE // 2}
    )


def test_a_lot_without_parents_is_its_own_story() -> None:
    assert shares("A", NAILS) == {"A": {}}
    assert in_units(shares("A", NAILS), {}, NAILS, str) == {"A": {}}
    assert reach("tumbled", NAILS) == {}


def test_a_lot_asked_for_counts_only_in_its_own_streams() -> None:
    odd = [Edge("T", 3, 1, "S", "steel", 1), Edge("S", 2, 1, "P", "zinc", 1)]
    assert shares("T", odd) == {"T": {"steel": WHOLE}, "S": {"steel": WHOLE}, "P": {"steel/zinc": WHOLE}}
    assert in_units(shares("T", odd), {"steel": 7}, odd, str)["S"] == {"steel": 7}


@pytest.mark.parametrize("rank", [2, 3])
def test_ranks_that_do_not_fall_are_a_fault(rank: int) -> None:
    """RULES.md 12: else a share would be handed on before it is whole."""
    edges = [Edge("S", 2, 1, "A", "steel", 5), Edge("A", rank, 1, "B", "steel", 5)]
    with pytest.raises(Fault, match="rank of A is not below that of S"):
        shares("S", edges)
    with pytest.raises(Fault, match="rank of A is not below that of S"):
        reach("B", edges)
