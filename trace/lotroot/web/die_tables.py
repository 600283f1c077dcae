"""How do the dies of a set, what went through them and how they wear stand in tables and sentences?"""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise
from typing import Any

from sqlalchemy import Row

from lotroot.dies.fitting import percent
from lotroot.dies.handling import HOWS
from lotroot.theory.drawing import reduction_percent
from lotroot.theory.sizes import shown
from lotroot.tracing.wear import LEAST_READINGS, Read, RunThrough, Wear
from lotroot.tracing.words import Words
from lotroot.web.answers import count
from lotroot.web.cells import Table, column, link

TONNE = 1_000_000
KNOWN = (
    "Tonnes are of what was made while the set worked, divided by time where sets were changed in the "
    "middle; scrap is not in them. Kilometres follow from the size of each die. The wear is the straight "
    "line that lies nearest to the readings since the last die became another."
)


def dies_table(one: Wear, words: Words) -> Table:
    """Each die of a set: its size, what it reduces, since when it is there, what went through it."""
    cuts = ["", *_cuts([worn.die.size_mm for worn in one.dies])]
    rows = [
        {
            "place": str(worn.die.place),
            "size": worn.die.size_mm,
            "cut": cut,
            "since": words.time(worn.die.since) if worn.die.since else "not recut yet",
            "tonnes": tonnes(worn.through.mass_g),
            "km": f"{Decimal(worn.through.length_mm) / TONNE:.1f}",
        }
        for worn, cut in zip(one.dies, cuts, strict=True)
    ]
    columns = [
        column("Die", "place"),
        column("Size", "size", "mm"),
        column("Reduces by", "cut", "%"),
        column("In since", "since"),
        column("Mass through", "tonnes", "t"),
        column("Length through", "km", "km"),
    ]
    return Table(one.resource.name, columns, rows, "plant.toml does not tell the dies of this set.")


def _cuts(sizes: Sequence[str]) -> Iterator[str]:
    for before, die in pairwise(sizes):
        yield percent(reduction_percent(Decimal(before), Decimal(die))).removesuffix(" %")


def wear_words(one: Wear) -> str:
    """How fast the last die wears, when its change is due, and how that is known: one or two sentences."""
    if one.line is None:
        known = count(len(one.readings), "reading") if one.readings else "no reading"
        said = f"too few readings, {known} since it came in; {LEAST_READINGS} are needed"
        return f"Wear of the last die: {said}."
    opens = shown(one.line.mm_per_tonne * 1000, 2)
    spread = f", {shown(one.line.spread_mm * 1000, 0)} µm about the line" if one.line.spread_mm else ""
    known = f"{one.line.readings} readings{spread}"
    return f"The last die opens by {opens} µm a tonne ({known}). {due_words(one)}"


def due_words(one: Wear) -> str:
    """When the last die is to be changed, as far as it can be foreseen."""
    high = one.upper.high if one.upper is not None else None
    if one.upper is None or high is None:
        return "No upper limit of its wire is told, so no change can be foreseen."
    trust = " The limit is from memory and not confirmed." if one.upper.confidence == "memory" else ""
    if one.left_g is None:
        return f"It does not open, so no change is in sight before {high} mm.{trust}"
    if one.left_g == 0:
        return f"Its change is due: by this line the wire is {high} mm or more.{trust}"
    return f"Its change is due after another {tonnes(one.left_g)} t, when the wire is {high} mm.{trust}"


def tonnes(grams: int) -> str:
    """Grams as tonnes with three decimals."""
    return f"{Decimal(grams) / TONNE:.3f}"


def readings_table(some: Sequence[Read], words: Words) -> Table:
    """What was read of the wire since the last die came in, the latest first: what the wear is known by."""
    rows = [
        {
            "lot": link(one.lot),
            "at": words.time(one.at),
            "size": one.size_mm,
            "tonnes": tonnes(one.through_g),
        }
        for one in reversed(some)
    ]
    columns = [
        column("Wire", "lot"),
        column("Read", "at"),
        column("Diameter", "size", "mm"),
        column("Mass through", "tonnes", "t"),
    ]
    return Table("Diameters read since the last die came in", columns, rows, "None was read.")


def runs_table(some: Sequence[RunThrough], words: Words) -> Table:
    """The runs that a set drew in, the latest first."""
    rows = [
        {
            "run": link(one.run),
            "since": words.time(one.since),
            "until": words.time(one.until),
            "tonnes": tonnes(one.mass_g),
        }
        for one in reversed(some)
    ]
    columns = [
        column("Run", "run"),
        column("From", "since"),
        column("Until", "until"),
        column("Drawn", "tonnes", "t"),
    ]
    return Table("Runs that it drew in", columns, rows, "Nothing was drawn with it.")


def recuts_table(some: Sequence[Row[Any]], words: Words) -> Table:
    """What became of the dies of a set, the latest first."""
    rows = [
        {
            "at": words.time(row.at),
            "place": str(row.place),
            "was": row.was_mm,
            "size": row.size_mm,
            "how": HOWS.get(row.how, row.how),
            "who": words.called(row.person),
            "words": row.words,
        }
        for row in reversed(some)
    ]
    columns = [
        column("When", "at"),
        column("Die", "place", ""),
        column("Before", "was", "mm"),
        column("Now", "size", "mm"),
        column("How", "how"),
        column("Who", "who"),
        column("Remark", "words"),
    ]
    return Table("Dies recut, moved or replaced", columns, rows, "No die of it was recut yet.")
