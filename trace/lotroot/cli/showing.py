"""How does a newcomer see the program at work: an invented plant, built and served in one command?"""

import argparse
from pathlib import Path

from lotroot import house
from lotroot.cli.options import Commands, add_database, add_own, say
from lotroot.cli.serving import add_address, serve
from lotroot.database import Database
from lotroot.demo.build import build
from lotroot.ledger.high_water import beside

PLACE = Path("demo") / "lotroot-demo.db"
"""A folder of its own, so that the demo never comes near a real plant's database."""


def add_to(commands: Commands) -> None:
    """Add demo."""
    one = add_own(
        commands,
        "demo",
        demo,
        "Build an invented plant with ten days of work, and serve it.",
        "The first time it builds the demo plant (about half a minute); later it goes on with it, with all\n"
        "you have recorded there. --reset builds it anew. Nothing of a real plant is touched.\n\n"
        "  lotroot demo",
    )
    usual = f"{PLACE.as_posix()} in this folder; LOTROOT_DATABASE does not count here"
    add_database(one, str(PLACE), usual)
    one.add_argument(
        "--build-only", action="store_true", help="build it and stop; the database must be empty"
    )
    one.add_argument("--reset", action="store_true", help="throw the demo's database away and build it anew")
    add_address(one)


def demo(arguments: argparse.Namespace) -> int:
    """Build the demo plant where it is not there yet, then serve it."""
    path = Database(arguments.database).path
    if arguments.reset and path:
        _throw_away(Path(path))
    if arguments.build_only or path is None or not Path(path).exists():
        _built(arguments.database, path)
    if arguments.build_only:
        return 0
    say("Open the address below and go to Practice: it says what to try, also from a phone.")
    return serve(arguments)


def _built(url: str, path: str | None) -> None:
    """Build under another name first: a build that was broken off leaves nothing half done behind."""
    if path is None or Path(path).exists():
        _fill(url)
        return
    target, scratch = Path(path), Path(path + ".building")
    target.parent.mkdir(parents=True, exist_ok=True)
    _throw_away(scratch)
    _fill(str(scratch))
    for made, wanted in ((beside(str(scratch)), beside(path)), (scratch, target)):
        if made and wanted and made.exists():
            made.replace(wanted)


def _fill(url: str) -> None:
    database = Database(url)
    try:
        house.create(database)
        say("Building the demo plant: ten working days, every label printed and read back ...")
        made = build(database)
        say(f"Built: {made.count} events, head {made.hash}")
    finally:
        database.close()


def _throw_away(path: Path) -> None:
    for name in (path, Path(f"{path}-wal"), Path(f"{path}-shm"), beside(str(path))):
        if name:
            name.unlink(missing_ok=True)
