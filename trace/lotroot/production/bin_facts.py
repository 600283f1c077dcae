"""Which facts tell of bins of scrap?

What of a bin is apportioned to a run is a `Scrapped` of that run.
"""

from dataclasses import dataclass

from lotroot.ledger.events import event


@event
@dataclass(frozen=True)
class BinWeighed:
    """A bin of scrap was weighed as it was emptied, at `at`, having been filled from `since`.

    `weight` is net. Of it `named` was weighed by itself before, and `shared` is apportioned to the runs that
    threw into it; what is neither nobody knows the origin of. Grams; times in microseconds UTC.
    """

    bin: str
    reason: str
    weight: int
    since: int
    at: int
    named: int
    shared: int
    tare: int = 0
    typed_by: str = ""


@event
@dataclass(frozen=True)
class BinWeighingTakenBack:
    """A bin was not weighed so after all; `event` is the one that said so."""

    bin: str
    event: int
