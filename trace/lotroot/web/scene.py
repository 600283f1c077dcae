"""What is a page that takes scans given, and what does it answer?

A page is a function from (state, code) to one command: `meaning(scene, scanned)` returns

    Act(command)   record this: it is posted under the scan's key, once
    Say(...)       answer without recording: the next step, what a code is, why it does not fit
    None           nothing of this page's: the meanings common to all pages take it

or raises any LotrootError (Refused, Question ...), which is answered as a verdict. `show(scene)` is what
the page shows afterwards. Neither may write.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlalchemy import Connection

from lotroot.errors import Question, Unreadable
from lotroot.identity import Badge, Command, ItemNumber, Number
from lotroot.processes.definition import Plant, Station
from lotroot.quantities import read_amount, show_amount
from lotroot.work import Answer

Context = Mapping[str, Any]
"""What a page keeps between two scans: texts, whole numbers and lists of them; it stands in the page."""

_CHOICE = "n"
"""Before an amount in a choice's code, since codes may not be plain numbers (static/scan.js)."""


@dataclass(frozen=True)
class Scene:
    """The state a scan falls into: who, where, when, and the record as it stands.

    `person` and `station` are numbers, empty for none; `at` is the station in the plant; `now` is when it
    was scanned, in microseconds UTC by the server's clock; `typed_by` whether a scale or a hand typed it.
    """

    connection: Connection
    plant: Plant
    person: str
    station: str
    at: Station | None
    now: int
    context: Context = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)
    demo: bool = False
    typed_by: str = ""

    def amount(self, amount: int, unit: str) -> str:
        """An amount as the plant shows it."""
        return show_amount(amount, unit, self.plant.units.get(unit, unit))

    def typed(self, text: str, unit: str, expected: int | None = None) -> int:
        """A typed amount in base units of `unit`, the plant's own unit where none is typed.

        Raises Unreadable, or a Question where "1,234" could be read in two ways.
        """
        settled = self.answers.get("amount", "").removeprefix(_CHOICE)
        known = int(settled) if settled.isdecimal() else expected
        try:
            return read_amount(text, self.plant.units.get(unit, unit), known)
        except Question as question:
            choices = {f"{_CHOICE}{code}": label for code, label in question.choices.items()}
            raise Question(question.identifier, question.what, choices) from None

    def ask(self, identifier: str, text: str, choices: Mapping[str, str]) -> str:
        """The answer to a question, or the question, raised once."""
        answer = self.answers.get(identifier, "")
        if answer not in choices:
            raise Question(identifier, text, choices)
        return answer


class Scanned(NamedTuple):
    """One scan: its text, and the number, badge or command it proves to be, or why it is none."""

    text: str
    value: Number | ItemNumber | Badge | Command | None
    copy: int = 1
    unreadable: Unreadable | None = None


@dataclass(frozen=True)
class Act:
    """Record a command. `context` is the page's from then on; `goto` leads to another page.

    `before` are commands that must be recorded first, in order; `answers` settle questions of the command
    that the page has asked in its own words. `told` says what came of it where the command's own answer
    is not all of it: of a check that failed the page shows a fail, though it was recorded well.
    `happened`, in microseconds UTC, is told where it was not now: the act is then recorded as late.
    """

    command: Any
    context: Context = field(default_factory=dict)
    goto: Callable[[Answer], str] | None = None
    before: tuple[Any, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)
    told: Callable[[Answer], "Say"] | None = None
    happened: int | None = None


@dataclass(frozen=True)
class Say:
    """Answer without recording anything; `context` None keeps the page's."""

    say: str
    verdict: str = "accepted"
    word: str = ""
    detail: str = ""
    context: Context | None = None
    goto: str = ""


class Shown(NamedTuple):
    """What a page shows: the next step in words, and its changing parts as {id: html}."""

    next: str
    fragments: Mapping[str, str] = {}


class Page(NamedTuple):
    """A page that takes scans at POST /scan/<name>; `help` says what can be scanned there.

    `proves`: what is scanned there is in somebody's hands, so that its label is seen on the goods.
    `labels`: an emergency label that is on goods is itself there, and does not mean those goods.
    """

    name: str
    meaning: Callable[[Scene, Scanned], Act | Say | None]
    show: Callable[[Scene], Shown]
    help: str = "Scan your badge, a label, or a command from the sheet."
    proves: bool = True
    labels: bool = False
