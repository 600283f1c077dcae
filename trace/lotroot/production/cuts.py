"""How was a bundle cut, and how is that said?"""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, and_, bindparam, select

from lotroot.processes.definition import Plant
from lotroot.production.cut_facts import Cut
from lotroot.production.cut_lists import length_of, pieces_of
from lotroot.production.tables import item_cut, run_output
from lotroot.quantities import THIN_SPACE, show_amount

_lines = (
    select(
        item_cut.c.run,
        item_cut.c.seq,
        item_cut.c.serial,
        item_cut.c.count.label("pieces"),
        item_cut.c.length_mm,
        run_output.c.own,
    )
    .join(run_output, and_(item_cut.c.run == run_output.c.run, item_cut.c.seq == run_output.c.seq))
    .where(run_output.c.voided == 0)
    .order_by(item_cut.c.run, item_cut.c.seq, item_cut.c.line)
)
_of_run = _lines.where(item_cut.c.run == bindparam("run"))
_of_lot = _lines.where(item_cut.c.lot == bindparam("lot"))


def cuts_of_run(connection: Connection, run: str) -> dict[int, tuple[Cut, ...]]:
    """The cut lists that stand in a run, by output.

    One taken back is left out, and one whose bundle was corrected to another count: it no longer holds.
    """
    return _standing(connection.execute(_of_run, {"run": run}), "seq")


def cuts_of_lot(connection: Connection, lot: str) -> dict[int, tuple[Cut, ...]]:
    """The cut lists that stand of a lot, by serial, as `cuts_of_run` has them."""
    return _standing(connection.execute(_of_lot, {"lot": lot}), "serial")


def _standing(rows: Iterable[Any], key: str) -> dict[int, tuple[Cut, ...]]:
    found: dict[int, tuple[Cut, ...]] = {}
    own: dict[int, int] = {}
    for row in rows:
        which = getattr(row, key)
        found[which] = (*found.get(which, ()), Cut(row.pieces, row.length_mm))
        own[which] = row.own
    return {which: cuts for which, cuts in found.items() if pieces_of(cuts) == own[which]}


def cut_words(cuts: Sequence[Cut], plant: Plant | None) -> str:
    """The lines as people say them: 24 x 3.6 m, 12 x 2.4 m."""
    return ", ".join(f"{cut.count} x {_shown(cut.length_mm, plant)}" for cut in cuts)


def cut_words_short(cuts: Sequence[Cut], plant: Plant | None) -> str:
    """The lines as they are typed, for a label: 24x3.6 12x2.4 m."""
    pairs = [(cut.count, *_shown(cut.length_mm, plant).rpartition(THIN_SPACE)) for cut in cuts]
    unit = pairs[0][3] if pairs else ""
    return " ".join([*(f"{count}x{figure}" for count, figure, *_ in pairs), unit])


def cut_and_sums(cuts: Sequence[Cut], plant: Plant | None, product: str) -> str:
    """The lines and what they come to: 24 x 3.6 m, 12 x 2.4 m; 115.2 m, 115.2 m2 at 1 m cover."""
    return f"{cut_words(cuts, plant)}; {cut_sums(cuts, plant, product)}"


def cut_sums(cuts: Sequence[Cut], plant: Plant | None, product: str) -> str:
    """All pieces end to end, and what they cover: 115.2 m, 115.2 m2 at 1 m cover.

    A cover area is shown, never an amount: it is the length by the product's width, two decimals of a m2.
    """
    total = length_of(cuts)
    known = plant.products.get(product) if plant is not None else None
    if known is None or not known.width_mm:
        return _shown(total, plant)
    width = Decimal(known.width_mm)
    area = f"{(total * width / 1_000_000).quantize(Decimal('0.01')).normalize():f}"
    cover = f"{(width / 1_000).normalize():f}"
    return f"{_shown(total, plant)}, {area} m2 at {cover} m cover"


def _shown(length_mm: int, plant: Plant | None) -> str:
    return show_amount(length_mm, "mm", plant.units.get("mm", "m") if plant is not None else "m")
