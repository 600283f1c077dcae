"""Is this a backup, whole and as it was written, and what stands in it?"""

import hashlib
import io
import json
import lzma
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from lotroot.archive.packing import FORMAT, MANIFEST, Manifest
from lotroot.errors import Unreadable
from lotroot.house.schema import SCHEMA

_CHUNK = 1 << 20
_SPOILT = (
    *(OSError, EOFError, zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error),
    *(RuntimeError, KeyError, ValueError, TypeError),
)
"""What reading a damaged zip file raises: RuntimeError where a bit says encrypted or compressed strangely,
EOFError where it says that a member goes on beyond the file.
"""


@contextmanager
def opened(path: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    """A backup whose every member was checked against its manifest. Raises Unreadable."""
    archive, manifest = _checked(path)
    with archive:
        yield archive, manifest


def _checked(path: Path) -> tuple[zipfile.ZipFile, Manifest]:
    with ExitStack() as stack:
        try:
            archive = stack.enter_context(zipfile.ZipFile(path))
            manifest = Manifest(**json.loads(archive.read(MANIFEST)))
            _check_release(path, manifest)
            _check_members(path, archive, manifest)
        except FileNotFoundError as error:
            raise _no_backup(path, "there is no such file") from error
        except _SPOILT as error:
            raise _no_backup(path, f"it cannot be read as one: {error}") from error
        stack.pop_all()
        return archive, manifest


def rows(archive: zipfile.ZipFile, name: str) -> Iterator[dict[str, Any]]:
    """The rows of one table."""
    with archive.open(name) as raw, io.TextIOWrapper(raw, encoding="utf-8") as lines:
        for line in lines:
            yield json.loads(line)


def _check_release(path: Path, manifest: Manifest) -> None:
    if manifest.format > FORMAT or manifest.revision > SCHEMA:
        raise Unreadable(
            "The backup was made by a newer release.",
            value=str(path),
            expected=f"Format {FORMAT} and revision {SCHEMA} at most; "
            f"it has format {manifest.format} and revision {manifest.revision}.",
            next_step="Restore it with the release that made it, or a newer one.",
        )


def _check_members(path: Path, archive: zipfile.ZipFile, manifest: Manifest) -> None:
    for name, expected in manifest.members.items():
        digest = hashlib.sha256()
        with archive.open(name) as member:
            while chunk := member.read(_CHUNK):
                digest.update(chunk)
        if digest.hexdigest() != expected:
            raise _no_backup(path, f"{name} was changed after it was written")


def _no_backup(path: Path, why: str) -> Unreadable:
    return Unreadable(
        "This is no backup that can be restored.",
        value=str(path),
        expected=f"A file that lotroot backup wrote; of {path}, {why}.",
        next_step="Take another copy of it; nothing was changed.",
    )
