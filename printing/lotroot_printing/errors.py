"""What can go wrong between a layout, its fields and a printed label?

    PrintingError
    ├── LayoutRefused      the layout itself cannot give a good label; found when it is loaded
    ├── FieldRefused       the fields given do not make a label of this layout
    │   └── GlyphMissing   a character the printing font cannot show
    └── SymbolUnreadable   a symbol, decoded from its own bitmap, is not what it should say

Every error says what could not be done, the value met, what was expected and what to do next.
"""


class PrintingError(Exception):
    """Base of all errors of this package.

    `what` is what could not be done; `value` the text or size met; `expected` what would have
    fitted; `next_step` what the reader does now.
    """

    def __init__(self, what: str, *, value: str = "", expected: str = "", next_step: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.value = value
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
