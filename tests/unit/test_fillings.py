"""What was in each filling of a vessel, what passed on, and which outputs bypass it? Worked on paper."""

from lotroot.tracing.fillings import Drawn, Poured, Vessel, vessel
from lotroot.tracing.kin import Link
from lotroot.tracing.spans import ALL


def found(put_in: dict[int, int], *outputs: tuple[int, int, dict[int, int]]) -> Vessel:
    """A vessel whose load n is of lot 100 + n; outputs are filling, lot, and what was given by load."""
    links = [
        Link(lot, load, 100 + load, "steel", given, "apportioned", load=load, filling=filling)
        for filling, lot, parts in outputs
        for load, given in parts.items()
    ]
    return vessel(links, put_in)


def test_what_did_not_come_out_passes_on_to_the_next_filling() -> None:
    one = found({1: 300, 2: 100, 3: 500}, (1, 7, {1: 150, 2: 50}), (2, 8, {1: 90, 2: 30, 3: 300}))
    assert one.poured == [Poured(101, ALL, 300, 1), Poured(102, ALL, 100, 1), Poured(103, ALL, 500, 2)]
    assert one.drawn == [Drawn(1, 7, ALL, 200), Drawn(2, 8, ALL, 420)]
    assert (one.passed, one.gained, one.blurred) == ({1: 200, 2: 280}, {1: 0, 2: 0}, set())


def test_nothing_passes_on_where_all_was_said_to_be_out() -> None:
    one = found({1: 300, 2: 500}, (1, 7, {1: 200}), (2, 8, {2: 400}))
    assert one.passed == {1: 0, 2: 100}
    assert one.blurred == set()


def test_what_was_said_to_be_out_alone_leaves_the_next_filling_blurred() -> None:
    one = found({1: 300, 2: 100, 3: 500}, (1, 7, {1: 150, 2: 50}), (2, 8, {1: 100, 3: 300}))
    assert one.blurred == {2}


def test_more_than_was_in_it_is_gained() -> None:
    one = found({1: 300, 2: 100}, (1, 7, {1: 200, 2: 0}), (1, 8, {1: 150, 2: 60}))
    assert (one.gained, one.passed) == ({1: 10}, {1: 0})


def test_an_output_that_names_its_load_bypasses_the_filling() -> None:
    one = found({1: 300, 2: 100}, (1, 7, {1: 120}), (1, 8, {1: 90, 2: 50}))
    assert one.named == [(Poured(101, ALL, 300, 1), Drawn(1, 7, ALL, 120))]
    assert [each.amount for each in one.poured] == [180, 100]
    assert one.passed == {1: 140}
