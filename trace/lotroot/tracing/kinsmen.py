"""How far is each lot of a lineage from the asked, how is its part known, and is it held?"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.holds.reach import held_among
from lotroot.tracing.asking import Asked
from lotroot.tracing.basis import weakest
from lotroot.tracing.kin import Kin
from lotroot.tracing.lineage import Bounds, Kinsman, Streams
from lotroot.tracing.reached import depths
from lotroot.tracing.spans import ALL

Step = tuple[int, int, str]
"""From lot to lot, away from the asked, and how that link is known."""


class Found(NamedTuple):
    """What is known of a lot in a lineage."""

    part: Streams
    ends: bool
    """Whether it has no parent, or none in a stream that it was reached by."""
    bounds: Bounds = MappingProxyType({})


def kinsmen(
    connection: Connection, asked: Asked, kin: Kin, found: Mapping[int, Found], steps: list[Step]
) -> tuple[Kinsman, ...]:
    """The lots of a lineage by depth and number; steps into a lot come before those out of it."""
    first = [part.lot.id for part in asked.parts]
    far = depths(first, [(one, other) for one, other, _ in steps])
    known = weakest(first, steps)
    held = _held(connection, asked, found)
    lots = [
        Kinsman(
            lot=kin.lots[lot],
            depth=far[lot],
            part=each.part,
            basis=known[lot] if far[lot] else kin.lots[lot].how,
            source=bool(kin.lots[lot].source),
            gap=not kin.lots[lot].source and each.ends,
            held=lot in held,
            bounds=each.bounds,
        )
        for lot, each in found.items()
    ]
    return tuple(sorted(lots, key=lambda one: (one.depth, one.lot.number)))


def _held(connection: Connection, asked: Asked, found: Mapping[int, Found]) -> set[int]:
    """The lots that a hold reaches; of an asked lot what was asked of it."""
    parts = {
        part.lot.id: [None if span == ALL else span for span in part.goods.spans] for part in asked.parts
    }
    wanted = [(lot, span) for lot in found for span in parts.get(lot, [None])]
    return {lot for lot, _ in held_among(connection, wanted)}
