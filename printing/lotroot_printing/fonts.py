"""How wide and how high is printed text, and which characters can be printed at all?

One font for everything: DejaVu Sans Mono, taken from the wheel of python-barcode, so that no font
file is kept here and none of the plant's PCs is relied on. Every character has the same width, and
that width, the pitch, is always a whole number of printer dots: text lines up with the dots, and
bitmap and PDF agree. A size in millimetres always means the height of a capital letter.
"""

import functools
import math
import unicodedata
from pathlib import Path

import barcode
from reportlab.pdfbase.ttfonts import TTFontFace

from lotroot_printing.drawing import dots, millimetres
from lotroot_printing.errors import GlyphMissing, shortened

FONT_PATH = Path(barcode.__file__).parent / "fonts" / "DejaVuSansMono.ttf"

# Font units of DejaVu Sans Mono; the tests measure them again from the font file.
EM, ADVANCE, CAPITAL, ASCENT, DESCENT = 2048, 1233, 1493, 1901, 483

# Half of what a bold stroke adds to a stem, as a part of the pitch.
BOLD_SPREAD = 0.045


def em_dots(pitch: int) -> float:
    """The font size, in dots, at which a character is `pitch` dots wide."""
    return pitch * EM / ADVANCE


def capital_dots(pitch: int) -> int:
    """The height of a capital, in dots."""
    return round(pitch * CAPITAL / ADVANCE)


def ascent_dots(pitch: int) -> int:
    """Room above the baseline that holds every accent, in dots."""
    return math.ceil(pitch * ASCENT / ADVANCE)


def line_dots(pitch: int) -> int:
    """Room for a line with accents and descenders, in dots."""
    return ascent_dots(pitch) + math.ceil(pitch * DESCENT / ADVANCE)


def widest_pitch(capital_mm: float, dpi: int) -> int:
    """The largest pitch whose capitals are not higher than `capital_mm` (to half a dot)."""
    return max(1, int((dots(capital_mm, dpi) + 0.5) * ADVANCE / CAPITAL))


def least_pitch(capital_mm: float, dpi: int) -> int:
    """The smallest pitch whose capitals are at least `capital_mm` high."""
    pitch = widest_pitch(capital_mm, dpi)
    while millimetres(pitch * CAPITAL / ADVANCE, dpi) < capital_mm:
        pitch += 1
    return pitch


@functools.cache
def _printable() -> frozenset[int]:
    """Code points the font has a glyph for."""
    return frozenset(TTFontFace(str(FONT_PATH)).charToGlyph)


@functools.lru_cache(maxsize=1024)
def _shows(character: str) -> bool:
    """Whether one character prints right when simply set beside its neighbours.

    Combining marks and right-to-left letters have glyphs in the font, but would come out detached
    or in the wrong order; signs that only break a line would come out as nothing.
    """
    category = unicodedata.category(character)
    if category[0] in "CM" or category in ("Zl", "Zp"):
        return False
    return unicodedata.bidirectional(character) not in ("R", "AL", "AN") and ord(character) in _printable()


def printable(text: str, *, where: str) -> str:
    """`text` in composed form (NFC), if every character can be printed.

    `where` names label and element for the message. Raises GlyphMissing for the first character
    that cannot be shown; printing it as a box would be worse than no label.
    """
    composed = unicodedata.normalize("NFC", text)
    for character in composed:
        if not _shows(character):
            name = unicodedata.name(character, "without a name")
            shown = character if unicodedata.category(character)[0] not in "CM" else ""
            raise GlyphMissing(
                f"{where} cannot be printed: the printing font cannot show one character of "
                f"“{shortened(composed)}”.",
                value=f"{shown} U+{ord(character):04X} {name}".strip(),
                expected="Latin, Greek or Cyrillic letters, digits and common signs",
                next_step="Write the text without this character and print again.",
            )
    return composed


def printable_lines(text: str, *, where: str) -> str:
    """The same for a text that may hold line breaks."""
    return "\n".join(printable(line, where=where) for line in text.split("\n"))
