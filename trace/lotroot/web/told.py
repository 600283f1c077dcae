"""A lineage with what its tables need: in which words and units is it told?"""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.tracing import Lineage
from lotroot.tracing.between import Bound
from lotroot.tracing.kin import kin_above
from lotroot.tracing.natures import stream_units
from lotroot.tracing.words import Words
from lotroot.web.bound_columns import Bounded, bounded
from lotroot.web.cells import Amount, Column, several

PARENTS_ONLY = 2**62
"""Since when a walk goes back that goes to the parents only."""


class Told(NamedTuple):
    """A lineage with what its tables need: the plant's words, and the units of parts by lot and stream.

    `part_words` heads the column of parts: of what was asked, or of the sources that siblings share.
    """

    lineage: Lineage
    words: Words
    units: Mapping[str, Mapping[str, str]]
    part_words: str = "Of this in it"

    def unit(self, lot: str, otherwise: str, chain: str) -> str:
        """The unit of a part; a chain of streams begins with the one that the part counts in."""
        return self.units.get(lot, {}).get(chain.partition("/")[0], otherwise)

    def asked_unit(self, chain: str) -> str:
        """The unit of parts of what was asked: that of its lots with such a stream, else of their sum."""
        asked, stream = self.lineage.asked, chain.partition("/")[0]
        own = [self.units.get(part.lot.number, {}) for part in asked.parts]
        units = {streams[stream] for streams in own if stream in streams}
        return units.pop() if len(units) == 1 else asked.unit

    def parts(self, some: Iterable[tuple[str, str, Mapping[str, int]]]) -> Column:
        """What each of some goods (a lot, its unit, its parts) has of the asked."""
        each: list[Sequence[Amount]] = [
            [(part, self.unit(lot, unit, chain)) for chain, part in sorted(parts.items())]
            for lot, unit, parts in some
        ]
        return several(each, self.words.plant)

    def bounds(self, some: Iterable[tuple[str, str, Mapping[str, Bound]]]) -> Bounded:
        """The same with what is known at least and at most."""
        rows = [
            [(self.unit(lot, unit, chain), bound) for chain, bound in sorted(bounds.items())]
            for lot, unit, bounds in some
        ]
        return bounded(rows, self.words.plant)

    def product(self, number: str) -> str:
        """What a lot is."""
        row = self.words.lot(number)
        return self.words.product(row.product) or self.words.kind(row.kind) if row is not None else ""


def in_words(connection: Connection, lineage: Lineage, words: Words) -> Told:
    """A lineage ready for its tables."""
    asked = [part.lot for part in lineage.asked.parts]
    lots = asked if lineage.direction == "up" else [one.lot for one in lineage.lots]
    # Only what is told in pieces, or with lots of other units, may count in another unit than its own.
    pieces = [lot.id for lot in lots if lot.unit == "pcs"]
    if lineage.direction == "up" and (pieces or len({lot.unit for lot in asked}) > 1):
        pieces = [lot.id for lot in lots]
    # Their own links say it: however long the way behind them is, nobody need walk it.
    own = kin_above(connection, pieces, PARENTS_ONLY) if pieces else None
    units = stream_units(connection, own, pieces) if own else {}
    words.learn([one.lot.number for one in lineage.lots])
    return Told(lineage, words, {lot.number: units[lot.id] for lot in lots if lot.id in units})
