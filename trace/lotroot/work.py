"""What is a handler given to do one piece of work with?

`Work` is one open posting: who acts, where and when, the plant it is judged by, and `record`, which
gives each fact its number in the ledger and copies it into status at once, so that the next decision
of the same posting sees it. Nothing is kept unless the whole posting is.
"""

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Row

from lotroot.errors import Question, Refused
from lotroot.identity import make
from lotroot.identity.showing import shown
from lotroot.ledger.book import head
from lotroot.ledger.events import Posting, Recorded
from lotroot.ledger.numbering import take
from lotroot.processes.definition import Plant
from lotroot.quantities import show_amount
from lotroot.questions import Questioned

Apply = Callable[[Connection, Recorded], None]
MICROSECONDS = 1_000_000


@dataclass(frozen=True)
class Envelope:
    """What comes with every command: its key, who sends it, from where, and what they answered.

    `key` makes the command safe to repeat. `person` and `station` are numbers (H..., T...), `station`
    may be empty. `happened` is in microseconds UTC, None for now. `basis` says how the entry is known:
    at once, late or from memory. `already` states that the act has happened and is only recorded, which
    takes a `supervisor` (a person's number, badge and PIN checked) other than the person (RULES 13).
    `secret` is a PIN on its way to being hashed: it is never part of a command, a key or the ledger.
    `proved` says that whoever took the command in has checked the person's PIN for it.
    """

    key: str
    person: str
    station: str = ""
    happened: int | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    basis: str = "at once"
    reason: str = ""
    supervisor: str = ""
    already: bool = False
    secret: str = field(default="", repr=False)
    proved: bool = False


@dataclass(frozen=True)
class Answer:
    """What a posting is answered with, for ever, under its key.

    `verdict` is accepted or in_question; `numbers` were given or touched; `labels` are the numbers whose
    labels were queued; `say` is one sentence for the person.
    """

    say: str
    numbers: tuple[str, ...] = ()
    labels: tuple[str, ...] = ()
    verdict: str = "accepted"
    posting: int = 0
    recorded: str = ""
    replayed: bool = False


@dataclass(frozen=True)
class Handler:
    """Who handles a command.

    `first` commands need nobody while nobody is known (setting up an empty database); `internal` ones
    are posted by the house itself (its print worker, its restore) and by no one else; `pin` ones ask
    the person's PIN every time. `labels` are fields that name a label kept ready itself; in all others such a
    number means the goods it is on.
    """

    handle: "Callable[[Work, Any], Answer]"
    first: bool = False
    internal: bool = False
    pin: bool = False
    labels: tuple[str, ...] = ()


@dataclass(frozen=True)
class LabelRequest:
    """A label, or a block of item labels first to last, to be queued with the posting.

    `again`: the same label once more, a copy. Any other further label of a number replaces the one before.
    `told`: fields that whoever asks knows and labelling cannot look up. `printer`: the code of the one it is
    for, where that is not the station's.
    """

    number: str
    first: int = 0
    last: int = 0
    copy: int = 1
    layout: str = ""
    note: str = ""
    again: bool = False
    told: Mapping[str, str] = field(default_factory=dict)
    printer: str = ""


class Work:
    """One open posting."""

    def __init__(
        self, connection: Connection, posting: Posting, envelope: Envelope, applies: Sequence[Apply]
    ) -> None:
        self.connection = connection
        self.posting = posting
        self.answers = envelope.answers
        self.already = envelope.already
        self.secret = envelope.secret
        self.events: list[Any] = []
        self.labels: list[LabelRequest] = []
        self.questions: list[str] = []
        self._applies = applies
        self._next = head(connection).count + 1
        self._plant: Plant | None = None

    @property
    def happened(self) -> int:
        """When it happened, in microseconds UTC."""
        return self.posting.happened

    def judge_by(self, plant: Plant) -> None:
        """Set the version of the plant this posting is judged by."""
        self._plant = plant

    @property
    def plant(self) -> Plant:
        """The plant this posting is judged by. Raises Refused before the first adoption."""
        if self._plant is None:
            raise Refused(
                "No plant is set up here yet.",
                expected="A plant.toml that was adopted.",
                next_step="Run: lotroot init --plant plant.toml",
            )
        return self._plant

    def record(self, fact: Any) -> int:
        """Add a fact; returns its number in the ledger. Status shows it from now on."""
        recorded = Recorded(self._next, fact, self.posting)
        for apply in self._applies:
            apply(self.connection, recorded)
        self.events.append(fact)
        self._next += 1
        return recorded.id

    def take_back(self, posting: int) -> None:
        """This posting takes back an earlier one."""
        self.posting = dataclasses.replace(self.posting, voids=posting)

    def number(self, letter: str) -> str:
        """A new number of a family; it is given for ever, even if its label is never used."""
        return self.numbers(letter, 1)[0]

    def numbers(self, letter: str, count: int) -> list[str]:
        """Several new numbers of a family, in a row."""
        year = datetime.fromtimestamp(self.posting.entered / MICROSECONDS, UTC).year
        start = self._plant.number_start if self._plant else 1
        first = take(self.connection, letter, year, count, start)
        return [str(make(letter, year, running)) for running in range(first, first + count)]

    def label(self, request: LabelRequest) -> None:
        """Queue a label with this posting."""
        self.labels.append(request)

    def local_time(self, at: int) -> str:
        """A time as people at the plant read it: 14:05, with the day where it is another."""
        zone = ZoneInfo(self._plant.zone) if self._plant else UTC
        then = datetime.fromtimestamp(at / MICROSECONDS, zone)
        today = datetime.fromtimestamp(self.posting.entered / MICROSECONDS, zone)
        return f"{then:%H:%M}" if then.date() == today.date() else f"{then:%H:%M on %a %-d %b}"

    def show(self, amount: int, unit: str) -> str:
        """An amount as the plant shows it, with its unit."""
        return show_amount(amount, unit, self.plant.units.get(unit, unit))

    def called(self, carrier: Row[Any]) -> str:
        """What people call a carrier: Tram 1, Pan 17, or a pallet's number."""
        found = self.plant.carriers.get(carrier.code)
        return found.name if found else shown(carrier.number)

    def ask(self, identifier: str, text: str, choices: Mapping[str, str]) -> str:
        """The answer to a question, or the question itself, raised once (DESIGN.md section 2.2)."""
        answer = self.answers.get(identifier)
        if answer is None or answer not in choices:
            raise Question(identifier, text, choices)
        return answer

    def refuse(self, refusal: Refused, subject: str) -> None:
        """Refuse an act that decides; when it has already happened, record it and put it in question."""
        if not self.already:
            raise refusal
        self.put_in_question(subject, f"Done already: {refusal.what}")

    def put_in_question(self, subject: str, reason: str) -> None:
        """Mark a lot, run, carrier or shipment for a supervisor; it stops nothing."""
        self.record(Questioned(subject, reason))
        self.questions.append(reason)
