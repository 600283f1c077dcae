"""How are postings written, chained and read back?

`hashed_text` is the one place that says what an event's hash covers: every field of the event and
of its posting, and the hash before it (SHA-256 of canonical JSON). Posting fields at their default are
left out, so that a column that a later release adds changes no hash of today.
"""

import dataclasses
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, insert, select

from lotroot.database import Statement
from lotroot.ledger.canonical import canonical, parse, sha256
from lotroot.ledger.codec import encode
from lotroot.ledger.events import Posting, Recorded, revive, version_of
from lotroot.ledger.octets import digits
from lotroot.ledger.tables import FIRST_PREV, event, file, mention, posting

_POSTING_FIELDS = tuple(field.name for field in dataclasses.fields(Posting))
_NUMBER = re.compile(r"\b[BCDEFGHJKLNPRSTUVX]\d{10}\b")

_last_event = Statement("SELECT id, hash FROM event ORDER BY id DESC LIMIT 1")
_last_posting = Statement("SELECT COALESCE(MAX(id), 0) FROM posting")
_by_key = Statement('SELECT id FROM posting WHERE "key" = :key')
_by_id = select(posting).where(posting.c.id == bindparam("id"))
_chain = select(event, posting).join(posting, event.c.posting == posting.c.id).order_by(event.c.id)
_add_posting, _add_events, _add_mentions = insert(posting), insert(event), insert(mention)
_in_turn = _chain.execution_options(yield_per=1000)
_naming = (
    _chain.join(mention, mention.c.event == event.c.id)
    .where(mention.c.number == bindparam("number"))
    .where(event.c.id > bindparam("after"))
)

DAYS_POSTINGS = 20_000
"""More than a plant records in a day: no further back is looked for what somebody recorded lately."""
recent = select(posting).order_by(posting.c.id.desc()).limit(DAYS_POSTINGS).subquery("recent")
"""The last postings, with the columns of `posting`."""


@dataclasses.dataclass(frozen=True)
class Head:
    """The last event's number and hash; (0, 64 zeros) of an empty ledger."""

    count: int
    hash: str


class Link(NamedTuple):
    """One stored event as it stands in the chain: its hashed text, the stored and the computed hash."""

    id: int
    text: str
    stored: str
    computed: str


def head(connection: Connection) -> Head:
    """Where the chain ends now."""
    rows = _last_event.rows(connection, {})
    return Head(rows[0][0], digits(rows[0][1])) if rows else Head(0, FIRST_PREV)


def next_posting_id(connection: Connection) -> int:
    """The number the next posting gets; only true inside a write transaction."""
    return int(_last_posting.value(connection, {})) + 1


def append(connection: Connection, made: Posting, events: Sequence[Any]) -> None:
    """Write one posting and its events, chained; the caller holds the write transaction."""
    # What is stored is what is hashed: strings in NFC, nothing that could not be read back.
    connection.execute(_add_posting, [parse(canonical(dataclasses.asdict(made)))])
    last = head(connection)
    number, previous, posting_text = last.count, last.hash, canonical(encode(made))
    rows = []
    for one in events:
        number += 1
        kind = type(one).__name__
        row = {"id": number, "kind": kind, "version": version_of(kind), "body": canonical(encode(one))}
        row["hash"] = sha256(_hashed_text(posting_text, row, previous))
        rows.append({**row, "posting": made.id})
        previous = str(row["hash"])
    connection.execute(_add_events, rows)


def hashed_text(made: Posting, row: Mapping[Any, Any], previous: str) -> str:
    """The canonical text whose SHA-256 is an event's hash; the body goes in as it is stored."""
    return _hashed_text(canonical(encode(made)), row, previous)


def _hashed_text(posting_text: str, row: Mapping[Any, Any], previous: str) -> str:
    event_text = f'"body":{row["body"]},"id":{row["id"]},"kind":"{row["kind"]}","version":{row["version"]}'
    return f'{{"event":{{{event_text}}},"posting":{posting_text},"prev":"{previous}"}}'


def mark_mentions(connection: Connection, recorded: Recorded) -> None:
    """Note which numbers an event names, so that each opens its whole story."""
    numbers = set(_NUMBER.findall(json.dumps(encode(recorded.event), ensure_ascii=False)))
    if numbers:
        rows = [{"number": number, "event": recorded.id} for number in sorted(numbers)]
        connection.execute(_add_mentions, rows)


def posting_by_key(connection: Connection, key: str) -> Posting | None:
    """The posting recorded under an idempotency key."""
    number = _by_key.value(connection, {"key": key})
    return None if number is None else posting_by_id(connection, number)


def posting_by_id(connection: Connection, number: int) -> Posting | None:
    """A posting by its number."""
    return _posting(connection.execute(_by_id, {"id": number}).mappings().first())


def _posting(row: Any) -> Posting | None:
    return Posting(**{name: row[name] for name in _POSTING_FIELDS}) if row else None


def _made(row: Any) -> Posting:
    """The posting in a row of `_chain`, where the event's id comes first."""
    return Posting(**{name: getattr(row, "id_1" if name == "id" else name) for name in _POSTING_FIELDS})


def _recorded(row: Any, made: Posting | None = None) -> Recorded:
    return Recorded(row.id, revive(row.kind, row.version, parse(row.body)), made or _made(row))


def events(connection: Connection) -> Iterator[Recorded]:
    """Every event in ledger order, revived."""
    made: Posting | None = None
    with connection.execute(_in_turn) as rows:
        for row in rows:
            if made is None or made.id != row.id_1:  # a posting has several events, one after the other
                made = _made(row)
            yield _recorded(row, made)


def events_naming(connection: Connection, number: str, after: int = 0) -> list[Recorded]:
    """Every event that names a number, in ledger order."""
    return [_recorded(row) for row in connection.execute(_naming, {"number": number, "after": after})]


def events_of(connection: Connection, posting_id: int) -> list[Recorded]:
    """The events of one posting, in order."""
    query = _chain.where(event.c.posting == posting_id)
    return [_recorded(row) for row in connection.execute(query)]


def chain(connection: Connection) -> Iterator[Link]:
    """Every stored event with its hash computed anew, in ledger order."""
    number, posting_text, previous = 0, "", FIRST_PREV
    with connection.execute(_in_turn) as rows:
        for row in rows:
            if row.id_1 != number:
                number, posting_text = row.id_1, canonical(encode(_made(row)))
            text = _hashed_text(posting_text, row._mapping, previous)
            yield Link(row.id, text, row.hash, sha256(text))
            previous = row.hash


def keep_file(connection: Connection, name: str, kind: str, content: bytes) -> str:
    """Keep a file byte for byte under its SHA-256; the same bytes are kept once. Returns the hash."""
    digest = sha256(content)
    if connection.scalar(select(file.c.sha).where(file.c.sha == digest)) is None:
        connection.execute(insert(file), [{"sha": digest, "type": kind, "name": name, "bytes": content}])
    return digest


def kept_file(connection: Connection, digest: str) -> Any:
    """The row (sha, type, name, bytes) of a kept file, or None."""
    return connection.execute(select(file).where(file.c.sha == digest)).first()
