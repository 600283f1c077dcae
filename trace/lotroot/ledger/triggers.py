"""What keeps the ledger's tables from ever changing, and does it still stand?

Triggers refuse UPDATE and DELETE, on PostgreSQL also TRUNCATE. A guard before INSERT demands the next
number, and that no unique value is there yet: it closes `INSERT OR REPLACE`, which on SQLite deletes the
row in its way without asking the triggers against DELETE. That a hash follows from the one before, the
chain itself shows.
"""

import re

from sqlalchemy import Connection, text

from lotroot.ledger.tables import APPEND_ONLY

_NEXT_EVENT = "(SELECT coalesce(max(id), 0) + 1 FROM event)"
_GUARDS = {
    "posting": (
        "NEW.id <> (SELECT coalesce(max(id), 0) + 1 FROM posting) "
        "OR EXISTS (SELECT 1 FROM posting WHERE key = NEW.key)"
    ),
    "event": f"NEW.id <> {_NEXT_EVENT}",
    "file": "EXISTS (SELECT 1 FROM file WHERE sha = NEW.sha)",
}

_REFUSE = " BEGIN RAISE EXCEPTION 'the ledger only grows'; END "


def create_triggers(connection: Connection) -> None:
    """Forbid every change of the append-only tables, on either engine."""
    statements = _on_sqlite() if connection.dialect.name == "sqlite" else _on_postgresql()
    for statement in statements:
        connection.execute(text(statement))


def standing_triggers(connection: Connection) -> dict[str, str]:
    """The triggers that stand in the database now and what each does, in comparable words."""
    if connection.dialect.name == "sqlite":
        query = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        return {row.name: row.sql for row in connection.execute(text(query))}
    query = (
        "SELECT tgname, pg_get_triggerdef(pg_trigger.oid) AS act, prosrc FROM pg_trigger "
        "JOIN pg_proc ON pg_proc.oid = tgfoid WHERE NOT tgisinternal AND tgenabled IN ('O', 'A')"
    )
    rows = connection.execute(text(query))
    return {row.tgname: re.sub(r"\b\w+\.(?=\w+ )", "", row.act, count=1) + row.prosrc for row in rows}


def expected_triggers(connection: Connection) -> dict[str, str]:
    """The triggers that must stand, in the words of `standing_triggers`."""
    if connection.dialect.name == "sqlite":
        return {statement.split()[2]: statement for statement in _on_sqlite()}
    acts = {name: f"CREATE TRIGGER {name} {act}{_REFUSE}" for name, act in _refusals().items()}
    guards = {f"{table}_guard": f"CREATE TRIGGER {_guard(table)}{_body(table)}" for table in _GUARDS}
    return acts | guards


def _on_sqlite() -> list[str]:
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


def _on_postgresql() -> list[str]:
    bodies = {"lotroot_refuse": _REFUSE, **{f"lotroot_{table}_guard": _body(table) for table in _GUARDS}}
    functions = [
        f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $${body}$$"
        for name, body in bodies.items()
    ]
    acts = [f"CREATE TRIGGER {name} {act}" for name, act in _refusals().items()]
    return functions + acts + [f"CREATE TRIGGER {_guard(table)}" for table in _GUARDS]


def _refusals() -> dict[str, str]:
    """PostgreSQL: when each refusing trigger fires and what it calls, by its name."""
    each = {"update": "ROW", "delete": "ROW", "truncate": "STATEMENT"}
    return {
        f"{table}_no_{act}": (
            f"BEFORE {act.upper()} ON {table} FOR EACH {unit} EXECUTE FUNCTION lotroot_refuse()"
        )
        for table in APPEND_ONLY
        for act, unit in each.items()
    }


def _guard(table: str) -> str:
    return f"{table}_guard BEFORE INSERT ON {table} FOR EACH ROW EXECUTE FUNCTION lotroot_{table}_guard()"


def _body(table: str) -> str:
    refusal = "RAISE EXCEPTION 'the ledger only grows, in order'"
    return f" BEGIN IF {_GUARDS[table]} THEN {refusal}; END IF; RETURN NEW; END "
