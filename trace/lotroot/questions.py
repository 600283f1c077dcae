"""What is in question: marks with a reason that stop nothing until a supervisor settles them (RULES 5)?"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Index,
    Row,
    Table,
    Text,
    bindparam,
    insert,
    select,
    update,
)

from lotroot.database import index_where, metadata
from lotroot.ledger.events import Recorded, event

TAKEN_BACK = "taken back"
"""How a question is settled whose act never was."""

question = Table(
    "question",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("subject", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("settled", BigInteger),
    Column("settlement", Text, nullable=False),
    info={"layer": "status"},
)
Index("ix_question_subject", question.c.subject)
index_where("ix_question_open", question.c.settled.is_(None), question.c.event)

_open = select(question).where(question.c.settled.is_(None)).order_by(question.c.event)
_raised = select(question).where(question.c.event == bindparam("event"))
_of = select(question).where(question.c.subject == bindparam("subject")).order_by(question.c.event)


@event
@dataclass(frozen=True)
class Questioned:
    """A lot, run, carrier or shipment is in question, for a reason somebody must look at."""

    subject: str
    reason: str


@event
@dataclass(frozen=True)
class QuestionSettled:
    """A supervisor settled a question; `question` is the event that raised it."""

    question: int
    subject: str
    words: str


@event
@dataclass(frozen=True)
class QuestionReopened:
    """What settled a question was taken back: it waits again."""

    question: int
    subject: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of questions; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not a question."""


@_apply.register
def _(event: Questioned, connection: Connection, recorded: Recorded) -> None:
    row = {
        "event": recorded.id,
        "subject": event.subject,
        "reason": event.reason,
        "person": recorded.posting.person,
        "at": recorded.posting.happened,
        "settlement": "",
    }
    connection.execute(insert(question), [row])


@_apply.register
def _(event: QuestionSettled, connection: Connection, recorded: Recorded) -> None:
    values = {"settled": recorded.id, "settlement": event.words}
    connection.execute(update(question).where(question.c.event == event.question).values(values))


@_apply.register
def _(event: QuestionReopened, connection: Connection, _recorded: Recorded) -> None:
    values = {"settled": None, "settlement": ""}
    connection.execute(update(question).where(question.c.event == event.question).values(**values))


def open_questions(connection: Connection) -> Sequence[Row[Any]]:
    """What waits for a supervisor, oldest first."""
    return connection.execute(_open).all()


def questions_of(connection: Connection, subject: str) -> Sequence[Row[Any]]:
    """All questions ever raised about a number, oldest first; `settled` is None for open ones."""
    return connection.execute(_of, {"subject": subject}).all()


def question_raised(connection: Connection, event: int) -> Row[Any] | None:
    """The question that an event raised, settled or not."""
    return connection.execute(_raised, {"event": event}).first()
