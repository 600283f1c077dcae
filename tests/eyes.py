"""How does a test see a label as a scanner does: fetch its bitmap over HTTP, and read what its bars say?"""

import io
import re
import time

import zxingcpp
from PIL import Image
from terminals import Terminal

PATIENCE = 15.0  # seconds in which the print worker makes a label, on a busy machine
_PICTURE = re.compile(r'src="(/labels/(\d+)\.png\?serial=(\d+))"')


def read(bitmap: bytes) -> str:
    """The number that both symbols of a label say; from copy 2 on the QR says which copy it is."""
    found = zxingcpp.read_barcodes(Image.open(io.BytesIO(bitmap)))
    kinds = {symbol.format.name: symbol.text for symbol in found}
    assert {"Code128", "QRCode"} <= set(kinds), kinds
    assert re.fullmatch(re.escape(kinds["Code128"]) + r"(K\d{1,2})?", kinds["QRCode"]), kinds
    return kinds["Code128"]


class Eyes:
    """Looks at the label tray; remembers which labels it has seen, so that the next is the new one."""

    def __init__(self, terminal: Terminal) -> None:
        self.terminal = terminal
        self.seen: set[str] = set()
        self.new_labels()

    def new_labels(self) -> list[tuple[str, str]]:
        """The addresses of labels printed since the last look, in the order of the tray, with their event."""
        page = self.terminal.client.get("/tray").text
        fresh = [(address, event) for address, event, _ in _PICTURE.findall(page) if event not in self.seen]
        self.seen |= {event for _, event in fresh}
        return fresh

    def label(self, letter: str) -> str:
        """What a label of that family says that was printed since the last look; waits for it."""
        return self.labels(letter, 1)[0]

    def labels(self, letter: str, count: int) -> list[str]:
        """What so many labels of a family say, the first printed first; others are not looked at again."""
        found: list[str] = []
        end = time.monotonic() + PATIENCE
        while len(found) < count:
            assert time.monotonic() < end, f"{count} labels {letter} were due, seen: {found}"
            fresh = [read(self.terminal.client.get(address).data) for address, _ in self.new_labels()]
            found += [text for text in sorted(fresh) if text.startswith(letter)]
            time.sleep(0.05)
        return found
