"""Which paper does a scanner read so that the page can tell how it is set?"""

from functools import cache

from lotroot_printing.render import render_trial
from lotroot_printing.trial import Block, Trial

from lotroot.identity.scanner_codes import BARS, CODES, QR
from lotroot.papers.sheets import Paper


@cache
def scanner_sheet(*, demo: bool = False) -> Paper:
    """The test sheet: the same test once as bars and once as QR."""
    lines = (
        "Open the page Try a scanner on the computer that the scanner is connected to.",
        "Scan 1, then 2. The page says what is found, and what to set on the scanner.",
        "Print at 100 %, not fitted to the page. These codes stand for nothing: no goods, no command.",
    )
    blocks = (
        Block("code128", CODES[BARS], "1  Bars", CODES[BARS]),
        Block("qr", CODES[QR], "2  QR", CODES[QR]),
    )
    made = render_trial(Trial("Try a scanner", lines, blocks, "DEMO" if demo else ""))
    return Paper(made.pdf, made.pages, tuple(symbol.text for symbol in made.symbols))
