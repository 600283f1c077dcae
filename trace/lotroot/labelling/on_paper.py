"""How does a plant without a label printer get its labels: on A4, from any office printer?

The labels of one print side by side on sheets, moved by what the printer lies beside, with places that are
peeled off already left out. Every symbol is read back from its place on the finished page.
"""

from dataclasses import dataclass

from lotroot_printing import png
from lotroot_printing.drawing import Drawing
from lotroot_printing.errors import PrintingError
from lotroot_printing.pdf import pdf
from lotroot_printing.reading import ReadSymbol, read_back
from lotroot_printing.sheets_of_labels import Paper, pages_of_labels

from lotroot.errors import Unreadable
from lotroot.labelling.rendering import LabelFacts, LabelUnprintable, finished, layout_named

__all__ = ["END_TAG", "MOST_TIMES", "Paper", "labels_on_a4"]

END_TAG = "lumber_end"
"""The one layout that a number is printed with as often as its pack has pieces."""

MOST_TIMES = 500
"""More tags of one pack at once are a slip of the finger (ours): packs have some three hundred pieces."""

_OFFICE_DPI = 300
"""What office printers at 300, 600 and 1200 dpi reproduce in whole dots."""


@dataclass(frozen=True)
class _InLayout:
    """What is known of a label, to be drawn in another layout."""

    number: str
    first: int
    last: int
    copy: int
    layout: str
    fields: str


def labels_on_a4(facts: LabelFacts, paper: Paper, *, end_tags: int = 0) -> bytes:
    """The labels of a job or of a printed block on A4 sheets, as one PDF.

    `end_tags` asks for so many tags for the ends of a pack's boards instead. Raises LabelUnprintable for
    labels that cannot be made or would not lie on the page, Unreadable for a number of tags out of range.
    """
    if not 0 <= end_tags <= MOST_TIMES:
        raise Unreadable(
            "That is not a number of end tags.",
            value=str(end_tags),
            expected=f"1 to {MOST_TIMES}, one for each piece.",
            next_step="Enter how many pieces are in the pack.",
        )
    asked = _as_end_tag(facts) if end_tags else facts
    dpi = _OFFICE_DPI if _OFFICE_DPI in layout_named(asked.layout).resolutions else None
    labels = [made.drawing for made in finished(asked, dpi=dpi)] * max(1, end_tags)
    try:
        pages = pages_of_labels(labels, paper)
        for page in pages:
            _read_back(page)
    except PrintingError as error:
        raise LabelUnprintable(
            error.what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error
    return pdf(pages)


def _as_end_tag(facts: LabelFacts) -> LabelFacts:
    return _InLayout(facts.number, facts.first, facts.last, facts.copy, END_TAG, facts.fields)


def _read_back(page: Drawing) -> None:
    """Read every symbol from its own area, quiet zones included, and nothing beside it."""
    bitmap = png.bitmap(page)
    for symbol in page.symbols:
        area = symbol.area
        there = bitmap.crop((area.x, area.y, area.right, area.bottom))
        read_back(there, [ReadSymbol(symbol.symbology, symbol.text)])
