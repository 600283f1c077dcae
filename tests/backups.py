"""How do tests take a plant to another machine, and spoil a backup on the way?"""

import json
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

from houses import Clock, House
from lotroot.archive import Restored, restore
from lotroot.archive.packing import MANIFEST
from lotroot.database import Database
from lotroot.house import open_house
from lotroot.identity import Number
from lotroot.ledger.canonical import sha256
from lotroot.posting.door import Door

Spoil = Callable[[dict[str, bytes]], None]


def bring_back(url: str, path: Path, clock: Clock, *newest: Number) -> Restored:
    """Restore a backup into a database and let go of it."""
    with closing(Database(url)) as database:
        return restore(database, path, newest, clock)


def reopened(url: str, house: House) -> House:
    """The same people going on with their work on another database."""
    return House(Door(open_house(url), house.clock), house.clock, house.people, house.founding, house._keys)


def spoilt(path: Path, spoil: Spoil, *, digests: bool = False) -> Path:
    """A copy of a backup with changed members; with `digests`, its manifest fits the change."""
    with zipfile.ZipFile(path) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    spoil(members)
    if digests:
        fit(members)
    copy = path.with_name("spoilt.zip")
    with zipfile.ZipFile(copy, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return copy


def fit(members: dict[str, bytes]) -> None:
    """Make the manifest's digests those of the members."""
    manifest = json.loads(members[MANIFEST])
    manifest["members"] = {name: sha256(members[name]) for name in manifest["members"]}
    members[MANIFEST] = json.dumps(manifest).encode()


def in_manifest(**changes: Any) -> Spoil:
    """Change fields of the manifest."""

    def spoil(members: dict[str, bytes]) -> None:
        manifest = json.loads(members[MANIFEST])
        members[MANIFEST] = json.dumps(manifest | changes).encode()

    return spoil
