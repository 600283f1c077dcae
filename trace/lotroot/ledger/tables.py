"""Which tables may never change, and what keeps them so?

`posting`, `event` and `file` are append-only: triggers refuse UPDATE and DELETE, and a guard before
INSERT demands the next number and the last hash, which also closes `INSERT OR REPLACE`.
`mention` is status: which events name a number, so that a number opens its whole story.
"""

from sqlalchemy import BigInteger, Column, Connection, Integer, LargeBinary, Table, Text, text

from lotroot.database import metadata

posting = Table(
    "posting",
    metadata,
    Column("id", BigInteger, primary_key=True, autoincrement=False),
    Column("uuid", Text, nullable=False, unique=True),
    Column("key", Text, nullable=False, unique=True),
    Column("payload_sha", Text, nullable=False),
    Column("command", Text, nullable=False),
    Column("site", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("station", Text, nullable=False),
    Column("happened", BigInteger, nullable=False),
    Column("offset", Integer, nullable=False),
    Column("entered", BigInteger, nullable=False),
    Column("basis", Text, nullable=False),
    Column("plant", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("supervisor", Text, nullable=False),
    Column("voids", BigInteger, nullable=False),
    Column("answer", Text, nullable=False),
    info={"layer": "ledger"},
)

event = Table(
    "event",
    metadata,
    Column("id", BigInteger, primary_key=True, autoincrement=False),
    Column("posting", BigInteger, nullable=False, index=True),
    Column("kind", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("prev", Text, nullable=False),
    Column("hash", Text, nullable=False),
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


def create_triggers(connection: Connection) -> None:
    """Forbid every change of the append-only tables, on either engine."""
    statements = _sqlite_triggers() if connection.dialect.name == "sqlite" else _postgresql_triggers()
    for statement in statements:
        connection.execute(text(statement))


def trigger_names(connection: Connection) -> set[str]:
    """The triggers that stand in the database now."""
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.dialect.name == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
    )
    return {str(row[0]) for row in connection.execute(text(query))}


def expected_triggers(dialect: str) -> set[str]:
    """The triggers that must stand."""
    names = {f"{table}_no_{act}" for table in APPEND_ONLY for act in ("update", "delete")}
    names |= {"posting_guard", "event_guard", "file_guard"}
    return names if dialect == "sqlite" else names | {f"{table}_no_truncate" for table in APPEND_ONLY}


_GUARDS = {
    "posting": "NEW.id <> (SELECT coalesce(max(id), 0) + 1 FROM posting)",
    "event": (
        "NEW.id <> (SELECT coalesce(max(id), 0) + 1 FROM event) OR NEW.prev <> "
        f"coalesce((SELECT hash FROM event ORDER BY id DESC LIMIT 1), '{FIRST_PREV}')"
    ),
    "file": "EXISTS (SELECT 1 FROM file WHERE sha = NEW.sha)",
}


def _sqlite_triggers() -> list[str]:
    statements = [
        f"CREATE TRIGGER {table}_no_{act} BEFORE {act.upper()} ON {table} "
        "BEGIN SELECT RAISE(ABORT, 'the ledger only grows'); END"
        for table in APPEND_ONLY
        for act in ("update", "delete")
    ]
    return statements + [
        f"CREATE TRIGGER {table}_guard BEFORE INSERT ON {table} WHEN {guard} "
        "BEGIN SELECT RAISE(ABORT, 'the ledger only grows, in order'); END"
        for table, guard in _GUARDS.items()
    ]


def _postgresql_triggers() -> list[str]:
    statements = [
        "CREATE OR REPLACE FUNCTION lotroot_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the ledger only grows'; END $$"
    ]
    for table in APPEND_ONLY:
        for act in ("update", "delete"):
            statements.append(
                f"CREATE TRIGGER {table}_no_{act} BEFORE {act.upper()} ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION lotroot_refuse()"
            )
        statements.append(
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION lotroot_refuse()"
        )
    for table, guard in _GUARDS.items():
        statements.append(
            f"CREATE OR REPLACE FUNCTION lotroot_{table}_guard() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN IF {guard} THEN RAISE EXCEPTION 'the ledger only grows, in order'; END IF; "
            "RETURN NEW; END $$"
        )
        statements.append(
            f"CREATE TRIGGER {table}_guard BEFORE INSERT ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION lotroot_{table}_guard()"
        )
    return statements
