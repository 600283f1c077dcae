"""How does one get the picture of a label at the command line?"""

import argparse
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from lotroot.cli.options import Commands, add_command, say
from lotroot.errors import Unknown, Unreadable
from lotroot.house import look_into
from lotroot.identity import Badge, ItemNumber, Number, read
from lotroot.labelling.printed import labels_of
from lotroot.labelling.rendering import picture


def add_to(commands: Commands) -> None:
    """Add label."""
    one = add_command(
        commands,
        "label",
        label,
        "Write the picture of a label, as it was printed last.",
        "Reads only: it is no reprint, and nothing records it. For a label that goes on goods, print it\n"
        "again on its page, so that its copy is counted.\n\n"
        "  lotroot label C26-000017-69                  writes C2600001769.png\n"
        "  lotroot label C26-000017-69 --output coil.pdf",
    )
    one.add_argument("number", metavar="NUMBER", help="of a lot, item, carrier, place ..., scanned or typed")
    one.add_argument(
        "--output", metavar="FILE", help="a new file ending in .png or .pdf (default: NUMBER.png)"
    )


def label(arguments: argparse.Namespace) -> int:
    """Draw the label, read it back and write it."""
    number, serial = _number(arguments.number)
    path = Path(arguments.output or f"{arguments.number if serial else number}.png")
    if path.suffix not in (".png", ".pdf"):
        raise _unwritable(path, "its name ends in neither .png nor .pdf")
    with closing(look_into(arguments.database)) as database, database.reading() as connection:
        made = picture(_printed(connection, number, serial), serial)
    try:
        with path.open("xb") as file:
            file.write(made.png if path.suffix == ".png" else made.pdf)
    except OSError as error:
        raise _unwritable(path, str(error.strerror)) from error
    say(f"{path}: {', '.join(dict.fromkeys(made.symbols))}")
    return 0


def _number(text: str) -> tuple[str, int]:
    value = read(text).value
    if isinstance(value, ItemNumber):
        return str(value.lot), value.serial
    if isinstance(value, Number):
        return str(value), 0
    raise Unreadable(
        "A badge's picture is not written." if isinstance(value, Badge) else "This is no number of a label.",
        expected="A number such as C26-000017-69.",
        next_step="Print a badge again on the page People.",
    )


def _printed(connection: Connection, number: str, serial: int) -> Any:
    for row in reversed(labels_of(connection, number)):
        if row.first <= serial <= row.last:
            return row
    raise Unknown(
        "No such label was printed.",
        value=number,
        expected="A label that is in the record as printed.",
        next_step="Ask for it on the page of the lot; a running server prints it.",
    )


def _unwritable(path: Path, why: str) -> Unreadable:
    return Unreadable(
        "The picture cannot be written.",
        value=str(path),
        expected=f"A new file ending in .png or .pdf; for {path}, {why}.",
        next_step="Name another file.",
    )
