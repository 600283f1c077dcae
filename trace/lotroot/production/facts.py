"""Which facts make a run?

Amounts come in two units: `own` in the lot's unit, `amount` in the closing unit of the stream. Times of
the acts are the posting's; `began` is the only time an event carries, in microseconds UTC.
"""

from dataclasses import dataclass

from lotroot.ledger.events import Body, event, event_version

WEIGHED, APPORTIONED = "weighed", "apportioned"
"""How the amount of scrap is known: weighed by itself, or a part of what lay in a bin."""


def _weighed_by_itself(body: Body) -> Body:
    """Nothing was apportioned from bins before."""
    return {**body, "how": WEIGHED, "weighing": 0}


def _typed_by_none_said(body: Body) -> Body:
    """Whether a scale or fingers typed a number was not asked before."""
    return {**body, "typed_by": ""}


@event
@dataclass(frozen=True)
class RunOpened:
    """A process is being worked at a station from now on; `product` is what it makes."""

    run: str
    process: str
    station: str
    product: str
    shift: str


@event
@dataclass(frozen=True)
class RunClosed:
    """A run is over; nothing more is loaded into it or made in it."""

    run: str


@event
@dataclass(frozen=True)
class RunReopened:
    """A run was closed by mistake."""

    run: str


@event
@dataclass(frozen=True)
class ResourceUsed:
    """A die set, mould or the like works in the run from now on; `instead` is what it replaced."""

    run: str
    thing: str
    instead: str = ""


@event
@dataclass(frozen=True)
class InputLoaded:
    """A lot was put on a payoff, to be taken from `end` (outer, inner or unknown).

    `first` to `last` are the serials that went on, where somebody said which; 0 and 0 where nobody did.
    """

    run: str
    load: int
    lot: str
    role: str
    stream: str
    payoff: str
    amount: int
    own: int
    end: str = "unknown"
    weight: int = 0
    first: int = 0
    last: int = 0


@event
@dataclass(frozen=True)
class InputEnded:
    """A load ran out and the next was welded on (0: none yet); `counter` as read, None if not."""

    run: str
    load: int
    next_load: int = 0
    counter: int | None = None


@event_version(2, {1: _typed_by_none_said})
@dataclass(frozen=True)
class InputUnloaded:
    """A load was taken off with something left on it; `how` says how that is known.

    `typed_by` is scale or hand, empty where it is not known.
    """

    run: str
    load: int
    remainder: int
    own: int
    how: str
    typed_by: str = ""


@event_version(2, {1: _typed_by_none_said})
@dataclass(frozen=True)
class OutputMade:
    """Something was made: `own` in the lot's unit, `amount` in the stream's.

    `typed_by` is scale or hand, empty where it is not known. Where the carrier stood on the scale too,
    `gross` is what that showed and `tare` what the carrier was known to weigh, both in grams; else 0.
    """

    run: str
    seq: int
    output: str
    lot: str
    stream: str
    amount: int
    own: int
    began: int
    basis: str
    shift: str
    first: int = 0
    last: int = 0
    of: int = 0
    counter_from: int | None = None
    counter_to: int | None = None
    lane_from: int = 0
    lane_to: int = 0
    typed_by: str = ""
    gross: int = 0
    tare: int = 0


@event
@dataclass(frozen=True)
class ContentJoined:
    """What a vessel or pan still held went into a new lot together with what was made."""

    run: str
    child: str
    parent: str
    taken: int
    given: int
    stream: str


@event_version(3, {1: _typed_by_none_said, 2: _weighed_by_itself})
@dataclass(frozen=True)
class Scrapped:
    """Part of a load became scrap, for a reason; `typed_by` is scale or hand, empty where it is not known.

    `how` is weighed, or apportioned from a bin; then `weighing` is the event of its weighing.
    """

    run: str
    load: int
    amount: int
    own: int
    reason: str
    typed_by: str = ""
    how: str = WEIGHED
    weighing: int = 0


@event
@dataclass(frozen=True)
class RunMarked:
    """Something happened inside the run: wire broke, stopped, started, another operator, empty, a note."""

    run: str
    kind: str
    payoff: str = ""
    words: str = ""


@event
@dataclass(frozen=True)
class LoadCorrected:
    """A load was another lot or items (0: nobody said which), of another amount, or from another end."""

    run: str
    load: int
    lot: str
    amount: int
    own: int
    end: str = "unknown"
    first: int = 0
    last: int = 0


@event
@dataclass(frozen=True)
class LoadRecounted:
    """The lot of a load has another amount than it was loaded with; `was` in the lot's unit, as `own`."""

    run: str
    load: int
    lot: str
    amount: int
    own: int
    was: int


@event
@dataclass(frozen=True)
class LoadTakenBack:
    """A load never was."""

    run: str
    load: int


@event
@dataclass(frozen=True)
class EndCorrected:
    """A load ended at another time, with another next load, or not at all (`at` 0)."""

    run: str
    load: int
    at: int
    next_load: int = 0
    counter: int | None = None


@event
@dataclass(frozen=True)
class UnloadTakenBack:
    """A load was not taken off."""

    run: str
    load: int


@event
@dataclass(frozen=True)
class RemainderCorrected:
    """Of a load that was taken off something else was left: `own` in the unit of `lot`, as `was`.

    `how` says how that is known, `typed_by` is scale or hand, empty where it is not known.
    """

    run: str
    load: int
    lot: str
    remainder: int
    own: int
    was: int
    how: str
    typed_by: str = ""


@event
@dataclass(frozen=True)
class OutputCorrected:
    """An output's amount or times were wrong."""

    run: str
    seq: int
    amount: int
    own: int
    began: int
    ended: int
    of: int = 0


@event
@dataclass(frozen=True)
class OutputTakenBack:
    """An output never was."""

    run: str
    seq: int


@event
@dataclass(frozen=True)
class ScrapTakenBack:
    """Scrap of a run was recorded by mistake; `event` is the one that said so."""

    run: str
    event: int


@event
@dataclass(frozen=True)
class JoinTakenBack:
    """What a pan still held did not go into the new lot after all."""

    run: str
    child: str
    parent: str


@event
@dataclass(frozen=True)
class MarkTakenBack:
    """A mark was set by mistake; `event` is the one that said so."""

    run: str
    event: int


@event
@dataclass(frozen=True)
class LoadTimed:
    """A load was put on at another time than recorded; `at` in microseconds UTC."""

    run: str
    load: int
    at: int
    was: int


@event
@dataclass(frozen=True)
class RunPersonCorrected:
    """Another person worked the run than recorded."""

    run: str
    person: str
    was: str


@event
@dataclass(frozen=True)
class ResourceCorrected:
    """Not this die set or mould worked in the run but another; `thing` empty: none did."""

    run: str
    was: str
    thing: str


@event
@dataclass(frozen=True)
class RunVoided:
    """A run never was."""

    run: str
