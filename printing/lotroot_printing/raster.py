"""How does a label become PWG raster, the bitmap that IPP printers take at their own resolution?

PWG 5102.4: the word "RaS2", then for each page a header of 1,796 bytes and the lines, equal lines in a row
written once with their count, and within a line equal bytes written once with theirs. Nothing is scaled:
one bit of the label's bitmap is one dot of the printer. `decode` is the same backwards, for the tests and
for whoever asks what a printer was sent.
"""

import io
import itertools
import struct
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from PIL import Image

SYNC = b"RaS2"
BLACK_1, SGRAY_8 = "black_1", "sgray_8"
"""The two kinds of dots we write: one bit, 1 is black; one byte, 255 is white (PWG 5102.4, table 6)."""

_POINTS, _HEADER = 72, 1796
_MOST_LINES, _MOST_SAME, _MOST_OTHER = 256, 128, 128
_SPACES = {BLACK_1: (3, 1), SGRAY_8: (18, 8)}  # cupsColorSpace, bits a dot
_TURNED = bytes(255 - byte for byte in range(256))  # a picture's 1 is white, the raster's is black
_HEAD = struct.Struct(">256s 41I I f 2f 4f 16I 16f 1024s 192s")


@dataclass(frozen=True)
class Page:
    """One page read back: dots wide and high, dots an inch, and its lines as they were before packing."""

    width: int
    height: int
    dpi: int
    kind: str
    lines: tuple[bytes, ...]


def encode(pages: Iterable[Image.Image], dpi: int, kind: str = BLACK_1) -> bytes:
    """1-bit pictures of `dpi` dots an inch as one document, a page each."""
    out = io.BytesIO()  # a block is tens of megabytes, which are not to be there twice
    out.write(SYNC)
    for image in pages:
        out.write(_page(image, dpi, kind))
    return out.getvalue()


def _page(image: Image.Image, dpi: int, kind: str) -> bytes:
    lines = _lines(image, kind)
    return _header(image.size, dpi, kind) + b"".join(_packed(lines))


def _lines(image: Image.Image, kind: str) -> list[bytes]:
    if kind == BLACK_1:
        row, content = (image.width + 7) // 8, image.tobytes().translate(_TURNED)
        spare = -image.width % 8
        lines = [content[at : at + row] for at in range(0, len(content), row)]
        # beyond the right edge there is paper, not ink
        return [line[:-1] + bytes([line[-1] >> spare << spare]) for line in lines] if spare else lines
    content = image.convert("L").tobytes()
    return [content[at : at + image.width] for at in range(0, len(content), image.width)]


def _header(size: tuple[int, int], dpi: int, kind: str) -> bytes:
    """The page's header; what a label has no use for is zero, which means the printer's own."""
    (width, height), (space, bits) = size, _SPACES[kind]
    words = dict.fromkeys(range(41), 0)
    words |= {5: dpi, 6: dpi, 21: 1}  # resolution across and along, one copy
    words |= {24: round(width * _POINTS / dpi), 25: round(height * _POINTS / dpi)}
    words |= {29: width, 30: height, 32: bits, 33: bits, 34: (width * bits + 7) // 8, 36: space}
    numbers = [0] * 16
    numbers[1] = numbers[2] = 1  # neither mirrored nor turned
    page = (width * _POINTS / dpi, height * _POINTS / dpi)
    names = b"PwgRaster".ljust(64, b"\0") + bytes(192)
    return _HEAD.pack(
        names, *words.values(), 1, 0.0, *page, *[0.0] * 4, *numbers, *[0.0] * 16, bytes(1024), bytes(192)
    )


def _packed(lines: Iterable[bytes]) -> Iterator[bytes]:
    for line, same in itertools.groupby(lines):
        count, packed = len(list(same)), _packed_line(line)
        while count:
            now = min(count, _MOST_LINES)
            yield bytes([now - 1]) + packed
            count -= now


def _packed_line(line: bytes) -> bytes:
    """One line: a count less one and the byte it repeats, or 257 less a count and so many bytes."""
    out, others = bytearray(), bytearray()
    for byte, same in itertools.groupby(line):
        count = len(list(same))
        if count == 1:
            others.append(byte)
            continue
        _flush(out, others)
        for now in _parts(count, _MOST_SAME):
            out += bytes((now - 1, byte))
    _flush(out, others)
    return bytes(out)


def _flush(out: bytearray, others: bytearray) -> None:
    at = 0
    for now in _parts(len(others), _MOST_OTHER):
        out.append(0 if now == 1 else 257 - now)
        out += others[at : at + now]
        at += now
    others.clear()


def _parts(count: int, most: int) -> Iterator[int]:
    while count:
        now = min(count, most)
        yield now
        count -= now


def decode(content: bytes) -> tuple[Page, ...]:
    """The pages of a document that `encode` wrote. Raises ValueError for anything else."""
    if content[:4] != SYNC:
        raise ValueError("This is no PWG raster: it does not begin with RaS2.")
    pages, at = [], 4
    while at < len(content):
        fields = _HEAD.unpack_from(content, at)
        words = fields[1:42]
        kind = next(name for name, known in _SPACES.items() if known == (words[36], words[32]))
        lines, at = _unpacked(content, at + _HEADER, words[30], words[34])
        pages.append(Page(words[29], words[30], words[5], kind, lines))
    return tuple(pages)


def _unpacked(content: bytes, at: int, height: int, row: int) -> tuple[tuple[bytes, ...], int]:
    lines: list[bytes] = []
    while len(lines) < height:
        again, line, at = content[at] + 1, bytearray(), at + 1
        while len(line) < row:
            count = content[at]
            if count < _MOST_SAME:
                line += content[at + 1 : at + 2] * (count + 1)
                at += 2
            else:
                line += content[at + 1 : at + 258 - count]
                at += 258 - count
        lines += [bytes(line)] * again
    return tuple(lines), at
