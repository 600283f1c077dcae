"""Is what does not fit between rod, dies and wire said in one sentence with its figures?"""

from decimal import Decimal

import plants
import pytest
from lotroot.dies.fitting import Job, bare, fit, summary, warning
from lotroot.processes.definition import Drafts, Limits

DRAFTS = Drafts(most_percent="30", least_percent="10", total_most_percent="90", checked="wire_diameter")
WIRE = plants.demo_plant().product("wire_25")
BAND = Limits("2.45", "2.55", "", "plant")
GOOD = ("4.89", "4.36", "3.91", "3.53", "3.21", "2.94", "2.71", "2.50")


def faults(dies: tuple[str, ...], rod: str = "5.5", limits: Limits | None = BAND) -> tuple[str, ...]:
    return fit(DRAFTS, dies, Job(rod, WIRE, limits)).faults


def test_dies_that_fit_are_told_in_one_line() -> None:
    found = fit(DRAFTS, GOOD, Job("5.5", WIRE, BAND))
    assert found.faults == ()
    assert found.row is not None
    # 1 - (2.5/5.5)^2 = 79.3 %, (5.5/2.5)^2 = 4.84, 7850 x pi/4 x 2.5^2 = 38.5 kg/km
    assert summary(GOOD, found.row) == (
        "Dies 4.89 4.36 3.91 3.53 3.21 2.94 2.71 2.50: drafts 15 to 21 %, 79 % in all, "
        "1 m of rod gives 4.8 m of wire; 38.5 kg/km"
    )


@pytest.mark.parametrize(
    ("dies", "rod", "said"),
    [
        (
            ("4.80", "4.0", "3.3", "2.80", "2.50"),
            "5.5",
            [
                "Draft 2, 4.80 to 4.00 mm, reduces 30.6 %; the plant allows 30 %",
                "Draft 3, 4.00 to 3.30 mm, reduces 31.9 %; the plant allows 30 %",
            ],
        ),
        (
            ("4.89", "4.80", *GOOD[1:]),
            "5.5",
            ["Draft 2, 4.89 to 4.80 mm, reduces 3.6 %; the plant wants 10 % or more"],
        ),
        # the rod is another than the dies are for
        (("7.20", "6.55", "6.00"), "5.5", ["The first die, 7.20 mm, is no smaller than the rod, 5.50 mm"]),
        (GOOD, "6.5", ["Draft 1, 6.50 to 4.89 mm, reduces 43.4 %; the plant allows 30 %"]),
    ],
)
def test_what_does_not_fit_the_rod_is_said_with_its_figures(
    dies: tuple[str, ...], rod: str, said: list[str]
) -> None:
    assert [one for one in faults(dies, rod) if not one.startswith("The last die")] == said


def test_a_rod_reduced_too_far_in_all_is_said() -> None:
    drafts = Drafts(most_percent="30", least_percent="10", total_most_percent="75", checked="")
    [said] = fit(drafts, GOOD, Job("5.5", WIRE, None)).faults
    assert said == "All dies together reduce the rod by 79.3 %; the plant allows 75 %"


@pytest.mark.parametrize(
    ("last", "low", "high", "said"),
    [
        ("2.50", "2.45", "2.55", ""),
        ("2.45", "2.45", "2.55", ""),
        ("2.55", "2.45", "2.55", ""),
        ("2.56", "2.45", "2.55", "The last die is 2.56 mm; Drawn wire 2.50 mm is 2.45 to 2.55 mm"),
        ("2.56", None, "2.55", "The last die is 2.56 mm; Drawn wire 2.50 mm is 2.55 mm at most"),
        ("2.40", "2.45", None, "The last die is 2.40 mm; Drawn wire 2.50 mm is 2.45 mm at least"),
        ("2.40", None, None, ""),
    ],
)
def test_the_last_die_is_held_against_the_limits_of_the_wire(
    last: str, low: str | None, high: str | None, said: str
) -> None:
    found = faults((*GOOD[:-1], last), limits=Limits(low, high, "", ""))
    assert [one for one in found if "last die" in one] == [said] * bool(said)


def test_a_warning_is_one_sentence_and_says_how_many_more() -> None:
    assert warning(()) == ""
    assert warning(("One",)) == "One."
    assert warning(("One", "Two", "Three")) == "One (2 more)."


@pytest.mark.parametrize(("size", "shown"), [("2.5", "2.50"), ("2", "2.00"), ("2.505", "2.505")])
def test_a_size_has_two_decimals_or_as_many_as_it_has(size: str, shown: str) -> None:
    assert bare(Decimal(size)) == shown
