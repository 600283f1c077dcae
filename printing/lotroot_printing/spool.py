"""In which form does a printer get a label, and is it fit to be sent one?

The bitmap at the printer's own resolution where it takes that, so that a bar is as many dots as it was drawn
with: PWG raster first, PNG for a single label; else the PDF, whose bars land on the same dots. What a printer
says of itself is turned into words for the people beside it.
"""

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from PIL import Image

from lotroot_printing import ipp, ipp_answers, png, raster
from lotroot_printing.drawing import Drawing, Rect, millimetres
from lotroot_printing.errors import FieldRefused, JobRefused
from lotroot_printing.pdf import pdf

RASTER, PNG, PDF = "image/pwg-raster", "image/png", "application/pdf"
_HUNDREDTHS = 100

STOPS = {
    "media-empty": "is out of labels",
    "media-needed": "is out of labels",
    "media-jam": "has a label jammed",
    "marker-supply-empty": "is out of ribbon",
    "cover-open": "is open",
    "door-open": "is open",
    "interlock-open": "is open",
    "paused": "is paused",
    "moving-to-paused": "is paused",
    "shutdown": "is shutting down",
    "offline": "is switched off, or its cable is out",
}
"""Reasons (RFC 8011 section 5.4.12) for which a printer is sent nothing until they are gone; their endings
-report, -warning and -error vary, so the beginning decides."""

LOW = {"media-low": "is low on labels", "marker-supply-low": "is low on ribbon"}
"""What is only said."""


@dataclass(frozen=True)
class Page:
    """One finished label: its drawing, and the bitmap that its symbols were read back from."""

    drawing: Drawing
    bitmap: Image.Image


def trouble(offer: ipp_answers.Offer) -> str:
    """Why the printer should be sent nothing now, in words that follow its name; empty where it is fit."""
    for reason in offer.reasons:
        for known, words in STOPS.items():
            if reason.startswith(known):
                return words
    if not offer.accepting:
        return "takes no jobs" + _told(offer)
    return "has stopped" + _told(offer) if offer.state == ipp_answers.PRINTER_STOPPED else ""


def remark(offer: ipp_answers.Offer) -> str:
    """What people should know of a printer that prints; empty where all is well."""
    return next(
        (words for reason in offer.reasons for low, words in LOW.items() if reason.startswith(low)), ""
    )


def _told(offer: ipp_answers.Offer) -> str:
    told = offer.message or ", ".join(offer.reasons)
    return f": {told}" if told else ""


def resolution(offer: ipp_answers.Offer, layouts: Sequence[int], wanted: int = 0) -> int:
    """The dots an inch to draw at: `wanted`, else the finest that printer and layout share.

    A printer that shares none takes a PDF; its bars are then drawn for the layout's first.
    """
    if wanted in layouts:
        return wanted
    shared = [dpi for dpi in layouts if dpi in offer.resolutions]
    return max(shared) if shared else layouts[0]


def format_for(offer: ipp_answers.Offer, dpi: int, count: int) -> str:
    """The form in which the printer gets `count` labels of one job. Raises JobRefused."""
    if RASTER in offer.formats and dpi in offer.resolutions and _kind(offer):
        return RASTER
    if PNG in offer.formats and count == 1:
        return PNG
    if PDF in offer.formats:
        return PDF
    takes = ", ".join(offer.formats) or "nothing"
    more = " for several labels at once" if count > 1 and PNG in offer.formats else ""
    raise JobRefused(0x40B, f"it takes {takes}; labels need PWG raster, PNG or PDF{more}", where=offer.name)


def _kind(offer: ipp_answers.Offer) -> str:
    return next((kind for kind in (raster.BLACK_1, raster.SGRAY_8) if kind in offer.kinds), "")


def document(offer: ipp_answers.Offer, pages: Iterable[Page], count: int) -> ipp.Document:
    """The `count` labels of one job as this printer takes them; all pages have one size and resolution.

    Each page is asked for when the one before it is done with: a bitmap takes a byte a dot.
    """
    rest = iter(pages)
    first = next(rest)
    drawing, pages = first.drawing, itertools.chain([first], rest)
    size = tuple(
        round(millimetres(dots, drawing.dpi) * _HUNDREDTHS) for dots in (drawing.width, drawing.height)
    )
    form = format_for(offer, drawing.dpi, count)
    if form == RASTER:
        content = raster.encode((page.bitmap for page in pages), drawing.dpi, _kind(offer))
    elif form == PNG:
        content = png.encode(first.bitmap, drawing.dpi)
    else:
        content = pdf([page.drawing for page in pages])
    return ipp.Document(form, content, (size[0], size[1]))


def shifted(page: Page, across: int, along: int) -> Page:
    """The label moved by whole dots to the right and down, for a printer whose labels lie askew.

    Raises FieldRefused where ink would leave the label: nothing is ever cut off.
    """
    if not (across or along):
        return page
    ink = page.bitmap.convert("L").point(lambda dot: 255 - dot).getbbox() or (0, 0, 0, 0)
    moved = Rect(ink[0] + across, ink[1] + along, ink[2] - ink[0], ink[3] - ink[1])
    if not Rect(0, 0, page.drawing.width, page.drawing.height).holds(moved):
        raise FieldRefused(
            "The label is not printed: moved as this printer is set, it would lose its edge.",
            value=f"{across} dots to the right, {along} down",
            expected="An offset that keeps every bar and letter on the label.",
            next_step="Set a smaller offset on the page Printers, or put the labels in straight.",
        )
    bitmap = Image.new("1", page.bitmap.size, 1)
    bitmap.paste(page.bitmap, (across, along))
    return Page(page.drawing.moved(across, along), bitmap)
