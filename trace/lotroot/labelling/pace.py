"""How quick is a label, and against what?

In each turn everybody makes one label, in an order that moves on, and every label has a number nobody has
seen: what is kept from one use to the next helps nobody, fonts are warm for all. What the others
draw must read as what ours says, or nothing is timed.
"""

import json
import re
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

from lotroot_printing import png
from lotroot_printing.compose import compose
from lotroot_printing.drawing import Drawing
from lotroot_printing.layout import Layout
from lotroot_printing.plain import CANVASES, plain_png, read_png
from lotroot_printing.reading import ReadSymbol, read_back

from lotroot.errors import Fault
from lotroot.identity import ItemNumber, Number
from lotroot.labelling.rendering import layout_named, pictures_pdf

READ_BACK, NOT_READ_BACK = "ours, read back", "ours, not read back"
PLAIN = {canvas: f"plain, {words}" for canvas, words in zip(CANVASES, ("one bit", "colours"), strict=True)}
LAYOUT = "item"  # 100 x 70 mm
_NOT_ON_EVERY_LABEL = ("copy", "mark", "demo", "held")

_DIGIT = re.compile("[0-9]")

_Maker = Callable[[dict[str, str]], bytes]


def label_times(turns: int, dpi: int, seed: int = 1) -> dict[str, list[int]]:
    """Nanoseconds of each label by who made it. Raises Fault where not all say the same."""
    layout = layout_named(LAYOUT, dpi)
    chance = Random(seed)
    makers = _makers(layout)
    compare(layout, makers, item_fields(layout, chance))
    took: dict[str, list[int]] = {who: [] for who in makers}
    order = list(makers)
    for turn in range(turns):
        start = turn % len(order)
        for who in order[start:] + order[:start]:
            fields = item_fields(layout, chance)
            begun = time.perf_counter_ns()
            makers[who](fields)
            took[who].append(time.perf_counter_ns() - begun)
    return took


def _makers(layout: Layout) -> dict[str, _Maker]:
    """Everybody who makes a label. The plain ones get their places and sizes for nothing: see `_plainly`."""
    drawing = compose(layout, item_fields(layout, Random(0)))
    return {
        READ_BACK: lambda fields: _ours(layout, fields, reading=True),
        NOT_READ_BACK: lambda fields: _ours(layout, fields, reading=False),
        **{who: _plainly(drawing, canvas) for canvas, who in PLAIN.items()},
    }


def _ours(layout: Layout, fields: dict[str, str], *, reading: bool) -> bytes:
    """Composed, drawn, read back if asked, and packed, as a label that prints."""
    drawing = compose(layout, fields)
    image = png.bitmap(drawing)
    if reading:
        read_back(image, [ReadSymbol(each.symbology, each.text) for each in drawing.symbols])
    return png.encode(image, drawing.dpi)


def _plainly(pattern: Drawing, canvas: str) -> _Maker:
    """A maker that puts the number of a label where it stands on `pattern`, which is not composed anew."""
    printed = {each.text for each in pattern.symbols}

    def make(fields: dict[str, str]) -> bytes:
        symbols = tuple(replace(each, text=fields["number"]) for each in pattern.symbols)
        texts = tuple(
            replace(run, text=fields["shown"]) if run.text.replace("-", "") in printed else run
            for run in pattern.texts
        )
        return plain_png(replace(pattern, symbols=symbols, texts=texts), canvas)

    return make


def compare(layout: Layout, makers: dict[str, _Maker], fields: dict[str, str]) -> None:
    """Raises Fault unless every maker's label says the same as the drawing of `fields`, which warms them."""
    drawing = compose(layout, fields)
    wanted = {ReadSymbol(each.symbology, each.text) for each in drawing.symbols}
    for who, make in makers.items():
        found = read_png(make(fields), drawing)
        if found != wanted:
            raise Fault(
                f"The labels differ, so they are not timed: {who}.",
                value=", ".join(sorted(text for _, text in found)) or "nothing",
                expected=", ".join(sorted(text for _, text in wanted)),
                next_step="Mend the benchmark: all have to draw the same label.",
            )


def item_fields(layout: Layout, chance: Random) -> dict[str, str]:
    """The sample of the layout, without marks, for an item with a number by chance.

    Every digit on it is by chance, so that hardly a line was seen before: ours keeps lines, as for a block.
    """
    number = ItemNumber(Number("R", 26, chance.randrange(1, 1_000_000)), chance.randrange(1, 10_000))
    fields = {
        name: _DIGIT.sub(lambda _: chance.choice("0123456789"), text)
        for name, text in layout.sample.items()
        if name not in _NOT_ON_EVERY_LABEL
    }
    return {**fields, "number": str(number), "shown": number.shown}


@dataclass(frozen=True)
class _Block:
    """A block of item labels, as a print job has it."""

    number: str
    first: int
    last: int
    fields: str
    copy: int = 1
    layout: str = LAYOUT


@dataclass(frozen=True)
class BlockPace:
    """A block of item labels as one PDF: how many, seconds by the clock and of the processor, bytes."""

    labels: int
    seconds: float
    processor: float
    size: int


def block_pace(labels: int, running: int = 1) -> BlockPace:
    """One PDF of so many item labels, every one read back from its bitmap as each print job is."""
    fields = {
        "kind": "Box",
        "product": "Common nail 3.15 x 70 mm, bright",
        "date": "24 Nov 2026 14:05",
        "station": "Packing line 2",
        "heat": "4471902",
        "run": "U26-000123-33",
        "items": [{"serial": serial, "amount": "25.0 kg"} for serial in range(1, labels + 1)],
    }
    block = _Block(str(Number("R", 26, running)), 1, labels, json.dumps(fields))
    begun, used = time.perf_counter(), time.process_time()
    made = pictures_pdf(block)
    return BlockPace(labels, time.perf_counter() - begun, time.process_time() - used, len(made))
