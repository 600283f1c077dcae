"""What does the whole story of a number consist of?

Frozen values for pages: numbers and codes come with what people call them (`Named`), amounts and times
with how the plant shows them (`Quantity`, `Moment`). Serials in words are empty for what is no item.
"""

from dataclasses import dataclass

from lotroot.reconciliation.facts import StreamBalance
from lotroot.tracing.telling import Told
from lotroot.tracing.words import Moment, Named, Quantity


@dataclass(frozen=True)
class LotFacts:
    """A lot as it is known now; `source` is received, before (the system) or empty: made in `run`.

    `typed_by`, scale or hand, is who typed its amount where it was told of the lot by itself.
    """

    lot: Named
    kind: str
    product: str
    amount: Quantity
    how: str
    mass: Quantity | None
    items: int
    source: str
    run: str
    station: Named
    born: Moment
    voided: bool
    typed_by: str = ""


@dataclass(frozen=True)
class SourceFacts:
    """What the supplier's tag and papers say; files by their SHA-256, `due`: details are to follow."""

    supplier: Named
    supplier_number: str
    heats: tuple[str, ...]
    grade: str
    size: str
    mass_theirs: Quantity | None
    order_number: str
    delivery: str
    certificate: str
    remark: str
    photo: str
    due: bool
    product_due: bool = False
    paint_batch: str = ""


@dataclass(frozen=True)
class Relative:
    """One link to a parent or a child: `lot` is the other one, `taken` what the parent gave.

    `stretch` says in words which part of the parent it was, `made` which part of the child.
    """

    lot: Named
    product: str
    taken: Quantity
    stream: str
    role: str
    stretch: str
    made: str
    basis: str
    run: str
    doubted: bool


@dataclass(frozen=True)
class Used:
    """A die set, mould or knives at work in a run."""

    thing: Named
    since: Moment
    until: Moment | None


@dataclass(frozen=True)
class Loaded:
    """An input of a run; `left` is what came off again, `difference` what does not add up."""

    load: int
    lot: Named
    role: str
    payoff: str
    amount: Quantity
    taken: Quantity
    difference: Quantity
    at: Moment
    ended: Moment | None
    unloaded: Moment | None


@dataclass(frozen=True)
class Output:
    """Something a run made; `cuts` says how a bundle was cut, what it comes to and what it covers."""

    lot: Named
    items: str
    amount: Quantity
    basis: str
    began: Moment
    ended: Moment
    person: Named
    shift: str
    cuts: str = ""


@dataclass(frozen=True)
class Scrap:
    """Scrap of a run; `typed` says whether a scale or fingers typed the weight, empty if not known.

    `how` is weighed, or apportioned from a bin that several runs threw into.
    """

    lot: Named
    amount: Quantity
    reason: str
    at: Moment
    typed: str = ""
    how: str = "weighed"


@dataclass(frozen=True)
class Mark:
    """Something that happened inside a run."""

    words: str
    payoff: str
    person: Named
    at: Moment


@dataclass(frozen=True)
class Rests:
    """What a balance rests on: the main stream, what the process calls its loss and whose figure that is,
    and whose theory; empty where there is none.
    """

    stream: str = ""
    loss: str = ""
    loss_known: str = ""
    theory_known: str = ""


@dataclass(frozen=True)
class RunFacts:
    """A run with all that happened in it; `people` are all who opened it, made something or set a mark.

    `balances` say how each stream of a closed run adds up, and `rests` by whose figures, where they were
    asked for. `uptake` says what wood took up of a solution, once the run is closed; else empty. `weighed`
    says what items weighed one by one hold against their nominal, where it was asked for.
    """

    run: Named
    process: str
    product: str
    station: Named
    shift: str
    opened: Moment
    closed: Moment | None
    voided: bool
    people: tuple[Named, ...]
    resources: tuple[Used, ...]
    inputs: tuple[Loaded, ...]
    outputs: tuple[Output, ...]
    scrap: tuple[Scrap, ...]
    marks: tuple[Mark, ...]
    uptake: str = ""
    weighed: str = ""
    balances: tuple[StreamBalance, ...] = ()
    rests: Rests = Rests()


@dataclass(frozen=True)
class CheckFacts:
    """One judgement of one check: limits as decimal text, `confirmed` false where they are from memory.

    `stood` says who had confirmed or overridden them and when, empty where nobody had.
    """

    subject: Named
    lot: str
    characteristic: str
    readings: tuple[str, ...]
    unit: str
    count: int
    found: int
    verdict: str
    low: str
    high: str
    source: str
    confidence: str
    confirmed: bool
    stood: str
    instrument: Named
    remark: str
    person: Named
    at: Moment


@dataclass(frozen=True)
class HoldFacts:
    """A hold that reaches this, the lot it comes from, and how its kind is said.

    `items` says which of it, where the hold names items of this lot itself.
    """

    hold: int
    lot: Named
    kind: str
    words: str
    reason: str
    root: Named
    at: Moment
    items: str = ""


@dataclass(frozen=True)
class QuestionFacts:
    """Something a supervisor has to look at, or has settled."""

    question: int
    reason: str
    person: Named
    at: Moment
    settled: bool
    settlement: str


@dataclass(frozen=True)
class Whereabouts:
    """What stands where: on which carrier if any, at which place, or on which shipment to whom.

    `left` says that the shipment has left the plant.
    """

    lot: Named
    items: str
    amount: Quantity
    carrier: Named | None
    place: Named | None
    shipment: Named | None
    customer: Named | None
    left: bool


@dataclass(frozen=True)
class LabelFacts:
    """A label, or a block of item labels; `proved` is its first scan on the goods."""

    items: str
    copy: int
    layout: str
    at: Moment
    proved: Moment | None


@dataclass(frozen=True)
class Content:
    """Goods on a carrier or shipment, or that a run made."""

    lot: Named
    product: str
    items: str
    amount: Quantity


@dataclass(frozen=True)
class Story:
    """All that is known of one number; `kind` is lot, item, carrier, run or shipment.

    `what` is one sentence. `run` made it, or is it; `through` are runs it went through under its own
    number. `content` is what is on it (`content_now` false: was, when it was last filled). `cuts` says how a
    bundle was cut, `weighs` what one item weighs by itself and how that is known.
    """

    number: Named
    kind: str
    what: str
    lot: LotFacts | None
    source: SourceFacts | None
    made_from: tuple[Relative, ...]
    made_into: tuple[Relative, ...]
    run: RunFacts | None
    through: tuple[RunFacts, ...]
    content: tuple[Content, ...]
    content_now: bool
    checks: tuple[CheckFacts, ...]
    holds: tuple[HoldFacts, ...]
    questions: tuple[QuestionFacts, ...]
    where: tuple[Whereabouts, ...]
    labels: tuple[LabelFacts, ...]
    aliases: tuple[tuple[str, str], ...]
    told: tuple[Told, ...]
    cuts: str = ""
    weighs: str = ""
