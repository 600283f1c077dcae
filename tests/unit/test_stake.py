"""How much hangs on one heat of a mix? Worked by us on paper."""

import pytest
from lotroot.reconciliation.stake import Part, Stake, stake_of


def pan(amount: int, *heats: str) -> Part:
    return Part(amount, frozenset(heats))


@pytest.mark.parametrize(
    ("pans", "stake"),
    [
        pytest.param([], Stake((), 0, None), id="nothing loaded"),
        pytest.param([pan(400, "A"), pan(300, "A")], Stake(("A",), 700, None), id="one heat"),
        pytest.param([pan(400, "A"), pan(300, "B")], Stake(("A", "B"), 700, None), id="two heats"),
        pytest.param(
            [pan(400, "A"), pan(300, "B"), pan(500, "C")],
            Stake(("A", "B", "C"), 1200, 900),
            id="two of three",
        ),
        pytest.param(
            [pan(400, "A", "B"), pan(300, "B"), pan(650, "C"), pan(10, "A", "B", "C")],
            Stake(("A", "B", "C"), 1360, 950),
            id="a pan of two heats counts where both are kept",
        ),
        pytest.param([pan(400, "A", "B", "C")], Stake(("A", "B", "C"), 400, 0), id="none without the third"),
        pytest.param([pan(400, "A"), pan(300)], Stake(("A",), 700, None), id="a heat nobody told"),
    ],
)
def test_any_heat_of_a_mix_reaches_all_of_it(pans: list[Part], stake: Stake) -> None:
    assert stake_of(pans) == stake
