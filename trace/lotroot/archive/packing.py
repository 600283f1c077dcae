"""What is in a backup, and how is it written?

One zip file, the same whichever engine it was taken from, all of one moment:

    ledger/posting.ndjson, event.ndjson, file.ndjson    the rows as stored, one JSON object a line
    files/SHA256                                        kept files, byte for byte
    operational/TABLE.ndjson                            names, badges, hashed PINs, series, print jobs ...
    manifest.json                                       counts, head, series, SHA-256 of every member

It holds badges and hashed PINs: only its owner may read it. Status is not in it; it follows from events.
"""

import dataclasses
import hashlib
import json
import os
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from sqlalchemy import Connection, Table, select

from lotroot.database import Database
from lotroot.errors import Unreadable
from lotroot.house.schema import revision
from lotroot.ledger import book, numbering
from lotroot.ledger.tables import file
from lotroot.posting.status import tables

FORMAT = 1
MANIFEST = "manifest.json"
LAYERS = ("ledger", "operational")


@dataclass(frozen=True)
class Manifest:
    """What a backup says of itself; `taken` in microseconds UTC, `series` as {"C2026": 1234}."""

    format: int
    taken: int
    revision: str
    count: int
    head: str
    series: dict[str, int]
    rows: dict[str, int]
    members: dict[str, str]


def backup(database: Database, path: Path, clock: Callable[[], int]) -> Manifest:
    """Write a backup of this moment; the file appears under its name only once it is whole.

    Raises Unreadable where the file is there already or cannot be written.
    """
    scratch = path.with_name(path.name + ".part")
    try:
        if path.exists():
            raise _cannot(path, "there is a file of that name already")
        with _private(scratch) as raw:
            manifest = _written(database, raw, clock())
            raw.flush()
            os.fsync(raw.fileno())
        scratch.replace(path)
    except OSError as error:
        scratch.unlink(missing_ok=True)
        raise _cannot(path, str(error.strerror or error)) from error
    return manifest


def _private(path: Path) -> IO[bytes]:
    path.unlink(missing_ok=True)
    return os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b")


def _cannot(path: Path, why: str) -> Unreadable:
    return Unreadable(
        "The backup cannot be written.",
        value=str(path),
        expected=f"A new file in a folder that can be written to; for {path}, {why}.",
        next_step="Name another file.",
    )


def _written(database: Database, raw: IO[bytes], taken: int) -> Manifest:
    rows: dict[str, int] = {}
    members: dict[str, str] = {}
    with (
        zipfile.ZipFile(raw, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive,
        database.reading() as connection,
    ):
        for layer in LAYERS:
            for table in tables(layer):
                name = f"{layer}/{table.name}.ndjson"
                rows[table.name], members[name] = _pack(archive, name, _lines(connection, table))
        for row in connection.execute(select(file).execution_options(yield_per=10)):
            archive.writestr(f"files/{row.sha}", row.bytes)
            members[f"files/{row.sha}"] = row.sha
        manifest = _manifest(connection, taken, rows, members)
        archive.writestr(MANIFEST, json.dumps(dataclasses.asdict(manifest), indent=1))
    return manifest


def _manifest(connection: Connection, taken: int, rows: dict[str, int], members: dict[str, str]) -> Manifest:
    head = book.head(connection)
    series = {f"{letter}{year}": last for (letter, year), last in numbering.levels(connection).items()}
    release = str(revision(connection))
    return Manifest(FORMAT, taken, release, head.count, head.hash, series, rows, members)


def _pack(archive: zipfile.ZipFile, name: str, lines: Iterator[str]) -> tuple[int, str]:
    count, digest = 0, hashlib.sha256()
    with archive.open(name, "w", force_zip64=True) as member:
        for line in lines:
            content = line.encode()
            digest.update(content)
            member.write(content)
            count += 1
    return count, digest.hexdigest()


def _lines(connection: Connection, table: Table) -> Iterator[str]:
    """The rows of a table in the order of its key; a file's bytes stand in a member of their own."""
    columns = [column for column in table.columns if column is not file.c.bytes]
    query = select(*columns).order_by(*table.primary_key).execution_options(yield_per=1000)
    for row in connection.execute(query).mappings():
        yield json.dumps(dict(row), ensure_ascii=False, separators=(",", ":")) + "\n"
