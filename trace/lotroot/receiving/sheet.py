"""What is a supplier's packing list, once it is read?"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Choices:
    """What a person adds that a list does not tell.

    `unit` of its masses (kg, t, lb), `usual` mass of one piece in g, `columns` the field by a heading.
    """

    unit: str = ""
    usual: int = 0
    columns: Mapping[str, str] = field(default_factory=dict)


NO_CHOICES = Choices()


@dataclass(frozen=True)
class ListRow:
    """One piece, as its row reads. `mass_theirs` in g and `pieces` are 0 where none is told or read."""

    line: int
    supplier_number: str
    heats: tuple[str, ...] = ()
    mass_theirs: int = 0
    pieces: int = 0
    grade: str = ""
    size: str = ""
    order_number: str = ""
    product: str = ""
    remark: str = ""
    paint_batch: str = ""


@dataclass(frozen=True)
class ListFault:
    """Why a row cannot be received as it stands: row, the heading of the column, what stands there."""

    line: int
    column: str
    value: str
    expected: str


@dataclass(frozen=True)
class Sheet:
    """A packing list as it was read; rows are numbered as a spreadsheet shows them.

    `columns` are the headings by field, `ignored` the headings that fill none, `skipped` rows of words
    (line, text), `total` the mass in g that the list itself adds up to, 0 where it does not tell.
    """

    rows: tuple[ListRow, ...]
    faults: tuple[ListFault, ...]
    columns: Mapping[str, str]
    ignored: tuple[str, ...]
    skipped: tuple[tuple[int, str], ...]
    total: int
    encoding: str
    separator: str

    @property
    def mass(self) -> int:
        """The sum of the rows' masses, in g."""
        return sum(row.mass_theirs for row in self.rows)
