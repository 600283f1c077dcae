"""Which published figures does the program know, how sure is each, and who confirmed it when?"""

import argparse
import os
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, closing
from pathlib import Path

from sqlalchemy import Connection

from lotroot.cli.options import Commands, add_command, say
from lotroot.confirmed.figures import Figure
from lotroot.confirmed.standing import Standing, standings
from lotroot.errors import Unreadable
from lotroot.house import look_into
from lotroot.plant.adopted import plant_or_none
from lotroot.plant.figures import OF_THE_PLANT, called, figures_of
from lotroot.reference import CONFIDENCE, names
from lotroot.tracing.figure_words import stands
from lotroot.tracing.words import Words

USUAL = "lotroot.db"


def add_to(commands: Commands) -> None:
    """Add tables."""
    one = add_command(
        commands,
        "tables",
        tables,
        "List the published tables, or the rows of one with their source and how sure they are.",
        "With a database it lists the plant's own limits and losses too, and says who confirmed or overrode\n"
        "what and when. Reads only; a server may go on running.\n\n"
        "  lotroot tables                 all tables, with how many rows are how sure\n"
        "  lotroot tables wire_gauges     the rows of one",
    )
    one.set_defaults(database="")
    one.add_argument("name", metavar="NAME", nargs="?", default="", help="a table, as the list calls it")


def tables(arguments: argparse.Namespace) -> int:
    """The list of tables, or the rows of one."""
    with ExitStack() as stack:
        connection = None
        url = _database(arguments.database)
        if url:
            database = stack.enter_context(closing(look_into(url)))
            connection = stack.enter_context(database.reading())
        lines = list(_rows(connection, arguments.name) if arguments.name else _list(connection))
    for line in lines:
        say(line)
    return 0


def _database(named: str) -> str:
    """The database to look into: the one named, else the usual one where it stands."""
    return named or os.environ.get("LOTROOT_DATABASE", "") or (USUAL if Path(USUAL).is_file() else "")


def _list(connection: Connection | None) -> Iterator[str]:
    known = [*names(), *(OF_THE_PLANT if connection else ())]
    width = max(map(len, known))
    for name in known:
        found = _standings(connection, _figures(connection, name))
        yield f"{name:<{width}}  {len(found):>4}  {_counted(found)}"


def _counted(found: Sequence[Standing]) -> str:
    counts = Counter(one.figure.confidence for one in found)
    named = [f"{counts[word]} {word}" for word in (*CONFIDENCE, "plant") if counts[word]]
    by_name = sum(one.by_name for one in found)
    return ", ".join(named) + (f"; {by_name} confirmed or overridden by name" if by_name else "")


def _rows(connection: Connection | None, name: str) -> Iterator[str]:
    words = Words(connection) if connection else None
    plant = words.plant if words else None
    for one in _standings(connection, _figures(connection, name)):
        yield f"{called(plant, one.figure)}: {one.figure.said(one.values)}"
        doubtful = f" ({', '.join(one.figure.doubtful)}: memory)" if one.figure.doubtful else ""
        yield f"    {one.figure.confidence}{doubtful}: {one.figure.source}"
        if one.by_name and words:
            yield f"    {stands(one, words)}: {one.reason}"


def _figures(connection: Connection | None, name: str) -> tuple[Figure, ...]:
    if name in OF_THE_PLANT and connection is None:
        raise Unreadable(
            f"{name} stands in a plant's database.",
            value=name,
            expected="The database of a plant.",
            next_step="Name it with --database.",
        )
    return figures_of(plant_or_none(connection) if connection else None, name)


def _standings(connection: Connection | None, figures: Iterable[Figure]) -> list[Standing]:
    if connection is None:
        return [Standing(one, one.values) for one in figures]
    return standings(connection, figures)
