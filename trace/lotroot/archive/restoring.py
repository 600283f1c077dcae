"""How does a backup become a database that goes on working, with no number given twice?

All of it is one transaction: a restore that fails leaves an empty database.
"""

import zipfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, LargeBinary, MetaData, Table, insert

from lotroot.archive.gaps import busiest_days, gaps, levels_of
from lotroot.archive.packing import LAYERS, Manifest
from lotroot.archive.unpacking import opened, rows
from lotroot.database import Database
from lotroot.errors import Fault
from lotroot.house import hold, make_private, migrate, require_empty
from lotroot.identity import Number
from lotroot.labelling import outbox
from lotroot.ledger import high_water, numbering
from lotroot.ledger.book import head
from lotroot.ledger.octets import Octets
from lotroot.ledger.proof import chain_finding
from lotroot.plant.adopted import plant_or_none
from lotroot.posting.door import Door
from lotroot.posting.status import remake
from lotroot.recovery import RecordRestore
from lotroot.reserved import Gap
from lotroot.work import Envelope

BATCH = 1000
LARGE = 20
"""Rows that may carry a kept file of several megabytes each."""


@dataclass(frozen=True)
class Restored:
    """What came of a restore."""

    manifest: Manifest
    gaps: tuple[Gap, ...]
    say: str


def restore(database: Database, path: Path, newest: Iterable[Number], clock: Callable[[], int]) -> Restored:
    """Fill an empty database from a backup; `newest` are the newest labels anybody could scan.

    Raises Unreadable for a file that is no backup, Unavailable for a database that is not empty or in
    use. The database stays held until it is closed.
    """
    with opened(path) as (archive, manifest):
        beside = high_water.beside(database.path)
        seen = [high_water.read(beside), levels_of(newest)]
        make_private(database)
        hold(database)
        with database.writing() as connection:
            require_empty(connection)
            _load(connection, archive, manifest)
            _check(connection, manifest)
            skipped = _gaps(connection, manifest, clock(), seen)
            command = RecordRestore(manifest.count, manifest.head, manifest.taken, skipped)
            key = f"restore-{manifest.head[:32]}-{manifest.taken}"
            answer = Door(database, clock).post_within(connection, command, Envelope(key, ""))
            high_water.HighWater(beside).keep(numbering.levels(connection))
    return Restored(manifest, skipped, answer.say)


def _load(connection: Connection, archive: zipfile.ZipFile, manifest: Manifest) -> None:
    """Take the rows in as they were written, by the tables of their own release."""
    migrate(connection, manifest.revision)
    names = [name for name in manifest.members if name.partition("/")[0] in LAYERS]
    for name in names:
        table = _as_stored(name, connection)
        with_bytes = table.name == "file"
        found = _with_bytes(archive, rows(archive, name)) if with_bytes else rows(archive, name)
        for batch in _batches(found, LARGE if with_bytes else BATCH):
            connection.execute(insert(table), batch)
    migrate(connection)
    remake(connection)
    waiting = [job for state in outbox.OPEN for job in outbox.jobs_in(connection, state)]
    for job in waiting:
        reason = "Restored from a backup: look whether this label was printed since."
        outbox.change(connection, job.id, outbox.UNKNOWN, reason, attempts=max(job.attempts, 1))


def _as_stored(name: str, connection: Connection) -> Table:
    """A table of the backup's release; its rows name bytes by their hexadecimal digits, but for files."""
    table = Table(Path(name).stem, MetaData(), autoload_with=connection)
    for column in table.columns:
        if isinstance(column.type, LargeBinary) and table.name != "file":
            column.type = Octets()
    return table


def _with_bytes(archive: zipfile.ZipFile, found: Iterator[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for row in found:
        yield {**row, "bytes": archive.read(f"files/{row['sha']}")}


def _batches(found: Iterator[dict[str, Any]], size: int) -> Iterator[list[dict[str, Any]]]:
    while batch := list(islice(found, size)):
        yield batch


def _check(connection: Connection, manifest: Manifest) -> None:
    """The ledger must lead to the head the backup names, link by link."""
    finding = chain_finding(connection)
    if finding is not None:
        raise Fault(
            f"The backup contradicts itself at {finding.where}.",
            value=finding.found,
            expected=f"Expected {finding.expected}, found {finding.found}.",
            next_step="Restore an older backup.",
        )
    last = head(connection)
    if (last.count, last.hash) != (manifest.count, manifest.head):
        raise Fault(
            "The backup does not end where it says.",
            value=f"{last.count} {last.hash}",
            expected=f"Expected event {manifest.count} with {manifest.head}.",
            next_step="Restore another copy of it.",
        )


def _gaps(connection: Connection, manifest: Manifest, now: int, seen: list[Any]) -> tuple[Gap, ...]:
    plant = plant_or_none(connection)
    known, start = numbering.levels(connection), plant.number_start if plant else 1
    return gaps(busiest_days(connection), known, start, (manifest.taken, now), seen)
