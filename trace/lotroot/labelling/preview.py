"""How would a label look in a layout, and what will not fit or is missing?

Nothing is printed and nothing recorded. The picture comes out of the same path as a label, its symbols read
back too, and stands under a black strip that says what it is: a preview is never stuck on goods.
"""

import json
from dataclasses import dataclass
from pathlib import Path

from lotroot_printing import png
from lotroot_printing.compose import write
from lotroot_printing.drawing import Pen, Rect, dots, millimetres
from lotroot_printing.errors import PrintingError
from lotroot_printing.layout import TextBox
from lotroot_printing.png import Bitmap
from sqlalchemy import Connection

from lotroot.errors import LotrootError, Unreadable
from lotroot.identity import Family
from lotroot.labelling.fields import fields_for
from lotroot.labelling.lost_words import given, homeless, missing, shortened, unsaid, word
from lotroot.labelling.outside import FOR
from lotroot.labelling.placing import drawn
from lotroot.labelling.printed import split
from lotroot.labelling.rendering import bitmaps, layout_named, values_of
from lotroot.ledger.events import Posting
from lotroot.processes.definition import LayoutChoice, Plant
from lotroot.settings import data_folder
from lotroot.work import LabelRequest

STRIP_MM = 6
BADGE = "badge"
MARK = "PREVIEW - NOT A LABEL"


@dataclass(frozen=True)
class Shelved:
    """A layout as the shelf shows it; `fault` says why it cannot be used, and then the rest is empty."""

    name: str
    size: tuple[float, float] = (0.0, 0.0)
    resolutions: tuple[int, ...] = ()
    stock: str = ""
    ribbon: str = ""
    exposure: tuple[str, ...] = ()
    sides: int = 1
    needs: tuple[str, ...] = ()
    fault: str = ""


@dataclass(frozen=True)
class Asked:
    """What is to be seen: a layout at a resolution (0: its first), a canonical number of a lot, item,
    carrier, run, shipment or thing, and the customer it would be for."""

    layout: str
    dpi: int
    number: str
    customer: str = ""


@dataclass(frozen=True)
class Preview:
    """A picture for each side, or none and the `faults`; `notes` say what gave way or has no place."""

    pictures: tuple[bytes, ...] = ()
    size: tuple[float, float] = (0.0, 0.0)
    dpi: int = 0
    faults: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def shelf() -> list[Shelved]:
    """Every layout there is, by name; one that cannot be loaded with the reason."""
    return [_shelved(name) for name in layout_names()]


def layout_names() -> list[str]:
    """The name of every layout file."""
    return sorted(path.stem for path in Path(data_folder("templates") / "labels").glob("*.toml"))


def choices(plant: Plant | None) -> list[tuple[LayoutChoice, str]]:
    """What plant.toml chooses for customers and markets, and why a layout cannot be used."""
    faults = {one.name: one.fault for one in shelf()}
    missing_file = "There is no such layout: the usual label is printed."
    chosen = plant.layout_choices if plant is not None else ()
    return [(one, faults.get(one.layout, missing_file)) for one in chosen]


def preview(connection: Connection, asked: Asked, now: int, station: str = "") -> Preview:
    """A label of a number in a layout as it would print now at a station; what does not fit is a fault."""
    try:
        layout = layout_named(asked.layout, asked.dpi or None)
        facts = _facts(connection, asked, now, station)
        values = values_of(facts, facts.first, None)
        unknown = [word(name) for name in sorted(layout.required) if not given(name, values)]
        faults = [*([missing(unknown)] if unknown else []), unsaid(layout, values)]
        if any(faults):
            found = tuple(fault for fault in faults if fault)
            return Preview(dpi=layout.dpi, faults=found, notes=homeless(layout, values))
        drawing = drawn(layout, values)
        images = [_marked(image, layout.dpi) for image in bitmaps(facts, dpi=layout.dpi)]
    except (PrintingError, LotrootError) as fault:
        return Preview(faults=(_said(fault.what, fault.value, fault.expected, fault.next_step),))
    notes = (*shortened(layout, values, drawing), *homeless(layout, values))
    return Preview(
        pictures=tuple(png.encode(image, layout.dpi) for image in images),
        size=(millimetres(layout.width, layout.dpi), millimetres(layout.height, layout.dpi) + STRIP_MM),
        dpi=layout.dpi,
        notes=notes,
    )


@dataclass(frozen=True)
class _Facts:
    """What a print job would hold."""

    number: str
    first: int
    last: int
    copy: int
    layout: str
    fields: str


def _facts(connection: Connection, asked: Asked, now: int, station: str) -> _Facts:
    number, serial = split(asked.number)
    if number[0] == Family.PERSON or asked.layout == BADGE:
        raise Unreadable(
            "Badges are shown to nobody.",
            expected="A label of goods, a machine or a place.",
            next_step="The administrator prints badges under People.",
        )
    told = {FOR: asked.customer} if asked.customer else {}
    request = LabelRequest(number, serial, serial, layout=asked.layout, told=told)
    posting = Posting(0, "", "", "", "", "", "", station, now, 0, now, "", "")
    fields = json.dumps(fields_for(connection, posting, request), ensure_ascii=False)
    return _Facts(number, serial, serial, 1, asked.layout, fields)


def _shelved(name: str) -> Shelved:
    try:
        layout = layout_named(name)
        for dpi in layout.resolutions:
            layout_named(name, dpi)
    except LotrootError as fault:
        return Shelved(name, fault=_said(fault.what, fault.value, fault.expected, fault.next_step))
    return Shelved(
        name=name,
        size=(millimetres(layout.width, layout.dpi), millimetres(layout.height, layout.dpi)),
        resolutions=layout.resolutions,
        stock=layout.stock,
        ribbon=layout.ribbon,
        exposure=layout.exposure,
        sides=layout.sides,
        needs=tuple(word(name) for name in sorted(layout.required - {"number", "shown", "kind"})),
    )


def _marked(image: Bitmap, dpi: int) -> Bitmap:
    """The label under a black strip that says it is a preview: what lies outside a picture is black."""
    height = dots(STRIP_MM, dpi)
    strip = Rect(0, 0, image.width, height)
    pen = Pen()
    box = TextBox("preview", "text", strip, MARK, capital=3, least=1, align="centre", bold=True, band=True)
    write(pen, box, MARK, dpi, "The mark of a preview")
    framed = image.crop((0, -height, image.width, image.height))
    framed.paste(png.bitmap(pen.drawing(MARK, (strip.width, strip.height), dpi)), (0, 0))
    framed.paste(image, (0, height))
    return framed


def _said(*parts: str) -> str:
    return " ".join(part if part.endswith((".", "!", "?", "…")) else f"{part}." for part in parts if part)
