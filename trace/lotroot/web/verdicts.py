"""How does what came of a scan become the verdict that static/scan.js shows?

Choices carry the codes of commands on the laminated sheet as well, so that a question too is answered by
a scan: ANSWER 1, ANSWER 2 ..., and YES, NO, ENDED, PART, EMPTY where they fit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lotroot.errors import LotrootError, Question, Refused
from lotroot.identity import Command
from lotroot.identity.commands import ANSWERS
from lotroot.web.scene import Context, Say
from lotroot.work import Answer

_BY_COMMAND = {
    "yes": Command.YES,
    "no": Command.NO,
    "wrong": Command.NO,
    "ended": Command.ENDED,
    "off": Command.PART,
    "emptied": Command.EMPTY,
}
_TWO: dict[tuple[str, ...], dict[str, Command]] = {("ended", "no"): {"ended": Command.YES}}
"""“Has it run out?” is answered with YES."""


@dataclass(frozen=True)
class Outcome:
    """What came of one scan."""

    verdict: str
    say: str
    word: str = ""
    detail: str = ""
    question: Mapping[str, Any] = field(default_factory=dict)
    context: Context | None = None
    goto: str = ""
    override: str = ""

    def body(self) -> dict[str, Any]:
        """As static/scan.js wants it; what is empty is left out."""
        parts = {
            "verdict": self.verdict,
            "word": self.word,
            "say": self.say,
            "detail": self.detail,
            "question": self.question,
            "goto": self.goto,
        }
        return {name: part for name, part in parts.items() if part}


def of_answer(answer: Answer, answered: bool) -> Outcome:
    """The verdict of something recorded, now or under the same key before."""
    questioned = answer.verdict == "in_question"
    detail = "It is in question: a supervisor will look at it." if questioned else ""
    return Outcome("asked_done" if answered else "accepted", answer.say, detail=detail)


def of_say(said: Say) -> Outcome:
    """The verdict of an answer that recorded nothing."""
    return Outcome(said.verdict, said.say, said.word, said.detail, context=said.context, goto=said.goto)


def of_error(error: LotrootError) -> Outcome:
    """The verdict of an act that was refused or is asked about."""
    if isinstance(error, Question):
        return Outcome("ask", error.what, question=question_body(error))
    word = error.word if isinstance(error, Refused) else ""
    verdict = word if word in ("already", "held") else "refused"
    detail = " ".join(part for part in (error.expected, error.next_step) if part)
    return Outcome(verdict, error.what, detail=detail)


def question_body(question: Question) -> dict[str, Any]:
    """A question, with the command codes that choose an answer, or none of them, too."""
    by_scan = {**_BY_COMMAND, **_TWO.get(tuple(question.choices), {})}
    choices = []
    for place, (code, label) in enumerate(question.choices.items()):
        commands = [*ANSWERS[place : place + 1], *([by_scan[code]] if code in by_scan else [])]
        choices.append({"code": code, "label": label, "scans": _texts(commands)})
    drop = _texts([Command.LEAVE_IT])
    return {"id": question.identifier, "text": question.what, "choices": choices, "drop": drop}


def _texts(commands: Sequence[Command]) -> list[str]:
    """What a scanner sends for some commands, and what may be typed, without its space."""
    return [text for one in commands for text in (one.code, one.name.replace("_", ""))]
