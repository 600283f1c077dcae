"""Which labels of a block were used, spoiled, returned, and which are still to be accounted for?

printed = used + spoiled + returned, once the run is closed.
"""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, func, select

from lotroot.errors import Unreadable
from lotroot.identity import item_from
from lotroot.identity.showing import shown
from lotroot.production.runs import outputs_of_lot
from lotroot.production.tables import label_block, label_unused, run_output

_of_run = select(label_block).where(label_block.c.run == bindparam("run")).order_by(label_block.c.event)
_of_lot = select(label_block).where(label_block.c.lot == bindparam("lot")).order_by(label_block.c.event)
_unused = (
    select(label_unused)
    .where(label_unused.c.lot == bindparam("lot"))
    .order_by(label_unused.c.event, label_unused.c.first)
)

_last_of_outputs = select(func.max(run_output.c.last)).where(run_output.c.lot == bindparam("lot"))
_last_of_blocks = select(func.max(label_block.c.last)).where(label_block.c.lot == bindparam("lot"))

Span = tuple[int, int]
"""Serials from and to, both included."""


class BlockAccount(NamedTuple):
    """The serials of a lot's label blocks, by what became of each label."""

    printed: frozenset[int]
    used: frozenset[int]
    spoiled: frozenset[int]
    returned: frozenset[int]

    @property
    def open(self) -> frozenset[int]:
        """Labels nothing is known of yet: somebody has them in hand."""
        return self.printed - self.used - self.spoiled - self.returned

    @property
    def closes(self) -> bool:
        """Whether printed = used + spoiled + returned, each label counted once."""
        parts = len(self.used) + len(self.spoiled) + len(self.returned)
        return not self.open and len(self.printed) == parts


def block_account(connection: Connection, lot: str) -> BlockAccount:
    """What became of the labels printed in blocks for a lot; items labelled one by one are not in it."""
    printed = _serials(blocks_of_lot(connection, lot))
    used = _serials(row for row in outputs_of_lot(connection, lot) if row.first)
    rows = connection.execute(_unused, {"lot": lot}).all()
    spoiled = _serials(row for row in rows if row.why == "spoiled")
    returned = _serials(row for row in rows if row.why == "returned")
    return BlockAccount(printed, used & printed, spoiled, returned)


def last_given(connection: Connection, lot: Row[Any]) -> int:
    """The highest serial of a lot that was ever given: what is taken back keeps its number (RULES 16)."""
    asked = {"lot": lot.number}
    given = (connection.scalar(one, asked) for one in (_last_of_outputs, _last_of_blocks))
    return max(int(lot.items), *(int(serial or 0) for serial in given))


def blocks_of_lot(connection: Connection, lot: str) -> Sequence[Row[Any]]:
    """The blocks printed for a lot, in order: rows of run, lot, output, first, last."""
    return connection.execute(_of_lot, {"lot": lot}).all()


def blocks_of_run(connection: Connection, run: str) -> Sequence[Row[Any]]:
    """The blocks printed in a run, in order."""
    return connection.execute(_of_run, {"run": run}).all()


def row_of_labels(first: str, last: str) -> tuple[str, range]:
    """The lot and the serials that two item labels name; `last` is empty for one. Raises Unreadable."""
    start, end = item_from(first), item_from(last or first)
    if start.lot != end.lot or end.serial < start.serial:
        raise Unreadable(
            "These two labels are no row of items.",
            value=f"{shown(first)} to {shown(last or first)}",
            expected="The first and the last item of one lot.",
            next_step="Scan the first label used, then the last.",
        )
    return str(start.lot), range(start.serial, end.serial + 1)


def block_of(connection: Connection, lot: str, serials: range) -> Row[Any]:
    """The block that the first of some labels was printed in."""
    blocks = blocks_of_lot(connection, lot)
    return next(one for one in blocks if one.first <= serials[0] <= one.last)


def spans(serials: Iterable[int]) -> list[Span]:
    """Serials as contiguous ranges, rising."""
    found: list[Span] = []
    for serial in sorted(set(serials)):
        if found and serial == found[-1][1] + 1:
            found[-1] = (found[-1][0], serial)
        else:
            found.append((serial, serial))
    return found


def in_words(serials: Iterable[int]) -> str:
    """Serials for a sentence: 3, 7 to 12."""
    return ", ".join(str(a) if a == b else f"{a} to {b}" for a, b in spans(serials))


def _serials(rows: Iterable[Row[Any]]) -> frozenset[int]:
    return frozenset(serial for row in rows for serial in range(row.first, row.last + 1))
