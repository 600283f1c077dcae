"""What does a label look like: which fields stand where, and how small may they get?

A layout is data, a TOML file: the label's size in millimetres, the resolutions of the printers it is made
for, the fields it takes, and its elements with their areas in millimetres from the upper left corner.

    name, size = [width, height]
    dpi = [203, 300]                 dots an inch; the first is what is taken where no printer is named
    stock, ribbon                    what it is printed on and with, in words
    exposure = ["wet", "oil"]        what the label must stand: wet, oil, sun, heat
    sides = 2                        printed twice, for two sides of a pallet; {side} says "1 of 2"
    optional = [field, ...]          all other fields are required
    [sample]  field = "widest text"  every field the layout takes; composed once when it is loaded
    [[element]]
    name, kind, at = [x, y], size = [width, height]; when = field: only drawn if it is given
      text     text with {field}s, capital (mm, height of a capital), least, lines, align, bold,
               caption (small, above), band (white on black)
      number   the same, set bold: capitals, digits and hyphens, broken only after a hyphen
      code128  text, module (mm), least_module, align; the area includes the quiet zones
      qr       the same, and datamatrix, which is square too
      gs1_128  the same; the text is GS1 element strings, (00)395212340000000014; and gs1_datamatrix
      box      weight (mm): a frame
      line     a filled stroke of the given size
      sign     sign = "gloves": a picture for a caution, as large as fits; `signs.py` has them all
      free     draws nothing and lets nothing near it: a punched hole, a perforation

A line that names a field not given is left out, and so is an element of which no line is left. A module
in millimetres becomes whole dots at each resolution, at least two: 0.5 mm is 4 dots at 203 dpi, 6 at 300.
`layout_file.py` reads the files, `checks.py` says which layouts are refused.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from lotroot_printing.drawing import Rect
from lotroot_printing.errors import LayoutRefused

CAPTION_MM = 2.4  # height of a caption's capitals
LEAST_MODULE_MM = 0.25  # two dots at 203 dpi; the narrowest bar our labels use

_FIELD = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True)
class TextBox:
    """A text in its area; sizes are millimetres of capital height."""

    name: str
    kind: str
    area: Rect
    text: str
    capital: float
    least: float
    lines: int = 1
    align: str = "left"
    bold: bool = False
    caption: str = ""
    band: bool = False
    when: str = ""

    @property
    def number(self) -> bool:
        """Whether it is a lot number: capitals, digits, hyphens."""
        return self.kind == "number"


@dataclass(frozen=True)
class SymbolBox:
    """A bar code in its area, quiet zones included; module widths are whole dots."""

    name: str
    kind: str
    area: Rect
    text: str
    module: int
    least_module: int
    align: str = "left"
    when: str = ""


@dataclass(frozen=True)
class Rule:
    """A frame `weight` dots thick (box), or a filled stroke (line)."""

    name: str
    kind: str
    area: Rect
    weight: int = 0
    when: str = ""


@dataclass(frozen=True)
class Sign:
    """A picture for a caution, one of `signs.NAMES`, in the middle of its area."""

    name: str
    kind: str
    area: Rect
    sign: str
    when: str = ""


@dataclass(frozen=True)
class Free:
    """A zone that nothing may be printed on."""

    name: str
    kind: str
    area: Rect
    when: str = ""  # never: a hole is there on every label


Element = TextBox | SymbolBox | Rule | Sign | Free


@dataclass(frozen=True)
class Layout:
    """A label layout at one resolution; `width` and `height` in dots of `dpi`.

    `sample` has a text for every field, `resolutions` all that the layout is made for; `side` is the one of
    `sides` that is drawn.
    """

    name: str
    width: int
    height: int
    dpi: int
    sample: Mapping[str, str]
    optional: frozenset[str]
    elements: tuple[Element, ...]
    resolutions: tuple[int, ...]
    stock: str = ""
    ribbon: str = ""
    exposure: tuple[str, ...] = ()
    sides: int = 1
    side: int = 1

    @property
    def fields(self) -> frozenset[str]:
        """Every field the layout takes."""
        return frozenset(self.sample)

    @property
    def required(self) -> frozenset[str]:
        """The fields without which there is no label."""
        return self.fields - self.optional

    def each_side(self) -> Iterator["Layout"]:
        """The layout once for every side that it is printed for."""
        return (replace(self, side=side) for side in range(1, self.sides + 1))


def fields_in(text: str) -> tuple[str, ...]:
    """The fields a text names in braces."""
    return tuple(_FIELD.findall(text))


def filled(text: str, values: Mapping[str, str]) -> str:
    """`text` with every {field} replaced by its value."""
    return _FIELD.sub(lambda found: values[found.group(1)], text)


def refused(layout: str, element: str, problem: str, *, found: object, expected: str) -> LayoutRefused:
    """The error that names layout, element, what was found and what was expected."""
    where = f"element {element}" if element else "head"
    return LayoutRefused(
        f"Layout {layout}, {where}: {problem}.",
        value=str(found),
        expected=expected,
        next_step="Correct the layout file and load it again.",
    )
