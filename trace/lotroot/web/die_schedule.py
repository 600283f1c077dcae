"""Which row of dies would draw a rod to a wire: what is asked, and how does the answer stand on the page?"""

from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

from lotroot.dies.fitting import percent
from lotroot.errors import LotrootError, Question, Unreadable
from lotroot.quantities import read_number
from lotroot.theory.die_schedule import equal_schedule, tapered_schedule
from lotroot.theory.drawing import Limits, Row, check_dies, growth, heaviest_percent
from lotroot.theory.gauges import Size, read_size
from lotroot.theory.sizes import shown
from lotroot.theory.wire import diameter, mg_per_m
from lotroot.web.cells import Table, column

FIELDS = ("rod", "wire", "most", "taper")
TAPERS = {"equal": "Equal drafts", "tapered": "Tapered: the last strain is 0.8 of the first"}
TAPER = Decimal("0.8")
"""What the last draft strains over the first, where the row is tapered: our own choice, common practice."""
MOST_IN_ALL = Decimal("99.9")


class Proposal(NamedTuple):
    """A row of dies that would draw the rod to the wire."""

    rod: Size
    wire: Size
    row: Row


class WrongField(Exception):
    """A field of the form cannot be used; `error` says what would fit."""

    def __init__(self, field: str, error: LotrootError) -> None:
        super().__init__(field)
        self.field, self.error = field, error


def proposed(asked: Mapping[str, str], most_in_all: Decimal = MOST_IN_ALL) -> Proposal:
    """The row for what was typed. Raises WrongField."""
    rod, wire = _size(asked, "rod", "Rod"), _size(asked, "wire", "Wire")
    if wire.mm >= rod.mm:
        raise WrongField("wire", _too_thick(rod, wire, asked["wire"]))
    most = _percent(asked["most"])
    try:
        limits = Limits(Decimal(0), most, max(most, most_in_all))
    except LotrootError as error:
        raise WrongField("most", error) from error
    if asked["taper"] not in TAPERS:
        raise WrongField("taper", _no_taper(asked["taper"]))
    try:
        tapered = asked["taper"] == "tapered"
        dies = (
            tapered_schedule(rod.mm, wire.mm, limits, TAPER)
            if tapered
            else equal_schedule(rod.mm, wire.mm, limits)
        )
    except LotrootError as error:
        raise WrongField("wire", error) from error
    return Proposal(rod, wire, check_dies(rod.mm, dies, limits))


def _no_taper(typed: str) -> Unreadable:
    return Unreadable(
        f"How the drafts go: “{typed[:40]}” is not known.",
        value=typed[:40],
        expected=f"One of: {', '.join(TAPERS)}.",
        next_step="Choose one.",
    )


def _too_thick(rod: Size, wire: Size, typed: str) -> Unreadable:
    return Unreadable(
        f"Wire: {wire.shown} cannot be drawn from rod of {rod.shown}.",
        value=typed,
        expected=f"Expected less than {rod.shown}; a gauge is typed with its system, such as 12 BWG.",
        next_step="Correct one of the two.",
    )


def _size(asked: Mapping[str, str], field: str, name: str) -> Size:
    try:
        found = read_size(asked[field], name)
        diameter(found.mm, name.lower())
    except Question as question:
        expected = " or ".join(question.choices.values())
        error = Unreadable(
            f"{name}: {asked[field]} can be read in two ways.",
            value=asked[field],
            expected=f"{expected}.",
            next_step="Type all digits, or none behind the mark.",
        )
        raise WrongField(field, error) from None
    except LotrootError as error:
        raise WrongField(field, error) from error
    return found


def _percent(text: str) -> Decimal:
    try:
        return read_number(text, Decimal(20))
    except LotrootError as error:
        fits = Unreadable(
            f"Most reduction of a draft: {error.what}",
            value=text,
            expected=f"A number above 0 and below {shown(heaviest_percent(), 1)}, in percent.",
            next_step="Type it again.",
        )
        raise WrongField("most", fits) from error


def schedule_table(found: Proposal) -> Table:
    """The drafts of a proposal with what each does."""
    rows = [
        {
            "place": str(draft.place),
            "die": f"{draft.die_mm:.3f}",
            "cut": percent(draft.reduction_percent).removesuffix(" %"),
            "growth": f"{growth(found.rod.mm, draft.die_mm):.2f}",
            "mass": f"{mg_per_m(draft.die_mm) / 1000:.1f}",
        }
        for draft in found.row.drafts
    ]
    columns = [
        column("Draft", "place"),
        column("Die", "die", "mm"),
        column("Reduces by", "cut", "%"),
        column("From 1 m of rod", "growth", "m"),
        column("Mass", "mass", "kg/km"),
    ]
    said = f"{found.rod.shown} to {found.wire.shown}"
    whole = percent(found.row.total_percent)
    note = f"{whole} in all. A proposal: dies are made in the sizes the plant keeps, and the wire decides."
    return Table(f"Dies from {said}", columns, rows, note=note)
