"""Which row of dies would draw this rod to this wire within the plant's limits?

A help, not a rule: the plant draws with the dies it has. Strains of the drafts are equal, or fall evenly
from the first to the last (tapered), since the wire hardens on its way.
"""

from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction

from lotroot.theory.drawing import MOST_DIES, Limits, check_dies, reduction_percent, true_strain
from lotroot.theory.sizes import MICROMETRE, Size, amount, exact, positive, refused, shown

MOST_STEPS = 100
"""More than any gauge has sizes, to say nothing of dies in a row."""


@exact
def passes(rod_mm: Size, wire_mm: Size, most_percent: Decimal) -> int:
    """The fewest drafts, none heavier than `most_percent`: n >= 2 ln(d0/dn) / -ln(1 - r).

    Worked in fractions, so that a limit that is met exactly counts as met.
    """
    reduction_percent(rod_mm, wire_mm)  # refuses what is no drawing
    kept = 1 - Fraction(Limits(Decimal(0), most_percent, most_percent).most_percent) / 100
    needed, left = (Fraction(wire_mm) / Fraction(rod_mm)) ** 2, Fraction(1)
    for count in range(1, MOST_DIES + 1):
        left *= kept
        if left <= needed:
            return count
    raise refused("finished wire", wire_mm, "mm", f"Expected one that {MOST_DIES} drafts can reach.")


@exact
def equal_step(rod_mm: Size, wire_mm: Size, count: int) -> Decimal:
    """Diameter behind over diameter before in each of so many equal drafts: (dn/d0)^(1/n).

    The American wire gauge falls the same way, in 39 steps from 0.460 in (4/0) to 0.005 in (36).
    """
    drafts = amount(count, "number of drafts", "", MOST_STEPS)
    return (-true_strain(rod_mm, wire_mm) / 2 / drafts).exp()


@exact
def equal_schedule(rod_mm: Size, wire_mm: Size, limits: Limits) -> tuple[Decimal, ...]:
    """Dies in mm with the same reduction in each draft: d_k = d0 (dn/d0)^(k/n), to the micrometre."""
    return tapered_schedule(rod_mm, wire_mm, limits, Decimal(1))


@exact
def tapered_schedule(rod_mm: Size, wire_mm: Size, limits: Limits, taper: Decimal) -> tuple[Decimal, ...]:
    """Dies in mm, to the micrometre, the last of them the wire itself; each draft within the limits.

    `taper` is the strain of the last draft over that of the first: 1 is an equal row. The fewest dies
    that fit. Raises Unreadable where none do, naming what stands against it.
    """
    positive(taper, "taper", "", 1, Decimal("0.1"))
    if (total := reduction_percent(rod_mm, wire_mm)) > limits.most_total_percent:
        expected = f"Expected at most {limits.most_total_percent} % before the wire is annealed."
        raise refused("total reduction", shown(total, 1), "%", expected)
    lightest = limits.least_percent
    for count in range(passes(rod_mm, wire_mm, limits.most_percent), MOST_DIES + 1):
        dies = _dies(rod_mm, wire_mm, count, taper)
        drafts = check_dies(rod_mm, dies, limits).drafts if dies else ()
        verdicts = {draft.verdict for draft in drafts}
        if verdicts == {"fits"}:
            return dies
        if "too heavy" not in verdicts:
            lightest = min((draft.reduction_percent for draft in drafts), default=lightest)
            break
    expected = f"Expected at most {shown(lightest, 1, ROUND_FLOOR)} %, the lightest draft of such a row."
    raise refused("least of a draft", limits.least_percent, "%", expected)


def _dies(rod_mm: Size, wire_mm: Size, count: int, taper: Decimal) -> tuple[Decimal, ...]:
    """That many dies; none where two of them would be the same micrometre."""
    fall = (1 - taper) / (count - 1) if count > 1 else Decimal(0)
    weights = [1 - fall * place for place in range(count)]
    strain, size = true_strain(rod_mm, wire_mm), Decimal(rod_mm)
    dies = []
    for weight in weights:
        size *= (-strain * weight / sum(weights) / 2).exp()
        dies.append(size.quantize(MICROMETRE, ROUND_HALF_UP))
    dies[-1] = Decimal(wire_mm)
    falls = all(after < before for before, after in zip([Decimal(rod_mm), *dies], dies, strict=False))
    return tuple(dies) if falls else ()
