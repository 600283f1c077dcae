"""How much of a label may be spoiled before its number can no longer be scanned?

Labels of every layout with numbers drawn by chance are rendered, spoiled in each way and read again. What
a reader gives back is judged as the program judges a scan: a text that is no number of ours is refused by
its check digits, two different numbers in one picture are a dispute and neither is taken, and one number
that is not the label's is wrong: that must never be.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from random import Random
from typing import Any, NamedTuple

from lotroot_printing import png
from lotroot_printing.compose import compose
from lotroot_printing.damage import DAMAGES, Case, Clean, Damage, module_of
from lotroot_printing.layout import Layout
from lotroot_printing.scanning import scan

from lotroot.errors import LotrootError
from lotroot.identity import LOT_FAMILIES, Badge, ItemNumber, Number, read
from lotroot.labelling.rendering import layout_named
from lotroot.settings import data_folder

GOAL = 0.99
"""The part of labels of which at least one symbol has to be read, for each damage."""


class Stated(NamedTuple):
    """A lower goal of one damage, and why it is lower."""

    goal: float
    why: str


_CROSSED = (
    "one straight line can cross the bars from top to bottom and run on through the square symbol, and is "
    "wider than its modules; only a third symbol, off that line, would be left"
)
STATED = {name: Stated(0.95, _CROSSED) for name in ("scratch 1 mm, white", "scratch 1 mm, black")}
"""Damages of which less is asked, measured on the shipped layouts."""

_BADGE, _ITEM = 14, 17  # digits of a badge; characters of an item's number
_UNMARKED = ("copy", "mark")


@dataclass
class Cell:
    """What became of the labels of one layout under one damage, out of `labels`.

    `symbols` counts per symbology the labels on which it was read right, `one` those on which at least one
    was; `refused` are texts that are no number, `disputed` pictures with two numbers, `wrong` wrong numbers.
    """

    layout: str
    dpi: int
    damage: str
    labels: int = 0
    symbols: Counter[str] = field(default_factory=Counter)
    one: int = 0
    refused: int = 0
    disputed: int = 0
    wrong: int = 0

    @property
    def stated(self) -> Stated:
        """The goal that is asked of it, and why where it is a lower one."""
        return STATED.get(self.damage, Stated(GOAL, ""))

    @property
    def good(self) -> bool:
        """Whether enough labels were read, and none wrong."""
        return not self.wrong and self.one >= self.stated.goal * self.labels

    def add(self, other: "Cell") -> None:
        """Take in what another part of the same labels gave."""
        self.symbols.update(other.symbols)
        self.labels += other.labels
        self.one += other.one
        self.refused += other.refused
        self.disputed += other.disputed
        self.wrong += other.wrong

    def as_json(self) -> dict[str, Any]:
        """The counts by name."""
        return {**asdict(self), "symbols": dict(self.symbols), **self.stated._asdict(), "good": self.good}


class Task(NamedTuple):
    """So many labels of one layout at one resolution, from the one with this turn on."""

    layout: str
    dpi: int
    first: int
    labels: int
    seed: int = 1


def shipped_layouts(*, every_resolution: bool = False) -> list[tuple[str, int]]:
    """Name and dots an inch of every layout labels are printed with, at its first resolution or at each."""
    found = []
    for path in sorted((data_folder("templates") / "labels").glob("*.toml")):
        first = layout_named(path.stem)
        found += [(path.stem, dpi) for dpi in (first.resolutions if every_resolution else (first.dpi,))]
    return found


def spoiled(task: Task) -> list[Cell]:
    """One cell a damage; the same seed gives the same labels and the same damage, in any parts."""
    layout = layout_named(task.layout, task.dpi)
    cells = {damage.name: Cell(layout.name, layout.dpi, damage.name) for damage in DAMAGES}
    seed = task.seed
    for turn in range(task.first, task.first + task.labels):
        fields = _fields(layout, Random(f"{seed} {layout.name} {layout.dpi} {turn}"))
        drawing = compose(layout, fields)
        clean = Clean(drawing, png.bitmap(drawing).convert("L"))
        for damage in DAMAGES:
            case = Case(Random(f"{seed} {layout.name} {layout.dpi} {turn} {damage.name}"), turn)
            _add(cells[damage.name], clean, damage, case)
    return list(cells.values())


def numbers_by_chance(name: str, dpi: int, count: int, seed: int = 1) -> list[str]:
    """Valid numbers of the kind that the layout of that name is made for."""
    layout = layout_named(name, dpi)
    return [_fields(layout, Random(f"{seed} {name} {dpi} {turn}"))["number"] for turn in range(count)]


def _fields(layout: Layout, chance: Random) -> dict[str, str]:
    """The layout's sample, whose texts are its widest, under a valid number of the sample's kind."""
    sample = layout.sample["number"]
    fields = {name: text for name, text in layout.sample.items() if name not in _UNMARKED}
    number: Number | ItemNumber | Badge
    if sample[0] == "H":
        number = Badge(f"{chance.randrange(10**_BADGE):0{_BADGE}d}")
    else:
        number = Number(sample[0], chance.randrange(100), chance.randrange(1, 1_000_000))
        if len(sample) == _ITEM and number.family in LOT_FAMILIES and chance.random() < 0.5:
            number = ItemNumber(number, chance.randrange(1, 10_000))
    fields["number"] = str(number)
    if "shown" in fields and not isinstance(number, Badge):
        fields["shown"] = number.shown
    return fields


def _add(cell: Cell, clean: Clean, damage: Damage, case: Case) -> None:
    """Spoil and read one label. In the frame of the widest module all symbols are looked for together.

    A symbol with narrower modules is looked for in a nearer frame as well, which alone counts for it.
    """
    symbols = clean.drawing.symbols
    kinds = {symbol.symbology for symbol in symbols}
    texts = {symbol.text for symbol in symbols}
    widths = {symbol.symbology: module_of(symbol) for symbol in symbols}
    cell.labels += 1
    widest = max(widths.values())
    found = scan(damage.spoil(clean, case, widest), kinds)
    right = {kind for kind, text in found if text in texts}
    cell.one += judged(cell, {text for _, text in found}, texts)
    if damage.framed:
        for kind, width in widths.items():
            if width != widest:
                nearer = scan(damage.spoil(clean, case, width), [kind])
                right = right - {kind} | {kind for _, text in nearer if text in texts}
                judged(cell, {text for _, text in nearer}, texts)
    cell.symbols.update({kind: int(kind in right) for kind in kinds})


def judged(cell: Cell, found: set[str], texts: set[str]) -> bool:
    """Whether the label's own number is what the program takes from one picture; counts what is not."""
    numbers = [_number(text) for text in found - texts]
    cell.refused += numbers.count("")
    mine = {_number(text) for text in texts}
    others = set(numbers) - mine - {""}
    own = bool(found & texts) or bool(set(numbers) & (mine - {""}))
    several = len(others) + own > 1
    cell.disputed += several
    cell.wrong += bool(others) and not several
    return own and not others


def _number(text: str) -> str:
    """The number a text stands for, empty where the program would refuse it."""
    try:
        return str(read(text).value)
    except LotrootError:
        return ""


def joined(parts: Iterable[Sequence[Cell]]) -> list[Cell]:
    """The cells of all parts, those of one layout, resolution and damage as one."""
    found: dict[tuple[str, int, str], Cell] = {}
    for cell in (cell for part in parts for cell in part):
        key = (cell.layout, cell.dpi, cell.damage)
        found.setdefault(key, Cell(*key)).add(cell)
    return list(found.values())


def block_text(cells: Sequence[Cell]) -> str:
    """Per cent of labels read, for the cells of one layout at one resolution."""
    kinds = sorted({kind for cell in cells for kind in cell.symbols})
    columns = "".join(f"{kind:>15}" for kind in (*kinds, "at least one"))
    title = f"{cells[0].layout}, {cells[0].dpi} dpi, {cells[0].labels}"
    lines = [f"{title:26}{columns}{'refused':>9}{'disputed':>10}{'wrong':>7}"]
    for cell in cells:
        rates = [100 * count / cell.labels for count in (*(cell.symbols[kind] for kind in kinds), cell.one)]
        columns = "".join(f"{rate:15.1f}" for rate in rates)
        lines.append(f"  {cell.damage:24}{columns}{cell.refused:9}{cell.disputed:10}{cell.wrong:7}")
    return "\n".join([*lines, ""])


def verdict_text(cells: Sequence[Cell]) -> str:
    """What missed its goal, and of what less is asked and why."""
    lines = [f"At least one symbol read on {GOAL:.0%} of the labels, and no number wrong:"]
    for cell in cells:
        if not cell.good:
            rate = f"{100 * cell.one / cell.labels:.1f} %, {cell.wrong} wrong"
            lines.append(f"  NOT MET  {cell.layout}, {cell.dpi} dpi, {cell.damage}: {rate}")
    lines += [f"  met by {sum(cell.good for cell in cells)} of {len(cells)}"]
    for name, stated in STATED.items():
        lines.append(f"  {name}: {stated.goal:.0%} is asked, since {stated.why}")
    return "\n".join(lines)
