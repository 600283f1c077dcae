"""Do the dies of a set fit the rod that goes in, the wire that comes out, and what the plant allows?

Decided from values alone. What does not fit is said in one short sentence each; nothing is refused by it,
since the machine is so already.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from lotroot.processes.definition import Drafts, Limits, Product
from lotroot.theory import drawing
from lotroot.theory.drawing import Draft, Row
from lotroot.theory.sizes import shown
from lotroot.theory.wire import mg_per_m


class Fit(NamedTuple):
    """What a row of dies does to a rod; `row` is None where it cannot draw it. `faults` are sentences."""

    row: Row | None
    faults: tuple[str, ...]


class Job(NamedTuple):
    """What is drawn: the rod's size in mm as text, the product, and what its diameter may be."""

    rod_mm: str
    product: Product | None
    limits: Limits | None


def limits_of(drafts: Drafts) -> drawing.Limits:
    """A plant's limits of a draft as theory wants them."""
    return drawing.Limits(
        Decimal(drafts.least_percent), Decimal(drafts.most_percent), Decimal(drafts.total_most_percent)
    )


def fit(drafts: Drafts, dies_mm: Sequence[str], job: Job) -> Fit:
    """How the dies of a set, at least one and each smaller than the one before, suit a job."""
    rod, first, finish = Decimal(job.rod_mm), Decimal(dies_mm[0]), Decimal(dies_mm[-1])
    if first >= rod:
        entry = f"The first die, {in_mm(first)}, is no smaller than the rod, {in_mm(rod)}"
        return Fit(None, (entry, *_finish_faults(finish, job)))
    row = drawing.check_dies(rod, [Decimal(one) for one in dies_mm], limits_of(drafts))
    heavy = [_draft_fault(one, drafts) for one in row.drafts if one.verdict != "fits"]
    if not row.total_fits:
        said = f"All dies together reduce the rod by {percent(row.total_percent)}"
        heavy.append(f"{said}; the plant allows {drafts.total_most_percent} %")
    return Fit(row, (*heavy, *_finish_faults(finish, job)))


def warning(faults: Sequence[str]) -> str:
    """What does not fit in one short sentence: the first fault, and how many more; "" where all fits."""
    if not faults:
        return ""
    more = f" ({len(faults) - 1} more)" if len(faults) > 1 else ""
    return f"{faults[0]}{more}."


def _draft_fault(draft: Draft, drafts: Drafts) -> str:
    sizes = f"{bare(draft.from_mm)} to {in_mm(draft.die_mm)}"
    said = f"Draft {draft.place}, {sizes}, reduces {percent(draft.reduction_percent)}"
    if draft.verdict == "too heavy":
        return f"{said}; the plant allows {drafts.most_percent} %"
    return f"{said}; the plant wants {drafts.least_percent} % or more"


def _finish_faults(finish: Decimal, job: Job) -> tuple[str, ...]:
    if job.product is None or job.limits is None:
        return ()
    low, high = job.limits.low, job.limits.high
    if (low is None or finish >= Decimal(low)) and (high is None or finish <= Decimal(high)):
        return ()
    allowed = f"{low or ''} to {high or ''} mm" if low and high else f"{low or high} mm at {_bound(low)}"
    return (f"The last die is {in_mm(finish)}; {job.product.name} is {allowed}",)


def _bound(low: str | None) -> str:
    return "least" if low else "most"


def summary(dies_mm: Sequence[str], row: Row) -> str:
    """A row of dies in one line for the station: sizes, drafts, the whole, growth and mass a metre."""
    cuts = sorted(one.reduction_percent for one in row.drafts)
    least, most = shown(cuts[0], 0), shown(cuts[-1], 0)
    drafts = f"drafts {least} to {most} %" if least != most else f"drafts of {most} %"
    kg_per_km = shown(mg_per_m(row.finishing_mm) / 1000, 1)
    return (
        f"Dies {' '.join(dies_mm)}: {drafts}, {shown(row.total_percent, 0)} % in all, "
        f"1 m of rod gives {shown(row.growth, 1)} m of wire; {kg_per_km} kg/km"
    )


def percent(value: Decimal) -> str:
    """A reduction with one decimal: 31.9 %."""
    return f"{value:.1f} %"


def in_mm(value: Decimal) -> str:
    """A size with two decimals or as many as it has: 2.50 mm."""
    return f"{bare(value)} mm"


def bare(value: Decimal) -> str:
    """The same without its unit."""
    places = max(2, -int(value.normalize().as_tuple().exponent))
    return f"{value:.{places}f}"
