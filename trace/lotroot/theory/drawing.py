"""What does a row of dies do to a rod: how much in each draft, how long does the wire grow?

A reduction is that of the cross-section, in percent. Where a figure is one of the diameter, as in some
textbooks, the caller has to say so; 20 % of the diameter are 36 % of the section.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from itertools import pairwise
from typing import Literal

from lotroot.theory.sizes import MICROMETRE, Size, exact, not_negative, positive, refused
from lotroot.theory.wire import diameter

MOST_DIES = 40

Verdict = Literal["fits", "too light", "too heavy"]


@dataclass(frozen=True, slots=True)
class Limits:
    """The plant's own band for one draft, and the most from the rod on, in percent of the section."""

    least_percent: Decimal
    most_percent: Decimal
    most_total_percent: Decimal

    def __post_init__(self) -> None:
        """Raises Unreadable where a limit is none, or they contradict each other."""
        ceiling = heaviest_percent().quantize(Decimal("0.1"), ROUND_FLOOR)
        most = positive(self.most_percent, "most of a draft", "%", ceiling)
        not_negative(self.least_percent, "least of a draft", "%", most)
        positive(self.most_total_percent, "most from the rod", "%", Decimal("99.9"), most)


@dataclass(frozen=True, slots=True)
class Draft:
    """One die and what it does; `smallest_mm` to `largest_mm` is what would fit behind the one before."""

    place: int
    from_mm: Decimal
    die_mm: Decimal
    reduction_percent: Decimal
    verdict: Verdict
    smallest_mm: Decimal
    largest_mm: Decimal


@dataclass(frozen=True, slots=True)
class Row:
    """A row of dies from one rod: its drafts in order, and what they come to together.

    `growth` is metres of wire from a metre of rod; `total_fits` says whether the whole is within limits.
    """

    drafts: tuple[Draft, ...]
    finishing_mm: Decimal
    total_percent: Decimal
    growth: Decimal
    total_fits: bool

    @property
    def fits(self) -> bool:
        """Whether every draft and the whole are within the plant's limits."""
        return self.total_fits and all(draft.verdict == "fits" for draft in self.drafts)


@exact
def reduction_percent(from_mm: Size, to_mm: Size) -> Decimal:
    """Reduction of the section: 1 - (d1/d0)^2, in percent. Raises Unreadable where the wire grows thicker."""
    return 100 * (1 - 1 / growth(from_mm, to_mm))


@exact
def growth(from_mm: Size, to_mm: Size) -> Decimal:
    """How many times longer the wire gets: (d0/d1)^2, for its volume stays."""
    before, after = diameter(from_mm, "diameter before"), diameter(to_mm, "diameter after")
    if after >= before:
        raise refused("diameter after", to_mm, "mm", f"Expected less than the one before, {from_mm} mm.")
    return (before / after) ** 2


@exact
def true_strain(from_mm: Size, to_mm: Size) -> Decimal:
    """2 ln(d0/d1): strains of drafts in a row add up, reductions do not."""
    return growth(from_mm, to_mm).ln()


@exact
def heaviest_percent() -> Decimal:
    """The ceiling of one draft in a perfectly plastic wire without friction: 1 - 1/e, 63.2 %."""
    return 100 * (1 - Decimal(-1).exp())


@exact
def check_dies(rod_mm: Size, dies_mm: Sequence[Size], limits: Limits) -> Row:
    """What this row of dies does to this rod, each draft judged by the plant's limits.

    Raises Unreadable where a die is not smaller than what comes to it, or there are none.
    """
    sizes = _falling(rod_mm, dies_mm)
    drafts = tuple(
        _draft(place, before, die, limits) for place, (before, die) in enumerate(pairwise(sizes), start=1)
    )
    total = reduction_percent(sizes[0], sizes[-1])
    fits = total <= limits.most_total_percent
    return Row(drafts, sizes[-1], total, growth(sizes[0], sizes[-1]), fits)


@exact
def after_cuts_mm(start_mm: Size, cuts_percent: Sequence[Size], of: Literal["area", "diameter"]) -> Decimal:
    """The diameter after a row of reductions, which are said to be of the area or of the diameter."""
    left = diameter(start_mm, "diameter at the start")
    for cut in cuts_percent:
        kept = 1 - positive(cut, "reduction", "%", Decimal("99.9")) / 100
        left *= kept.sqrt() if of == "area" else kept
    return left


def _falling(rod_mm: Size, dies_mm: Sequence[Size]) -> list[Decimal]:
    """Rod and dies in mm. Raises Unreadable where they do not fall."""
    if not 1 <= len(dies_mm) <= MOST_DIES:
        raise refused("number of dies", len(dies_mm), "", f"Expected from 1 to {MOST_DIES}.")
    sizes = [diameter(rod_mm, "rod diameter")]
    for place, die_mm in enumerate(dies_mm, start=1):
        die = diameter(die_mm, f"die {place}")
        if die >= sizes[-1]:
            before = "the rod" if place == 1 else f"die {place - 1}"
            raise refused(f"die {place}", die_mm, "mm", f"Expected less than {before}, {sizes[-1]} mm.")
        sizes.append(die)
    return sizes


def _draft(place: int, before: Decimal, die: Decimal, limits: Limits) -> Draft:
    reduction = reduction_percent(before, die)
    verdict: Verdict = "fits"
    if reduction < limits.least_percent:
        verdict = "too light"
    elif reduction > limits.most_percent:
        verdict = "too heavy"
    smallest = (before * (1 - limits.most_percent / 100).sqrt()).quantize(MICROMETRE, ROUND_CEILING)
    largest = (before * (1 - limits.least_percent / 100).sqrt()).quantize(MICROMETRE, ROUND_FLOOR)
    if largest >= before:  # no least: any die that still reduces
        largest -= MICROMETRE
    return Draft(place, before, die, reduction, verdict, smallest, largest)
