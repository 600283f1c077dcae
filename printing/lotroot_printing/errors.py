"""What can go wrong between a layout, its fields and a printed label?

    PrintingError
    ├── LayoutRefused      the layout itself cannot give a good label; found when it is loaded
    ├── FieldRefused       the fields given do not make a label of this layout
    │   └── GlyphMissing   a character the printing font cannot show
    ├── SymbolUnreadable   a symbol, decoded from its own bitmap, is not what it should say
    └── PrinterError       a printer
        ├── AddressRefused     what was typed is no printer's address
        ├── PrinterUnreached   it does not answer: nothing can have been printed
        ├── JobRefused         it answered, and would not; `status` says why (RFC 8011, appendix B)
        └── ReplyLost          it was told, and its answer did not come: nobody knows yet

Every error says what could not be done, the value met, what was expected and what to do next.
"""

import unicodedata

_MOST_SHOWN = 200


def shortened(text: str) -> str:
    """What was met, fit for a sentence: its start where it is long, nothing in it that cannot be shown."""
    start = " ".join(text[:_MOST_SHOWN].splitlines()) + ("…" if len(text) > _MOST_SHOWN else "")
    odd = {each for each in start if unicodedata.category(each)[0] == "C"}
    return "".join("\N{REPLACEMENT CHARACTER}" if each in odd else each for each in start)


class PrintingError(Exception):
    """Base of all errors of this package.

    `what` is what could not be done; `value` the text or size met, shortened where it is long; `expected`
    what would have fitted; `next_step` what the reader does now.
    """

    def __init__(self, what: str, *, value: str = "", expected: str = "", next_step: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.value = shortened(value)
        self.expected = expected
        self.next_step = next_step

    def __str__(self) -> str:
        found = f"Found: {self.value}." if self.value else ""
        expected = f"Expected: {self.expected}." if self.expected else ""
        return " ".join(part for part in (self.what, found, expected, self.next_step) if part)


class LayoutRefused(PrintingError):
    """The layout itself cannot give a good label; `what` names the layout and the element."""


class FieldRefused(PrintingError):
    """The fields given do not make a label of this layout; `what` names the field or element."""


class GlyphMissing(FieldRefused):
    """The printing font cannot show a character; `value` is the character with its code point."""


class SymbolUnreadable(PrintingError):
    """A symbol decoded from its own bitmap is absent or says something else."""


class PrinterError(PrintingError):
    """Something about a printer, not about the label."""


class AddressRefused(PrinterError):
    """What was typed is no printer's address."""


class PrinterUnreached(PrinterError):
    """The printer could not be connected to; whatever was to be printed was not."""


class JobRefused(PrinterError):
    """The printer answered that it would not; `status` is its IPP status code."""

    def __init__(self, status: int, told: str, *, where: str) -> None:
        super().__init__(
            "The printer does not take this.",
            value=f"{where}: {told or 'no reason given'} ({status:#06x})",
            expected="A printer that takes jobs.",
            next_step="Look at the printer's display.",
        )
        self.status = status
        self.told = told


class ReplyLost(PrinterError):
    """The request was sent and its answer did not come: whether it prints is known to the printer alone."""
