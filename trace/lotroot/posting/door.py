"""How does a command become facts, once and only once?

`Door.post` opens the write transaction, answers a known key with the stored answer, checks who may do
it, lets the handler decide, chains what it recorded, and leaves the one commit to `database`.
"""

import dataclasses
import re
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from lotroot.accounts import people
from lotroot.database import Database
from lotroot.errors import Fault, KeyMissing, KeyReused, NotAllowed, NotSignedIn, Refused
from lotroot.labelling import queue
from lotroot.ledger import book, high_water, numbering
from lotroot.ledger.canonical import canonical, parse, sha256
from lotroot.ledger.codec import decode, encode
from lotroot.ledger.events import Posting
from lotroot.ledger.names import with_names
from lotroot.plant.adopted import plant_or_none
from lotroot.posting.features import APPLIES, CONSEQUENCES, handler_of
from lotroot.posting.meant import as_meant
from lotroot.processes.definition import Plant
from lotroot.work import MICROSECONDS, Answer, Envelope, Handler, Work

_KEY = re.compile(r"[A-Za-z0-9-]{16,64}")
LATE = 15 * 60 * MICROSECONDS
"""An entry made more than a quarter of an hour after it happened says so."""


def now() -> int:
    """The server's clock, in microseconds UTC."""
    return time.time_ns() // 1000


class Door:
    """The one way into the ledger of a database."""

    def __init__(
        self,
        database: Database,
        clock: Callable[[], int] = now,
        make_uuid: Callable[[], uuid.UUID] = uuid.uuid4,
    ) -> None:
        self.database = database
        self.clock = clock
        self.make_uuid = make_uuid
        self._high_water = high_water.HighWater(high_water.beside(database.path))
        self.on_commit: list[Callable[[], None]] = []

    def post(self, command: Any, envelope: Envelope) -> Answer:
        """Post a command. Raises any LotrootError; then nothing at all is recorded."""
        if not _KEY.fullmatch(envelope.key):
            raise KeyMissing(
                "The command has no key of its own.",
                value=envelope.key,
                expected="16 to 64 letters, digits and hyphens in Idempotency-Key.",
                next_step="Make a random key, keep it, and send the command with it.",
            )
        with self.database.writing() as connection:
            answer = self.post_within(connection, command, envelope)
            self._high_water.keep(numbering.levels(connection))
        for tell in self.on_commit:
            tell()
        return answer

    def rehearse(self, command: Any, envelope: Envelope) -> str:
        """What `post` would say with the PIN, or raise: tried, and taken back, before anybody is asked."""
        with self.database.writing() as connection, connection.begin_nested() as trial:
            answer = self.post_within(connection, command, dataclasses.replace(envelope, proved=True))
            say = with_names(connection, answer.say)
            trial.rollback()
        return say

    def post_within(self, connection: Connection, command: Any, envelope: Envelope) -> Answer:
        """Post as a part of a write transaction that the caller holds, such as a restore."""
        payload = sha256(payload_text(command, envelope))
        known = book.posting_by_key(connection, envelope.key)
        if known is not None:
            return _replayed(known, payload)
        plant = plant_or_none(connection)
        handler = handler_of(command)
        check_allowed(connection, command, envelope, (plant, handler))
        draft = self._draft(connection, command, envelope, plant)
        work = Work(connection, dataclasses.replace(draft, payload_sha=payload), envelope, APPLIES)
        if plant is not None:
            work.judge_by(plant)
        answer = handler.handle(work, as_meant(connection, command, handler.labels))
        more = "".join([follow(work) for follow in CONSEQUENCES])
        return _kept(connection, work, dataclasses.replace(answer, say=answer.say + more))

    def _draft(
        self, connection: Connection, command: Any, envelope: Envelope, plant: Plant | None
    ) -> Posting:
        entered = self.clock()
        happened = entered if envelope.happened is None else envelope.happened
        check_time(happened, entered)
        return Posting(
            id=book.next_posting_id(connection),
            uuid=str(self.make_uuid()),
            key=envelope.key,
            payload_sha="",
            command=type(command).__name__,
            site=plant.site if plant else "",
            person=envelope.person,
            station=envelope.station,
            happened=happened,
            offset=offset_minutes(happened, plant),
            entered=entered,
            basis="late" if envelope.basis == "at once" and entered - happened > LATE else envelope.basis,
            plant=plant.hash if plant else "",
            reason=envelope.reason,
            supervisor=envelope.supervisor,
        )


def payload_text(command: Any, envelope: Envelope) -> str:
    """What a key is bound to: the command, who, where, their answers, and the time if they gave one."""
    bound = {
        "command": type(command).__name__,
        "fields": encode(command),
        "person": envelope.person,
        "station": envelope.station,
        "answers": dict(envelope.answers),
        "happened": envelope.happened,
        "already": envelope.already,
    }
    return canonical(bound)


def check_allowed(
    connection: Connection, command: Any, envelope: Envelope, judged: tuple[Plant | None, Handler]
) -> None:
    """Whether this person may post this command, and a supervisor stands behind an override."""
    plant, handler = judged
    if handler.internal or (handler.first and not people.anybody(connection)):
        return
    roles = people.roles_of(connection, envelope.person)
    if roles is None:
        raise NotSignedIn(
            "Nobody is signed in here.",
            value=envelope.person,
            expected="A person's badge.",
            next_step="Scan your badge.",
        )
    if plant is not None and not plant.allows(roles, type(command).__name__):
        raise NotAllowed(
            "Your roles do not cover this.",
            value=", ".join(sorted(roles)),
            expected=f"A role that may do {type(command).__name__}.",
            next_step="Ask someone who may, or the administrator for the role.",
        )
    if handler.pin and not envelope.proved:
        raise NotSignedIn(
            "This act takes your PIN.",
            expected="Your PIN, entered for this act.",
            next_step="Enter your PIN and send it again.",
        )
    if envelope.already:
        _check_supervisor(connection, envelope)


def _check_supervisor(connection: Connection, envelope: Envelope) -> None:
    roles = people.roles_of(connection, envelope.supervisor) or frozenset()
    if "supervisor" not in roles or envelope.supervisor == envelope.person:
        raise NotAllowed(
            "What has happened already is recorded with a supervisor's badge and PIN.",
            value=envelope.supervisor,
            expected="A supervisor other than the person who did it.",
            next_step="Call the supervisor to the station.",
        )


def check_time(happened: int, entered: int) -> None:
    """Refuse times that cannot be: more than two minutes ahead of the server's clock."""
    if happened > entered + 120 * MICROSECONDS:
        raise Refused(
            "The time given lies in the future.",
            value=str(datetime.fromtimestamp(happened / MICROSECONDS, UTC)),
            expected="Now or earlier.",
            next_step="Correct the time, or the clock of the device.",
        )


def offset_minutes(at: int, plant: Plant | None) -> int:
    """The plant's offset from UTC at a time, in minutes."""
    zone = ZoneInfo(plant.zone) if plant else UTC
    offset = datetime.fromtimestamp(at / MICROSECONDS, zone).utcoffset()
    return int(offset.total_seconds()) // 60 if offset else 0


def _replayed(known: Posting, payload: str) -> Answer:
    if known.payload_sha != payload:
        raise KeyReused(
            "This key was used for something else.",
            value=known.key,
            expected=f"The {known.command} it was first sent with.",
            next_step="Send a new command with a new key.",
        )
    return dataclasses.replace(answer_from(known), replayed=True)


def answer_from(made: Posting) -> Answer:
    """The answer a posting keeps; its number and time are the posting's own."""
    kept = decode(Answer, parse(made.answer))
    return dataclasses.replace(kept, posting=made.id, recorded=_recorded(made.entered))


def _recorded(entered: int) -> str:
    at = datetime.fromtimestamp(entered / MICROSECONDS, UTC)
    return at.isoformat(timespec="seconds").replace("+00:00", "Z")


def answer_body(answer: Answer) -> dict[str, Any]:
    """The answer as the command API gives it (CONTRACTS: 201 and 200)."""
    return {
        "posting": answer.posting,
        "recorded": answer.recorded,
        "verdict": answer.verdict,
        "numbers": list(answer.numbers),
        "labels": list(answer.labels),
        "say": answer.say,
    }


def _kept(connection: Connection, work: Work, answer: Answer) -> Answer:
    if not work.events:
        raise Fault("A command recorded nothing.", value=work.posting.command)
    told = dataclasses.replace(
        answer,
        verdict="in_question" if work.questions else answer.verdict,
        labels=tuple(request.number for request in work.labels),
    )
    posting = dataclasses.replace(work.posting, answer=canonical(encode(told)))
    book.append(connection, posting, work.events)
    queue.add(connection, posting, work.labels)
    return answer_from(posting)
