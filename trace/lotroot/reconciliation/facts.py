"""Which facts say how a closed run adds up?

Amounts are in the base unit of the stream. A correction that changes the sums of a closed run records them
anew; the older balance stays readable, as what was known until then.
"""

from dataclasses import dataclass

from lotroot.ledger.events import event


@dataclass(frozen=True)
class SourceBalance:
    """What one role used up, by the supplier and heat it came from; both "" where that is not known, the role
    too where nothing was loaded.
    """

    role: str
    supplier: str
    heat: str
    loaded: int
    returned: int = 0
    taken: int = 0
    scrap: int = 0
    difference: int = 0


@dataclass(frozen=True)
class ScrapBalance:
    """Scrap of a run by its reason; `how` it is known: weighed, or apportioned from a bin."""

    reason: str
    how: str
    amount: int


@dataclass(frozen=True)
class StreamBalance:
    """How one stream of a run adds up.

    `loaded` = `returned` + `good` + `by_product` + `scrap` + `loss` + `difference`, where `good` is by the
    `basis` that is off by least: as recorded, or by theory. `spread` is how far the sum may be off and
    `tolerance` what the plant accepts; `verdict` says which of them the difference is within. The other way
    of knowing, where there is one: `other_good`, off by `other_spread`. `reckoned` is what nobody
    weighed of what was returned: that part of a run adds up by itself.
    """

    stream: str
    unit: str
    loaded: int
    returned: int
    good: int
    by_product: int
    scrap: int
    loss: int
    difference: int
    spread: int
    tolerance: int
    basis: str
    verdict: str
    other_good: int = 0
    other_spread: int = 0
    reckoned: int = 0
    sources: tuple[SourceBalance, ...] = ()
    thrown: tuple[ScrapBalance, ...] = ()


@event
@dataclass(frozen=True)
class RunBalanced:
    """A closed run was added up; `shift` is the production day and shift it was closed in."""

    run: str
    shift: str
    streams: tuple[StreamBalance, ...]


@event
@dataclass(frozen=True)
class MonthClosed:
    """A month of production days was closed, as the ledger told it up to an event and its hash."""

    month: str
    events: int
    hash: str
