"""How is status made anew from the ledger alone?"""

from functools import cache

from sqlalchemy import URL, Column, Connection, Integer, Table, delete, insert, select
from sqlalchemy.schema import CreateIndex, CreateTable, ExecutableDDLElement

from lotroot.database import Database, metadata
from lotroot.ledger.book import events
from lotroot.posting.features import APPLIES, STATUS_VERSION

status_version = Table(
    "status_version",
    metadata,
    Column("version", Integer, primary_key=True, autoincrement=False),
    info={"layer": "operational"},
)


def tables(layer: str) -> list[Table]:
    """The tables of a layer: ledger, operational or status, in an order that can be created."""
    return [table for table in metadata.sorted_tables if table.info["layer"] == layer]


def create_status(connection: Connection) -> None:
    """Drop and create every status table, empty."""
    metadata.drop_all(connection, tables("status"))
    begin_status(connection)


def begin_status(connection: Connection) -> None:
    """Create every status table where there is none yet."""
    for sql in _creation(connection.engine.url.drivername):
        connection.exec_driver_sql(sql)


@cache
def _creation(driver: str) -> tuple[str, ...]:
    """The statements that make every status table and index: written out once, asked of nobody one by one."""
    made: list[ExecutableDDLElement] = []
    for table in tables("status"):
        made += [CreateTable(table), *(CreateIndex(one) for one in sorted(table.indexes, key=str))]
    dialect = URL.create(driver).get_dialect()()
    return tuple(str(one.compile(dialect=dialect)) for one in made)


def replay(source: Connection, target: Connection) -> int:
    """Copy every event of one ledger into the status tables of a connection; returns how many."""
    count = 0
    for recorded in events(source):
        for apply in APPLIES:
            apply(target, recorded)
        count += 1
    return count


def remake(connection: Connection) -> int:
    """Make status anew from the ledger within a write transaction; returns the number of events."""
    create_status(connection)
    count = replay(connection, connection)
    connection.execute(delete(status_version))
    connection.execute(insert(status_version), [{"version": STATUS_VERSION}])
    return count


def rebuild(database: Database) -> int:
    """Make status anew in one transaction; returns the number of events."""
    with database.writing() as connection:
        return remake(connection)


def is_current(database: Database) -> bool:
    """Whether status was made by this release's rules."""
    with database.reading() as connection:
        return connection.scalar(select(status_version.c.version)) == STATUS_VERSION
