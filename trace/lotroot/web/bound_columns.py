"""How do least and most stand in a table of a lineage, and what do they mean in plain words?"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from lotroot.processes.definition import Plant
from lotroot.tracing.between import Bound
from lotroot.web.cells import column, several

OPEN = (
    "The parts shown are what is expected, by proportion. However things really mixed, what was recorded "
    'fits nothing below "at least" and nothing above "at most".'
)
WIDER = (
    'Where the bound is "outer", the two could be closer: wire or sheet was taken in parts, an amount is '
    "not known, more came out than went in, or there was too much to work out."
)

Row = Sequence[tuple[str, Bound]]
"""The bounds of one row, each with its unit."""


class Bounded(NamedTuple):
    """The columns and, row by row, their cells; both are empty where no bounds were asked for."""

    columns: list[dict[str, Any]]
    cells: list[dict[str, Any]]


def bounded(rows: Iterable[Row], plant: Plant | None) -> Bounded:
    """Three columns for some rows."""
    some = list(rows)
    if not any(some):
        return Bounded([], [{} for _ in some])
    least = several([[(bound.least, unit) for unit, bound in row] for row in some], plant)
    most = several([[(bound.most, unit) for unit, bound in row] for row in some], plant)
    cells = [
        {"least": low, "most": high, "bound": ", ".join(dict.fromkeys(bound.word for _, bound in row))}
        for row, low, high in zip(some, least.texts, most.texts, strict=True)
    ]
    columns = [
        column("At least", "least", least.unit),
        column("At most", "most", most.unit),
        column("Bound", "bound"),
    ]
    return Bounded(columns, cells)


def explained(some: Iterable[Mapping[str, Bound]]) -> str:
    """What the columns mean, as far as anything in them is open."""
    every = [bound for bounds in some for bound in bounds.values()]
    if all(bound.exact and bound.least == bound.most for bound in every):
        return ""
    return OPEN if all(bound.exact for bound in every) else f"{OPEN} {WIDER}"
