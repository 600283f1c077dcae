"""What does an event say, in one plain sentence with its time and person?"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from string import Formatter
from typing import Any

from lotroot.ledger.events import Recorded
from lotroot.tracing.count_sentences import COUNT_SENTENCES
from lotroot.tracing.goods_sentences import GOODS_SENTENCES
from lotroot.tracing.listing import Tell
from lotroot.tracing.sentences import SENTENCES
from lotroot.tracing.words import Moment, Named, Words, items
from lotroot.tracing.work_sentences import WORK_SENTENCES

LONG_SENTENCES: dict[str, Tell] = {**GOODS_SENTENCES, **WORK_SENTENCES, **COUNT_SENTENCES}
"""What tells each kind of event that needs more than its own fields; `SENTENCES` has the others."""


@dataclass(frozen=True)
class Told:
    """An event as people read it.

    `correction` marks what changes or takes back something recorded before; `basis` is at once, late or
    from memory; `reason` was given with the act. `supervisor` stood behind it, where one had to.
    """

    event: int
    posting: int
    kind: str
    command: str
    when: Moment
    person: Named
    station: Named
    supervisor: Named
    sentence: str
    basis: str
    reason: str
    correction: bool


def told(events: Iterable[Recorded], words: Words, about: str = "") -> list[Told]:
    """Some events in sentences; of what moves or is listed, only that about one number, if it is named."""
    known = list(events)
    words.learn_from(recorded.event for recorded in known)
    return [_told(recorded, words, about) for recorded in known]


def _told(recorded: Recorded, words: Words, about: str) -> Told:
    posting = recorded.posting
    kind = type(recorded.event).__name__
    return Told(
        event=recorded.id,
        posting=posting.id,
        kind=kind,
        command=posting.command,
        when=words.moment(posting.happened),
        person=words.named(posting.person),
        station=words.named(posting.station),
        supervisor=words.named(posting.supervisor),
        sentence=sentence(recorded.event, words, about),
        basis=posting.basis,
        reason=posting.reason,
        correction=is_correction(kind),
    )


def is_correction(kind: str) -> bool:
    """Whether events of a kind change or take back what was recorded before."""
    endings = ("Corrected", "TakenBack", "Voided", "Detailed", "Timed", "Reopened", "Shrunk", "Confirmed")
    return kind.endswith(endings) or kind == "AliasTaken"


def sentence(fact: Any, words: Words, about: str = "") -> str:
    """What one event says. A kind without a sentence is told by its name, so that nothing goes unsaid."""
    said = _said(fact, words, about)
    return said[:1].upper() + said[1:]


def _said(fact: Any, words: Words, about: str) -> str:
    kind = type(fact).__name__
    if kind in LONG_SENTENCES:
        return LONG_SENTENCES[kind](fact, words, about)
    if kind in SENTENCES:
        # Serials are set off by commas; where a sign follows, that one is enough.
        return re.sub(",(?=[,.:])", "", _Filled(fact, words).format(SENTENCES[kind]))
    return re.sub(r"(?<!^)(?=[A-Z])", " ", kind).lower() + "."


class _Filled(Formatter):
    """Fills a sentence's fields with those of one event."""

    def __init__(self, fact: Any, words: Words) -> None:
        self._fact = fact
        self._words = words

    def get_value(self, key: int | str, _args: Any, _named: Any) -> Any:
        return getattr(self._fact, str(key))

    def format_field(self, value: Any, spec: str) -> str:
        how, _, other = spec.partition(" ")
        if how == "of":
            return self._words.amount_of(getattr(self._fact, other), value)
        if how == "items":
            said = items(value, getattr(self._fact, other))
            return f", {said}," if said else ""
        say: Callable[[Any], str] = getattr(self._words, how) if how else str
        return say(value)
