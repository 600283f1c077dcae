"""What does a label look like, and does its own bitmap say the right number?

A print job and a printed label hold the same facts, so the same pictures come of both at any time. No
picture leaves before every symbol on it was decoded again and found equal to the label's number.

`dpi`, wherever it is asked, is the resolution of the printer; without one a label is drawn at the first
resolution that its layout names.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Protocol

from lotroot_printing import png
from lotroot_printing.drawing import Drawing
from lotroot_printing.errors import LayoutRefused, PrintingError, SymbolUnreadable
from lotroot_printing.layout import Layout
from lotroot_printing.pdf import pdf
from lotroot_printing.png import Bitmap
from lotroot_printing.render import load_layout
from lotroot_printing.symbols import CODE128, DATAMATRIX, QR, ReadSymbol, read_back

from lotroot.errors import Unreadable
from lotroot.identity import Family, ItemNumber
from lotroot.identity.numbers import number_from
from lotroot.identity.showing import shown
from lotroot.labelling.placing import drawn
from lotroot.ledger.canonical import sha256
from lotroot.settings import data_folder


class LabelFacts(Protocol):
    """A row of `print_job` or of `label`."""

    @property
    def number(self) -> str: ...
    @property
    def first(self) -> int: ...
    @property
    def last(self) -> int: ...
    @property
    def copy(self) -> int: ...
    @property
    def layout(self) -> str: ...
    @property
    def fields(self) -> str: ...


@dataclass(frozen=True)
class Holder:
    """Whose badge it is; looked up when a badge is printed and kept with no label."""

    badge: str
    name: str
    roles: tuple[str, ...]


@dataclass(frozen=True)
class Picture:
    """One label: the number on it, its item's serial or 0, both files and the texts read back."""

    number: str
    serial: int
    png: bytes
    pdf: bytes
    symbols: tuple[str, ...]


@dataclass(frozen=True)
class Finished:
    """One label: its drawing, its bitmap, and the texts read back from that."""

    drawing: Drawing
    bitmap: Bitmap
    texts: tuple[str, ...]


class LabelUnprintable(Unreadable):
    """The label cannot be made, or its own bitmap does not read back as its number."""


def bitmaps(facts: LabelFacts, holder: Holder | None = None, dpi: int | None = None) -> Iterator[Bitmap]:
    """The labels of a job as 1-bit pictures, a pixel a printer dot, in the order of serials.

    A label for two sides comes twice, on end. Each is drawn when it is asked for, and was read back before it
    is given. Raises LabelUnprintable or Unreadable for the first that cannot be made.
    """
    return (made.bitmap for made in finished(facts, holder, dpi))


def finished(facts: LabelFacts, holder: Holder | None = None, dpi: int | None = None) -> Iterator[Finished]:
    """The labels of a job, drawn and read back when each is asked for. Comes and raises as `bitmaps`."""
    for serial in range(facts.first, facts.last + 1):
        yield from _finished(facts, serial, holder, dpi)


def count_of(facts: LabelFacts) -> int:
    """How many labels a job is, those for a second side among them. Raises Unreadable."""
    return (facts.last - facts.first + 1) * len(list(layout_named(facts.layout).each_side()))


def resolutions_of(name: str) -> tuple[int, ...]:
    """The resolutions a layout is made for. Raises Unreadable."""
    return layout_named(name).resolutions


def texts_read_back(
    facts: LabelFacts, holder: Holder | None = None, dpi: int | None = None
) -> tuple[str, ...]:
    """What a decoder reads from the finished bitmaps of a job, label by label in the order of serials.

    Raises LabelUnprintable or Unreadable if any of them cannot be made or says something else; then none
    of the block counts as printed.
    """
    found: dict[str, None] = {}
    for made in finished(facts, holder, dpi):
        found |= dict.fromkeys(made.texts)
    return tuple(found)


def picture(
    facts: LabelFacts, serial: int = 0, holder: Holder | None = None, dpi: int | None = None
) -> Picture:
    """One label as it prints, of the item with this serial where it is a block.

    Of a label for two sides the PNG is the first; the PDF has a page for each. Raises LabelUnprintable or
    Unreadable.
    """
    sides = list(_finished(facts, serial, holder, dpi))
    first = sides[0]
    return Picture(
        number=text_of(facts.number, serial),
        serial=serial,
        png=png.encode(first.bitmap, first.drawing.dpi),
        pdf=pdf([side.drawing for side in sides]),
        symbols=first.texts,
    )


def pictures_pdf(facts: LabelFacts, holder: Holder | None = None, dpi: int | None = None) -> bytes:
    """All labels of a job or of a printed block as one PDF, a page each."""
    return pdf([made.drawing for made in finished(facts, holder, dpi)])


def _finished(facts: LabelFacts, serial: int, holder: Holder | None, dpi: int | None) -> Iterator[Finished]:
    """One label for each side it is printed for, drawn and decoded again from its own bitmap."""
    layout = layout_named(facts.layout, dpi)
    values = values_of(facts, serial, holder)
    code = values["number"]
    expected = (code, f"{code}K{facts.copy}" if facts.copy > 1 else code)
    try:
        for side in layout.each_side():
            drawing = drawn(side, values)
            bitmap = png.bitmap(drawing)
            read = read_back(bitmap, _expected(drawing, *expected))
            yield Finished(drawing, bitmap, tuple(symbol.text for symbol in read))
    except PrintingError as error:
        secret = holder is not None  # a badge's text and a name stay out of the record
        raise LabelUnprintable(
            error.what,
            value="" if secret else error.value,
            expected="" if secret else error.expected,
            next_step=error.next_step,
        ) from error


def _expected(drawing: Drawing, code: str, marked: str) -> list[ReadSymbol]:
    """What the symbols of a label must say: bars the number, the square the number and its copy.

    Worked out from the number, not taken from the layout, so that no layout can print another number. A
    GS1 symbol says a field of its own.
    """
    texts = {CODE128: code, QR: marked, DATAMATRIX: marked}
    kinds = {symbol.symbology for symbol in drawing.symbols}
    if CODE128 not in kinds or not kinds & {QR, DATAMATRIX}:
        raise SymbolUnreadable(
            "The label was not printed: its layout has no bars or no square symbol.",
            expected="Both symbols on every label.",
            next_step="Correct the layout and print again.",
        )
    return [ReadSymbol(each.symbology, texts.get(each.symbology, each.text)) for each in drawing.symbols]


def text_of(number: str, serial: int) -> str:
    """The text in the symbol: the number, or the item's number with its own check pair."""
    return str(ItemNumber(number_from(number), serial)) if serial else number


def layout_named(name: str, dpi: int | None = None) -> Layout:
    """The layout of that name for printers of `dpi`, loaded and checked once.

    Raises Unreadable for a name that is not there, LabelUnprintable for a resolution it is not made for.
    """
    try:
        return _loaded(_file_of(name), dpi)
    except LayoutRefused as error:
        raise LabelUnprintable(
            error.what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error


def layout_hash(name: str) -> str:
    """The first 64 bits of the SHA-256 of the layout's file, kept with each label printed with it.

    Enough to tell the versions of a layout apart. Raises Unreadable.
    """
    return sha256(_file_of(name).read_bytes())[:16]


def _file_of(name: str) -> Path:
    folder = data_folder("templates") / "labels"
    known = {path.stem: path for path in folder.glob("*.toml")}
    if name not in known:
        raise Unreadable(
            f"There is no label layout {name!r}.",
            value=name,
            expected="One of: " + ", ".join(sorted(known)) + ".",
            next_step="Correct the layout in plant.toml and adopt it again.",
        )
    return known[name]


@cache
def _loaded(path: Path, dpi: int | None) -> Layout:
    return load_layout(path, dpi)


@lru_cache(maxsize=8)
def _told(fields: str) -> tuple[Mapping[str, Any], Mapping[int, str]]:
    """The fields of a job, and the amount of each of its items: once for the block, not for every label."""
    values: dict[str, Any] = json.loads(fields)
    items = values.pop("items", [])
    return MappingProxyType(values), {item["serial"]: item["amount"] for item in items}


def values_of(facts: LabelFacts, serial: int, holder: Holder | None) -> dict[str, Any]:
    """The fields of one label of the block."""
    number = text_of(facts.number, serial)
    told, amounts = _told(facts.fields)
    values = dict(told)
    if serial:
        kind = f"{values.get('kind', 'Item')} {serial}"
        values |= {"kind": kind, "amount": amounts.get(serial, "")}
    copy = str(facts.copy) if facts.copy > 1 else ""
    values |= {"number": number, "shown": shown(number), "copy": copy}
    if number[0] == Family.PERSON:
        values = _badge(values, holder)
    return values


def _badge(values: dict[str, Any], holder: Holder | None) -> dict[str, Any]:
    if holder is None:
        raise LabelUnprintable(
            "This badge cannot be printed: nobody holds one under that number.",
            expected="A person who works here and has a badge.",
            next_step="Issue a badge under People.",
        )
    roles = ", ".join(holder.roles).capitalize()
    return {**values, "number": holder.badge, "shown": "", "name": holder.name, "kind": roles}
