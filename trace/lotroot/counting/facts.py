"""Which facts tell a stock count?

A count is named by the event that opened it. A sighting says what the record knew of the goods at the moment
of the scan, so that what is done with them while the count goes on is no difference of it.
"""

from dataclasses import dataclass

from lotroot.ledger.events import Body, event, event_version


def _typed_by_none_said(body: Body) -> Body:
    """Whether a scale or fingers typed what was found was not asked before."""
    return {**body, "typed_by": ""}


@event
@dataclass(frozen=True)
class CountOpened:
    """Somebody began to count what stands at a place."""

    place: str


@dataclass(frozen=True)
class Sighting:
    """Goods that were seen, and what the record knew of them then.

    Serials first to last, 0 for a lot without; `spot` is where they were recorded, itself or (a carrier) on
    which, empty for nowhere; `stood` where that spot stood; `amount` what was recorded there, in the lot's
    unit. A carrier itself is a sighting without a lot.
    """

    lot: str
    first: int
    last: int
    spot: str
    stood: str
    amount: int


@event_version(2, {1: _typed_by_none_said})
@dataclass(frozen=True)
class GoodsCounted:
    """Goods were seen at the place of a count: by `number`, or by a row of items up to `to`.

    `weighed` is what one lot was weighed or counted with there, in its unit; 0 where it was only seen.
    `typed_by` is scale or hand, empty where it is not known.
    """

    count: int
    place: str
    number: str
    seen: tuple[Sighting, ...]
    to: str = ""
    weighed: int = 0
    typed_by: str = ""


@dataclass(frozen=True)
class Difference:
    """One thing a count found otherwise than recorded: a lot, serials of it, or a carrier with all on it.

    `kind` is one of `choices.KINDS`; `spot` and `stood` are where the record has it, `amount` how much
    there, in the lot's unit; `weighed` is what was found instead. `questions` were raised for it.
    """

    seq: int
    kind: str
    lot: str
    first: int
    last: int
    carrier: str
    spot: str
    stood: str
    amount: int
    weighed: int = 0
    questions: tuple[int, ...] = ()


@event
@dataclass(frozen=True)
class CountFinished:
    """A count is complete: `seen` of `expected` labels, and what was otherwise than recorded."""

    count: int
    place: str
    expected: int
    seen: int
    differences: tuple[Difference, ...]


@event
@dataclass(frozen=True)
class DifferenceSettled:
    """Somebody decided about a difference; `choice` is one of `choices.CHOICES`."""

    count: int
    seq: int
    place: str
    lot: str
    first: int
    last: int
    carrier: str
    choice: str
    words: str = ""
    was: str = ""


@event
@dataclass(frozen=True)
class CountTakenBack:
    """A count that was begun by mistake never was."""

    count: int
    place: str


@event
@dataclass(frozen=True)
class SightingTakenBack:
    """What one scan of a count said is taken back; `sighting` is its event."""

    count: int
    place: str
    number: str
    sighting: int


@event
@dataclass(frozen=True)
class CountReopened:
    """A count goes on: it was not complete, and its differences were not yet any."""

    count: int
    place: str


@event
@dataclass(frozen=True)
class SettlementTakenBack:
    """What was decided about a difference is taken back; it stands as it was before (`choice`)."""

    count: int
    seq: int
    place: str
    lot: str
    first: int
    last: int
    carrier: str
    choice: str
