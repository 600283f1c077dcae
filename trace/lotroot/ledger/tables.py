"""Which tables hold the ledger?

Ten years of a plant are four million events, so nothing is stored twice: the hash before an event's own is
that of the row before, and hashes are kept as bytes.
`posting`, `event` and `file` are append-only (`ledger.triggers`) and only ever gain columns. `series`
is operational. `mention` is status: which events name a number, so that a number opens its whole story.
"""

from sqlalchemy import BigInteger, Column, Integer, LargeBinary, Table, Text

from lotroot.database import metadata
from lotroot.ledger.octets import Octets

_RowNumber = BigInteger().with_variant(Integer, "sqlite")
"""SQLite takes an INTEGER key for the row's own number; any other would cost an index beside it."""

posting = Table(
    "posting",
    metadata,
    Column("id", _RowNumber, primary_key=True, autoincrement=False),
    Column("uuid", Octets, nullable=False),
    Column("key", Text, nullable=False, unique=True),
    Column("payload_sha", Octets, nullable=False),
    Column("command", Text, nullable=False),
    Column("site", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("station", Text, nullable=False),
    Column("happened", BigInteger, nullable=False),
    Column("offset", Integer, nullable=False),
    Column("entered", BigInteger, nullable=False),
    Column("basis", Text, nullable=False),
    Column("plant", Octets, nullable=False),
    Column("reason", Text, nullable=False),
    Column("supervisor", Text, nullable=False),
    Column("voids", BigInteger, nullable=False),
    Column("answer", Text, nullable=False),
    info={"layer": "ledger"},
)

event = Table(
    "event",
    metadata,
    Column("id", _RowNumber, primary_key=True, autoincrement=False),
    Column("posting", BigInteger, nullable=False, index=True),
    Column("kind", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("hash", Octets, nullable=False),
    info={"layer": "ledger"},
)

file = Table(
    "file",
    metadata,
    Column("sha", Text, primary_key=True),
    Column("type", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
    info={"layer": "ledger"},
)

series = Table(
    "series",
    metadata,
    Column("letter", Text, primary_key=True),
    Column("year", Integer, primary_key=True, autoincrement=False),
    Column("last", Integer, nullable=False),
    info={"layer": "operational"},
)

mention = Table(
    "mention",
    metadata,
    Column("number", Text, primary_key=True),
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    info={"layer": "status"},
)

FIRST_PREV = "0" * 64
"""What the first event of a chain names as the hash before it."""

APPEND_ONLY = ("posting", "event", "file")
