"""How much comes back when goods that the record has nowhere stand here after all?

They come from the account *difference*, where they are missing or, if they were recorded as used or scrapped,
where there is too much from now on (RULES 3): a number is given once, and means the same goods again.
"""

from typing import Any

from sqlalchemy import Row

from lotroot.counting.serials import Span, joined, without
from lotroot.errors import Refused, Unreadable
from lotroot.goods import row_words
from lotroot.identity.showing import shown
from lotroot.stock.events import BORN, DIFFERENCE, TAKEN, Move
from lotroot.stock.standing import Range, cut, lines_of_lot, standings, totals, weights
from lotroot.work import Work

WHY = "counted"


def brought_back(work: Work, row: Row[Any], place: str, amount: int) -> tuple[Move, ...]:
    """The moves that stand a found lot, or its items, at a place. `amount` is for a lot without items."""
    rows = standings(work.connection, row.lot)
    rest = without(Span(row.first, row.last), [Span(one.first, one.last) for one in rows])
    if not rest:
        raise Refused(
            f"{shown(row.lot)} has been recorded as standing somewhere since the count.",
            value=row.lot,
            expected="Goods that stand nowhere by the record.",
            next_step="Nothing is to be brought back: choose that it was scanned by mistake.",
        )
    if not row.first:
        return (Move(row.lot, DIFFERENCE, place, _of_lot(work, row, amount), reason=WHY),)
    return tuple(move for span in rest for move in _of_items(work, row.lot, span, place))


def _of_lot(work: Work, row: Row[Any], amount: int) -> int:
    """What somebody weighed, now or in the count; else what is missing of it."""
    known = amount or row.weighed or totals(work.connection, row.lot).get(DIFFERENCE, 0)
    if known <= 0:
        raise Unreadable(
            f"Nobody has said how much of {shown(row.lot)} stands there.",
            value=str(amount),
            expected="Its net weight or count.",
            next_step="Weigh it and enter the number.",
        )
    return known


def _of_items(work: Work, lot: str, span: Span, place: str) -> list[Move]:
    """Each row of items with what it amounted to when it went."""
    lines = [one for one in lines_of_lot(work.connection, lot) if one.account != BORN and one.amount > 0]
    moves, left = [], [span]
    for line in reversed(lines):
        for part in [one for one in left if one.first <= line.last and one.last >= line.first]:
            gone = Span(max(part.first, line.first), min(part.last, line.last))
            _refuse_taken(lot, gone, line)
            whole = Range(line.first, line.last, line.amount)
            amount = cut(whole, weights(work.connection, lot, line.first, line.last), gone.first, gone.last)
            moves.append(Move(lot, DIFFERENCE, place, amount, gone.first, gone.last, reason=WHY))
            left = [*[one for one in left if one != part], *without(part, [gone])]
    if left:
        raise _never_packed(lot, joined(left)[0])
    return sorted(moves, key=lambda move: move.first)


def _never_packed(lot: str, span: Span) -> Refused:
    return Refused(
        f"Item {row_words(span.first, span.last)} of {shown(lot)} was never packed.",
        value=f"{shown(lot)}, {row_words(span.first, span.last)}",
        expected="Items that were made.",
        next_step="Record at the packing bench that it was packed, then leave this in question.",
    )


def _refuse_taken(lot: str, span: Span, line: Row[Any]) -> None:
    if line.account == TAKEN:
        raise Refused(
            f"Item {row_words(span.first, span.last)} of {shown(lot)} is recorded as used.",
            value=f"{shown(lot)}, {row_words(span.first, span.last)}",
            expected="Items that went nowhere.",
            next_step="Correct the input of the run that used it; then it stands again.",
        )
