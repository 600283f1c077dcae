"""What does a supplier's packing list say, row by row, and which rows cannot be read?

Nothing is decided here and nothing recorded: `read_list` shows every row as it will be read and names
every bad one, so that a person can look before the delivery is received, all of it or nothing.
"""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from lotroot.errors import Unreadable
from lotroot.genealogy.lots import as_alias
from lotroot.quantities import show_amount
from lotroot.receiving.delimited import MOST_ROWS, Grid, grid
from lotroot.receiving.details import MOST_HEATS, heats_in, longest
from lotroot.receiving.figures import Figure, figure, settled
from lotroot.receiving.headings import Columns, columns, is_total, plain, unit_of
from lotroot.receiving.sheet import NO_CHOICES, Choices, ListFault, ListRow, Sheet

HEADING_WITHIN = 30
"""Rows from the top in which the headings are looked for: letters and addresses stand above them."""

TOTAL_PERMILLE = 1
"""How far a total may be from the sum of its rows: they are often rounded to whole kilograms."""

TEXTS = ("grade", "size", "order_number", "product", "remark", "paint_batch")
FIGURES = {"mass": "kg", "pieces": "pcs"}

_CUT = re.compile("[0-9]+(?:[.,][0-9]+)?E[+][0-9]+", re.IGNORECASE)


class _Line(NamedTuple):
    """A row of the file by the number a spreadsheet shows."""

    number: int
    cells: tuple[str, ...]


class _List(NamedTuple):
    """A list taken apart: its headings, and its rows by what they are."""

    headings: tuple[str, ...]
    columns: Columns
    unit: str
    pieces: list[_Line]
    totals: list[_Line]
    skipped: list[_Line]

    def cell(self, line: _Line, name: str) -> str:
        """What a row says in the column of a field; nothing where there is none."""
        place = self.columns.at.get(name, len(line.cells))
        return line.cells[place] if place < len(line.cells) else ""

    def heading(self, name: str) -> str:
        """What stands above the column of a field."""
        return self.headings[self.columns.at[name]] if name in self.columns.at else ""

    def fault(self, line: _Line, name: str, expected: str) -> ListFault:
        """A fault in the column of a field."""
        return ListFault(line.number, self.heading(name), self.cell(line, name), expected)


class _Column(NamedTuple):
    """The figures of a column, and what each means."""

    figures: list[Figure]
    amounts: list[int | None]


def read_list(content: bytes, choices: Choices = NO_CHOICES) -> Sheet:
    """What a packing list says. Raises Unreadable where it is no list at all."""
    found = grid(content, lambda each: _headed(each, choices)[1])
    start, fitting = _headed(found, choices)
    if not fitting:
        raise _no_headings(found)
    parts = _taken_apart(found, start, choices)
    if not 1 <= len(parts.pieces) <= MOST_ROWS:
        raise _unfit("The list cannot be taken.", f"{len(parts.pieces)} pieces", f"1 to {MOST_ROWS} pieces.")
    read = {name: _column(parts, name, choices) for name in FIGURES if name in parts.columns.at}
    rows = tuple(_row(parts, place, read) for place in range(len(parts.pieces)))
    total, wrong_total = _total(parts, rows, read)
    faults = [fault for place in range(len(rows)) for fault in _faults(parts, place, read)]
    faults += [*_doubles(parts, rows), *wrong_total]
    used = set(parts.columns.at.values())
    return Sheet(
        rows=rows,
        faults=tuple(sorted(faults, key=lambda fault: fault.line)),
        columns={name: parts.heading(name) for name in parts.columns.at},
        ignored=tuple(cell for place, cell in enumerate(parts.headings) if cell and place not in used),
        skipped=tuple((line.number, " ".join(filter(None, line.cells))) for line in parts.skipped),
        total=total,
        encoding=found.encoding,
        separator=found.separator,
    )


def _headed(found: Grid, choices: Choices) -> tuple[int, int]:
    """The row of the headings and how many fields they name; 0 fields where no row can be theirs."""
    ranked = []
    for place, cells in enumerate(found.rows[:HEADING_WITHIN]):
        named = columns(cells, choices.columns)
        ranked.append((len(named.at) if named.usable else 0, -place))
    fitting, place = max(ranked, default=(0, 0))
    return -place, fitting


def _taken_apart(found: Grid, start: int, choices: Choices) -> _List:
    headings = found.rows[start]
    named = columns(headings, choices.columns)
    parts = _List(headings, named, named.unit or choices.unit, [], [], [])
    for number, cells in enumerate(found.rows[start + 1 :], start=start + 2):
        line = _Line(number, cells)
        filled = [cell for cell in cells if cell]
        if not filled or cells == headings:
            continue
        if _tells_units(filled):
            parts = parts._replace(unit=unit_of(parts.cell(line, "mass")) or parts.unit)
        elif is_total(filled[0]) or is_total(parts.cell(line, "supplier_number")):
            parts.totals.append(line)
        elif len(filled) == 1 and (not parts.cell(line, "supplier_number") or _is_words(filled[0])):
            parts.skipped.append(line)
        else:
            parts.pieces.append(line)
    return parts


def _tells_units(filled: Sequence[str]) -> bool:
    """Whether a row under the headings holds nothing but units."""
    others = ("mm", "m", "pcs", "stk", "")
    return all(unit_of(cell) or plain(cell) in others for cell in filled)


def _is_words(text: str) -> bool:
    """Whether a cell alone in its row is a remark of the sender's: no piece has a number without digits."""
    return not any(sign.isdigit() for sign in text)


def _column(parts: _List, name: str, choices: Choices) -> _Column:
    own = "pcs" if name == "pieces" else parts.unit
    figures = [
        figure(
            parts.cell(line, name), (own if name == "pieces" else unit_of(parts.cell(line, "unit"))) or own
        )
        for line in parts.pieces
    ]
    return _Column(figures, settled(figures, choices.usual if name == "mass" else 0))


def _row(parts: _List, place: int, read: dict[str, _Column]) -> ListRow:
    line = parts.pieces[place]
    amounts = {name: column.amounts[place] or 0 for name, column in read.items()}
    return ListRow(
        line=line.number,
        supplier_number=parts.cell(line, "supplier_number"),
        heats=heats_in([parts.cell(line, "heats")]),
        mass_theirs=amounts.get("mass", 0),
        pieces=amounts.get("pieces", 0),
        **{name: parts.cell(line, name) for name in TEXTS},
    )


def _faults(parts: _List, place: int, read: dict[str, _Column]) -> Iterator[ListFault]:
    """What is wrong with one row by itself."""
    line = parts.pieces[place]
    width = max(place for place, heading in enumerate(parts.headings, start=1) if heading)
    beyond = [cell for cell in line.cells[width:] if cell]
    if beyond:  # as when a comma parts cells and decimals alike
        yield ListFault(line.number, "", "; ".join(beyond), f"at most {width} cells, as there are headings")
    number = parts.cell(line, "supplier_number")
    if not number or _CUT.fullmatch(number):
        yield parts.fault(line, "supplier_number", "the number on the tag, kept as text by the spreadsheet")
    for name in ("supplier_number", "heats", *TEXTS):
        most = longest(name)
        if len(parts.cell(line, name)) > most:
            yield parts.fault(line, name, f"at most {most} characters")
    if len(heats_in([parts.cell(line, "heats")])) > MOST_HEATS:
        yield parts.fault(line, "heats", f"at most {MOST_HEATS} heats")
    told = [name for name in read if parts.cell(line, name)]
    for name in told or list(read)[:1]:
        if not read[name].amounts[place]:
            yield parts.fault(line, name, _expected(read[name].figures[place]))


def _expected(one: Figure) -> str:
    if len(one.readings) == 2:
        low, high = one.readings
        return f"{_kg(low)} or {_kg(high)}: write it with another number of decimals"
    return one.fault or "more than 0"


def _doubles(parts: _List, rows: Sequence[ListRow]) -> Iterator[ListFault]:
    """Rows whose number stands in a row above them."""
    first: dict[str, int] = {}
    for line, row in zip(parts.pieces, rows, strict=True):
        name = as_alias(row.supplier_number)
        if name and name in first:
            yield parts.fault(line, "supplier_number", f"a number that is not in row {first[name]} already")
        first.setdefault(name, row.line)


def _total(parts: _List, rows: Sequence[ListRow], read: dict[str, _Column]) -> tuple[int, list[ListFault]]:
    """What the list adds up to by its own total, and a fault for each total that its rows do not make.

    A total is that of all rows above it, or of those since the total before.
    """
    total, faults, before = 0, [], 0
    if "mass" not in read or None in read["mass"].amounts:
        return 0, []
    for line in parts.totals:
        told = figure(parts.cell(line, "mass"), parts.unit)
        if not told.readings:
            continue
        above = sum(row.mass_theirs for row in rows if row.line < line.number)
        since = sum(row.mass_theirs for row in rows if before < row.line < line.number)
        near = [each for each in told.readings if _is_near(each, above) or _is_near(each, since)]
        total = near[0] if near else told.readings[0]
        if not near:
            faults.append(parts.fault(line, "mass", f"{_kg(above)}, the sum of the rows above it"))
        before = line.number
    return (total if _is_near(total, sum(row.mass_theirs for row in rows)) or faults else 0), faults


def _is_near(total: int, summed: int) -> bool:
    return abs(total - summed) * 1000 <= summed * TOTAL_PERMILLE


def _kg(amount: int) -> str:
    return show_amount(amount, "g", "kg")


def _no_headings(found: Grid) -> Unreadable:
    top = next((row for row in found.rows if any(row)), ())
    return _unfit(
        "The headings of the list were not understood.",
        "; ".join(filter(None, top))[:80],
        "A row that names at least the supplier's number and the mass or the pieces.",
    )


def _unfit(what: str, value: str, expected: str) -> Unreadable:
    return Unreadable(
        what, value=value, expected=expected, next_step="Correct the list, or receive piece by piece."
    )
