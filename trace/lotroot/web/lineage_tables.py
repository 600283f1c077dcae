"""Which sources is this of, and what became of it: how does a lineage stand in tables?

Shares are of the asked amount, stream by stream. A table shows so many rows; the file beside it has all.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from markupsafe import Markup
from sqlalchemy import Connection

from lotroot.tracing import Kinsman, Lineage, Shipped
from lotroot.tracing.chapters import SourceFacts
from lotroot.tracing.lineage import Older
from lotroot.tracing.lot_facts import source_facts_of
from lotroot.tracing.words import Words
from lotroot.web.bound_columns import bounded
from lotroot.web.cells import Table, amounts, column, link, tag, together
from lotroot.web.told import Told

MOST = 60
BEFORE = "before the system"
GAP = "not recorded"
NOT_FOLLOWED = "not followed further"


def sources_table(connection: Connection, up: Told) -> Table:
    """The lots the asked goods came from in the end, one row a stream, with its share of it."""
    ends, older = up.lineage.ends, up.lineage.older
    origins = source_facts_of(connection, [one.lot.number for one in ends], up.words)
    some: list[tuple[Kinsman | Older, Mapping[str, Any]]] = []
    if older:  # first, for only so many rows are shown
        some.append((older, {"supplier": NOT_FOLLOWED, "product": "", "supplied": "", "heat": ""}))
    some += [
        (one, {**_origin(origins.get(one.lot.number), one), "product": up.product(one.lot.number)})
        for one in ends
    ]
    totals = _totals(one for one, _ in some)
    pairs = [(*each, stream, part) for each in some for stream, part in sorted(each[0].part.items())]
    given = amounts([(part, up.asked_unit(stream)) for *_, stream, part in pairs], up.words.plant)
    bounds = bounded(
        (
            [(up.asked_unit(stream), one.bounds[stream])]
            if isinstance(one, Kinsman) and stream in one.bounds
            else []
            for one, _, stream, _ in pairs
        ),
        up.words.plant,
    )
    rows = [
        {
            "lot": _older(one, up.words) if isinstance(one, Older) else _tagged(one),
            **what,
            "stream": stream,
            "given": text,
            "share": _percent(part, totals[stream]),
            **cells,
            "basis": one.basis,
        }
        for (one, what, stream, part), text, cells in zip(pairs, given.texts, bounds.cells, strict=True)
    ]
    columns = [
        column("Source", "lot"),
        column("What it is", "product"),
        column("Supplier", "supplier"),
        column("Supplier's number", "supplied"),
        column("Heat", "heat"),
        *([column("Of its", "stream")] if len(totals) > 1 else []),
        column("Gave of this", "given", given.unit),
        column("Share", "share", "%"),
        *bounds.columns,
        column("How it is known", "basis"),
    ]
    return _table("Sources", columns, rows, "Nothing is recorded of where it came from.")


def on_hand_table(down: Told) -> Table:
    """What of it stands in the plant now, and how much of the asked is in that."""
    some, held = down.lineage.on_hand, {one.lot.number for one in down.lineage.lots if one.held}
    standing = amounts([(one.amount, one.unit) for one in some], down.words.plant)
    within = down.parts((one.lot, one.unit, one.part) for one in some)
    bounds = down.bounds((one.lot, one.unit, one.bounds) for one in some)
    rows = [
        {
            "lot": together([link(one.lot), tag("held", "stop") if one.lot in held else ""]),
            "product": down.product(one.lot),
            "place": down.words.called(one.place),
            "stands": stands,
            "part": part,
            **cells,
        }
        for one, stands, part, cells in zip(some, standing.texts, within.texts, bounds.cells, strict=True)
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column("Where", "place"),
        column("Stands there", "stands", standing.unit),
        column(down.part_words, "part", within.unit),
        *bounds.columns,
    ]
    return _table("On hand", columns, rows, "Nothing of it is in the plant any more.")


def shipped_table(down: Told) -> Table:
    """What of it left, to whom, and what came back."""
    left, plant, words = down.lineage.shipments, down.words.plant, down.words
    out = amounts([(one.amount, one.unit) for one in left], plant)
    within = down.parts((_first_lot(one), one.unit, one.part) for one in left)
    bounds = down.bounds((_first_lot(one), one.unit, one.bounds) for one in left)
    back = amounts([(one.returned, one.unit) for one in left], plant)
    rows = [
        {
            "shipment": link(one.shipment),
            "customer": words.party(one.customer),
            "carriers": together((link(number, words.called(number)) for number in one.carriers[:8]), ", "),
            "out": shipped,
            "part": part,
            **cells,
            "back": came if one.returned else "",
        }
        for one, shipped, part, cells, came in zip(
            left, out.texts, within.texts, bounds.cells, back.texts, strict=True
        )
    ]
    columns = [
        column("Shipment", "shipment"),
        column("Customer", "customer"),
        column("On pallet", "carriers"),
        column("Shipped", "out", out.unit),
        column(down.part_words, "part", within.unit),
        *bounds.columns,
        column("Came back", "back", back.unit),
    ]
    return _table("Left to customers", columns, rows, "Nothing of it has left the plant.")


def made_table(down: Told) -> Table:
    """Every lot that was made of it, nearest first."""
    lots = [one for one in down.lineage.lots if one.depth]
    own = amounts([(one.lot.amount, one.lot.unit) for one in lots], down.words.plant)
    within = down.parts((one.lot.number, one.lot.unit, one.part) for one in lots)
    bounds = down.bounds((one.lot.number, one.lot.unit, one.bounds) for one in lots)
    rows = [
        {
            "lot": _tagged(one),
            "product": down.product(one.lot.number),
            "steps": str(one.depth),
            "own": amount,
            "part": part,
            **cells,
            "basis": one.basis,
        }
        for one, amount, part, cells in zip(lots, own.texts, within.texts, bounds.cells, strict=True)
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column("Steps away", "steps", ""),
        column("Its amount", "own", own.unit),
        column(down.part_words, "part", within.unit),
        *bounds.columns,
        column("How it is known", "basis"),
    ]
    return _table("Every lot made of it", columns, rows, "Nothing was made of it.")


def summary(up: Lineage, down: Lineage, words: Words) -> str:
    """The sentence before the tables: of how many sources it is, and where all that is of it went."""
    ends = up.ends
    held = sum(one.held for one in ends)
    said = []
    if any(one.depth for one in up.lots):
        said.append(f"It comes of {_count(len(ends), 'source')}{f', {held} of them held' if held else ''}.")
    if up.older:
        said.append(not_followed(up.older, words))
    lots = made_of(down)
    if lots:
        said.append(f"{_count(lots, 'lot')} {'was' if lots == 1 else 'were'} made of it.")
    all_of_it = "Of all that, some stands" if lots else "Some stands" if down.shipments else "It stands"
    return " ".join([*said, *went(down, words, all_of_it)])


def not_followed(older: Older, words: Words) -> str:
    """What a long answer leaves out, in a sentence."""
    before = words.time(older.before)
    return f"What was made before {before} is not followed further and counts as one. Holds always are."


def made_of(down: Lineage) -> int:
    """How many lots were made of what was asked."""
    return sum(bool(one.depth) for one in down.lots)


def went(down: Lineage, words: Words, begin: str = "Of all that, some stands") -> list[str]:
    """Where all that is of it is now, in a sentence or two; `begin` is what the first says of how much."""
    said = []
    places = sorted({words.called(one.place) for one in down.on_hand})
    if places:
        said.append(f"{begin} at {_listed(places)}.")
    customers = sorted({words.party(one.customer) for one in down.shipments})
    if customers:
        said.append(f"{'Some' if places else 'It'} left to {_listed(customers)}.")
    return said


def _table(caption: str, columns: list[dict[str, Any]], rows: list[dict[str, Any]], empty: str) -> Table:
    note = f"{len(rows) - MOST} more are in the file." if len(rows) > MOST else ""
    return Table(caption, columns, rows[:MOST], empty, note)


def _first_lot(one: Shipped) -> str:
    return one.lots[0] if one.lots else ""


def _listed(names: list[str]) -> str:
    more = f" and {len(names) - 5} more" if len(names) > 5 else ""
    return ", ".join(names[:5]) + more


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _older(older: Older, words: Words) -> Markup:
    return together([f"Made before {words.time(older.before)}", tag("held", "stop") if older.held else ""])


def _totals(ends: Iterable[Kinsman | Older]) -> Mapping[str, int]:
    found: dict[str, int] = {}
    for one in ends:
        for stream, part in one.part.items():
            found[stream] = found.get(stream, 0) + part
    return found


def _percent(part: int, whole: int) -> str:
    return f"{Decimal(100 * part) / Decimal(whole):.1f}" if whole else ""


def _tagged(one: Kinsman) -> Markup:
    tags = [tag("held", "stop") if one.held else "", tag("gap") if one.gap else ""]
    return together([link(one.lot.number), *tags])


def _origin(source: SourceFacts | None, one: Kinsman) -> dict[str, str]:
    if source is None or not source.supplier.name:
        return {"supplier": GAP if one.gap else BEFORE, "supplied": "", "heat": _heats(source)}
    return {"supplier": source.supplier.name, "supplied": source.supplier_number, "heat": _heats(source)}


def _heats(source: SourceFacts | None) -> str:
    return ", ".join(source.heats) if source else ""
