"""Do goods of two paint batches, whose colours may differ, come onto one pallet?

Packing decides, so it is asked before it is recorded. Known batches only.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Row

from lotroot.genealogy.known_above import PAINT_BATCH, known_of_all
from lotroot.goods import Goods
from lotroot.identity.showing import shown
from lotroot.stock.standing import at_spot
from lotroot.work import Work

CHOICES = {"yes": "Yes, put it on all the same"}


def ask_paint(work: Work, carrier: Row[Any], parts: Iterable[Goods]) -> None:
    """Ask once where a pallet would hold a second paint batch; agreed to, it is in question."""
    if carrier.reusable:
        return
    new = known_of_all(
        work.connection, [(part.lot.number, part.first, part.last) for part in parts], PAINT_BATCH
    )
    there = _on(work, carrier.number) if new else frozenset()
    if new <= there or len(new | there) < 2:
        return
    holds = f"Pallet {shown(carrier.number)} holds {_words(there)}, this" if there else "This"
    work.ask("paint-batches", f"{holds} is of {_words(new)}: colours may differ. Put it on?", CHOICES)
    work.put_in_question(carrier.number, f"It holds {_words(new | there)}: colours may differ.")


def ask_restacked(work: Work, number: str, carriers: Sequence[Row[Any]]) -> None:
    """Ask once where pallets of different paint batches go onto one new pallet, as above."""
    each = [_on(work, carrier.number) for carrier in carriers]
    together = frozenset().union(*each)
    if together in each or len(together) < 2:
        return
    text = f"These pallets hold {_words(together)}: colours may differ. Stack them on one?"
    work.ask("paint-batches", text, {"yes": "Yes, stack them on one"})
    work.put_in_question(number, f"It holds {_words(together)}: colours may differ.")


def _on(work: Work, carrier: str) -> frozenset[str]:
    rows = at_spot(work.connection, carrier)
    return known_of_all(work.connection, [(row.lot, row.first, row.last) for row in rows], PAINT_BATCH)


def _words(batches: frozenset[str]) -> str:
    return f"paint batch{'es' if len(batches) > 1 else ''} {' and '.join(sorted(batches))}"
