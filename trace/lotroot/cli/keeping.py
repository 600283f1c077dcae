"""How is the record checked, exported, backed up and restored from the command line?"""

import argparse
import json
from contextlib import closing
from pathlib import Path

from lotroot.archive import backup, restore
from lotroot.cli.options import Commands, add_command, number_from, say
from lotroot.database import Database
from lotroot.house import look_into
from lotroot.ledger import book
from lotroot.posting.door import now
from lotroot.verify import verify


def add_to(commands: Commands) -> None:
    """Add verify, export, backup and restore."""
    add_command(
        commands,
        "verify",
        check,
        "Check that the record agrees with itself.",
        "Checks triggers, chain, status, ranks and conservation, and says ok EVENTS HEAD, or the first\n"
        "thing wrong: fault CHECK WHERE: found X, expected Y. Reads only; a server may go on running.\n"
        "Keep the head it says somewhere else: a record written anew as a whole shows only against it.",
    )
    add_command(
        commands,
        "export",
        export,
        "Write every event, with its hash, one JSON object a line.",
        "Without its last field, hash, each line is exactly the text that was hashed (SHA-256). The last\n"
        "line is the head and the number of events. Reads only; a server may go on running.\n\n"
        "  lotroot export > events.ndjson",
    )
    one = add_command(
        commands,
        "backup",
        keep,
        "Write everything into one file.",
        "Ledger, kept files, names, badges, hashed PINs and number series of one moment. Keep it away from\n"
        "this machine and from strangers. Reads only; a server may go on running.\n\n"
        "  lotroot backup /media/usb/lotroot-monday.zip",
    )
    one.add_argument("file", metavar="FILE", help="a new file; one that is there is never overwritten")
    _add_restore(commands)


def _add_restore(commands: Commands) -> None:
    one = add_command(
        commands,
        "restore",
        bring_back,
        "Fill an absent or empty database from a backup.",
        "Numbers given after the backup was taken may stand on labels: every series skips ahead, and the\n"
        "skipped numbers are recorded as reserved. If the file LOTROOT.db.numbers of the lost database is\n"
        "left, put it beside the new one first. Scan the newest labels you find, of several letters:\n\n"
        "  lotroot restore lotroot-monday.zip --newest C26-001204-55 --newest P26-000310-07",
    )
    one.add_argument("file", metavar="FILE", help="what lotroot backup wrote")
    one.add_argument(
        "--newest",
        action="append",
        default=[],
        metavar="NUMBER",
        help="the newest label that can be found, scanned or typed; several times for several letters",
    )


def check(arguments: argparse.Namespace) -> int:
    """Verify; exit code 1 where something is wrong."""
    with closing(look_into(arguments.database)) as database:
        verdict = verify(database)
    say(str(verdict))
    return 0 if verdict.finding is None else 1


def export(arguments: argparse.Namespace) -> int:
    """Every event's hashed text with its hash, then the head."""
    with closing(look_into(arguments.database, status=False)) as database, database.reading() as connection:
        for link in book.chain(connection):
            say(f'{link.text[:-1]},"hash":"{link.stored}"}}')
        head = book.head(connection)
    say(json.dumps({"head": head.hash, "count": head.count}, separators=(",", ":")))
    return 0


def keep(arguments: argparse.Namespace) -> int:
    """Write a backup."""
    with closing(look_into(arguments.database, status=False)) as database:
        manifest = backup(database, Path(arguments.file), now)
    say(f"{arguments.file}: {manifest.count} events, head {manifest.head}")
    return 0


def bring_back(arguments: argparse.Namespace) -> int:
    """Restore a backup."""
    newest = [number_from(text) for text in arguments.newest]
    with closing(Database(arguments.database)) as database:
        restored = restore(database, Path(arguments.file), newest, now)
    say(restored.say)
    for gap in restored.gaps:
        say(f"reserved {gap.letter}{gap.year % 100:02d} {gap.first} to {gap.last}")
    return 0
