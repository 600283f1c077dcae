"""How do all tests of one run get the demo plant: built once, copied from then on?"""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import fasteners
from lotroot import house as program
from lotroot.database import Database
from lotroot.demo.build import build

FILE = "demo.db"


@contextmanager
def a_demo(shared: Path, own: Path) -> Iterator[Database]:
    """The demo plant without its labels, in a folder of one's own.

    `shared` is a folder that all workers of this test run see; whoever comes first builds it there.
    """
    with fasteners.InterProcessLock(shared / "demo.lock"):
        built = shared / "demo"
        if not built.exists():
            _build(shared / "demo-coming")
            (shared / "demo-coming").rename(built)
    shutil.copytree(built, own, dirs_exist_ok=True)
    database = Database(f"sqlite:///{own / FILE}")
    yield database
    database.close()


def _build(folder: Path) -> None:
    folder.mkdir()
    database = Database(f"sqlite:///{folder / FILE}")
    program.create(database)
    build(database, labels=False)
    database.close()
