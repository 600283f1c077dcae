"""How is a lineage read at the command line, by people and by programs?"""

import argparse
import json
from collections.abc import Iterator, Mapping
from contextlib import closing

from lotroot.cli.options import Commands, add_command, say
from lotroot.house import look_into
from lotroot.identity.showing import shown
from lotroot.tracing import Lineage, as_json, trace
from lotroot.tracing.between import Bound
from lotroot.tracing.contract import time_text


def add_to(commands: Commands) -> None:
    """Add trace."""
    one = add_command(
        commands,
        "trace",
        lineage,
        "Say what something was made of, or what was made of it and where that is.",
        "NUMBER is that of a lot, item, carrier, run or shipment, as scanned or typed, or another name of\n"
        "one lot, such as the supplier's coil number. Reads only; a server may go on running.\n"
        "Behind an expected part stands, if it is not sure, what it is at least and at most: exact, or an\n"
        "outer bound that may be wider than need be.\n\n"
        "  lotroot trace N26-000123-83            what it was made of\n"
        "  lotroot trace C26-000017-69 --down     what was made of it, and where that is\n"
        "  lotroot trace C26-000017-69 --down --json",
    )
    one.add_argument("number", metavar="NUMBER", help="scanned or typed")
    way = one.add_mutually_exclusive_group()
    way.add_argument("--up", action="store_true", help="what it was made of (this, if neither is named)")
    way.add_argument("--down", action="store_true", help="what was made of it, and where that is now")
    one.add_argument("--json", action="store_true", help="one JSON object, for programs")


def lineage(arguments: argparse.Namespace) -> int:
    """The lineage as a table, or as JSON with the keys that are promised to programs."""
    with closing(look_into(arguments.database)) as database, database.reading() as connection:
        found = trace(connection, arguments.number, "down" if arguments.down else "up")
        if arguments.json:
            say(json.dumps(as_json(found), ensure_ascii=False))
        else:
            for line in _lines(found):
                say(line)
    return 0


def _lines(found: Lineage) -> Iterator[str]:
    asked = found.asked
    question = "made of" if found.direction == "up" else "what was made of it"
    yield f"{shown(asked.number)}, {asked.kind}, {asked.amount} {asked.unit}: {question}"
    cut = found.older.lots if found.older else frozenset()
    for one in found.lots:
        if one.lot.number in cut:
            continue
        lot = one.lot
        marks = [name for name in ("source", "gap", "held") if getattr(one, name)]
        said = f"{'  ' * one.depth}{shown(lot.number)}  {lot.product}  {lot.amount} {lot.unit}"
        yield "  ".join([said, f"part {_part(one.part, one.bounds)}", one.basis, *marks])
    if found.older:
        yield f"made before {time_text(found.older.before)}, not followed: part {_part(found.older.part, {})}"
    for place in found.on_hand:
        standing = f"{shown(place.lot)} at {shown(place.place)}: {place.amount} {place.unit}"
        yield f"on hand  {standing}, part {_part(place.part, place.bounds)}"
    for left in found.shipments:
        said = f"{shown(left.shipment)} to {left.customer}: {left.amount} {left.unit}"
        yield f"shipped  {said}, part {_part(left.part, left.bounds)}, returned {left.returned} {left.unit}"


def _part(part: Mapping[str, int], bounds: Mapping[str, Bound]) -> str:
    said = []
    for stream, amount in part.items():
        bound = bounds.get(stream)
        if bound is None or (bound.exact and bound.least == bound.most):
            said.append(f"{stream} {amount}")
        else:
            said.append(f"{stream} {amount} ({bound.least} to {bound.most}, {bound.word})")
    return ", ".join(said) or "none"
