"""Which facts make the genealogy?

Amounts are integers: `amount` and `taken` in the lot's own unit, `mass` in grams, `given` in the
stream's closing unit. `how` and `basis` say how a figure is known: weighed, counted, calculated,
estimated, apportioned or bounded.
"""

from dataclasses import dataclass

from lotroot.ledger.events import Body, event, event_version


def _typed_by_none_said(body: Body) -> Body:
    """Whether a scale or fingers typed an amount from outside was not asked before."""
    return {**body, "typed_by": ""}


@event_version(2, {1: _typed_by_none_said})
@dataclass(frozen=True)
class LotBorn:
    """A lot exists from now on; `source` is received, before (the system) or empty: made in a run.

    `items` is the last serial given, of printed labels too: which items there are, stock says. `typed_by`
    is scale or hand where it came from outside and was weighed, empty where it is not known; who typed what
    was made in a run, its outputs say.
    """

    number: str
    kind: str
    product: str
    unit: str
    amount: int
    how: str
    rank: int
    mass: int | None = None
    mass_how: str = ""
    axis: str = "amount"
    items: int = 0
    run: str = ""
    source: str = ""
    typed_by: str = ""


@event
@dataclass(frozen=True)
class LotGrew:
    """More of the same was made onto a lot; items get the serials first to last.

    With an amount of 0 only labels were printed; with serials of 0 their items were made, those of the
    labels packed_first to packed_last.
    """

    number: str
    amount: int
    mass: int | None = None
    first: int = 0
    last: int = 0
    packed_first: int = 0
    packed_last: int = 0


@event
@dataclass(frozen=True)
class LotShrunk:
    """What had been added to a lot was taken back; `items` is the last serial that stays, 0: as it is.

    The items taken back are the serials first to last, where it was items.
    """

    number: str
    amount: int
    mass: int | None = None
    items: int = 0
    first: int = 0
    last: int = 0


@event_version(2, {1: _typed_by_none_said})
@dataclass(frozen=True)
class AmountCorrected:
    """A lot's own amount was wrong: it is and was `amount`; `mass` likewise where the kind has one.

    `typed_by` is scale or hand where it was weighed, empty where it is not known.
    Where one output was wrong, its items are the serials first to last.
    """

    number: str
    amount: int
    was: int
    how: str
    mass: int | None = None
    mass_how: str = ""
    typed_by: str = ""
    first: int = 0
    last: int = 0


@event
@dataclass(frozen=True)
class ProductCorrected:
    """A lot is of another product than recorded; `kind` is told where that is another too."""

    number: str
    product: str
    kind: str = ""


@event
@dataclass(frozen=True)
class LotVoided:
    """A lot never was: its number stays given, its labels are to be destroyed."""

    number: str


@dataclass(frozen=True)
class LotLink:
    """One parent's part in a child; stretches as in `genealogy.tables`, None where unknown.

    `end` is the parent's end the stretch counts from, `child_end` the child's. `lane` is mm from the
    operator side, `filling` the span between two loadings of a vessel, `load` the loading in the run.
    """

    parent: str
    role: str
    stream: str
    taken: int
    given: int
    parent_from: int | None = None
    parent_to: int | None = None
    child_from: int | None = None
    child_to: int | None = None
    end: str = "unknown"
    feed: str = ""
    least: int | None = None
    most: int | None = None
    basis: str = "weighed"
    child_end: str = "unknown"
    lane_from: int = 0
    lane_to: int = 0
    filling: int = 0
    load: int = 0


@event
@dataclass(frozen=True)
class LinksWritten:
    """All links of a child as they are known now; with `doubted`, parents no longer named stay doubted."""

    child: str
    run: str
    links: tuple[LotLink, ...]
    doubted: bool = False


@event
@dataclass(frozen=True)
class LinksConfirmed:
    """QA confirmed a child's links: what was doubted no longer counts for holds and recalls."""

    child: str


@dataclass(frozen=True)
class NewRank:
    """A lot's rank after a raise."""

    number: str
    rank: int


@event
@dataclass(frozen=True)
class RanksRaised:
    """Lots were lifted above a new parent, so that ranks still fall from child to parent."""

    ranks: tuple[NewRank, ...]


@event
@dataclass(frozen=True)
class AliasGiven:
    """A lot is also known by a value of a scheme: the supplier's number, a heat, an SSCC."""

    scheme: str
    value: str
    number: str


@event
@dataclass(frozen=True)
class AliasTaken:
    """An alias was wrong and no longer leads to the lot."""

    scheme: str
    value: str
    number: str
