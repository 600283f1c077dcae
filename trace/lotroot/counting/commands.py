"""What can be commanded about counts?"""

from dataclasses import dataclass


@dataclass(frozen=True)
class StartCount:
    """Begin to count what stands at a place (its number)."""

    place: str


@dataclass(frozen=True)
class CountGoods:
    """A lot, an item, the items up to `to`, or a carrier with all on it stands at the place of a count.

    `amount` is what one lot without items was weighed or counted with, net, in its unit; 0 for only seen.
    `typed_by` is scale or hand, empty where it is not known.
    """

    count: int
    number: str
    to: str = ""
    amount: int = 0
    typed_by: str = ""


@dataclass(frozen=True)
class FinishCount:
    """Everything that stands at the place was scanned."""

    count: int


@dataclass(frozen=True)
class SettleDifference:
    """Decide about difference `difference` of a count: `choice` is one of those it offers.

    `reason` (a button's code or words) is needed to write off. `amount`, in the lot's unit, is needed to
    bring back a lot without items that nobody has weighed.
    """

    count: int
    difference: int
    choice: str
    reason: str = ""
    amount: int = 0
