"""What does somebody who scans a spoiled label get to read?

A scanner or a camera looks more than once, at its own size and smaller, where the look after printing is
at the very dots and no other. What is read here is not yet believed: only the check digits of a number
tell a reading from a misreading.
"""

from collections.abc import Callable, Collection

from PIL import Image, ImageFilter

from lotroot_printing.reading import ReadSymbol, read

_SMALL = 400_000  # pixels up to which a picture is enlarged: above it modules have pixels enough


def _enlarged(picture: Image.Image) -> Image.Image | None:
    """Twice as wide and high: squares of two pixels a module, which the decoder often misses, are found."""
    if picture.width * picture.height > _SMALL:
        return None
    return picture.resize((picture.width * 2, picture.height * 2), Image.Resampling.BICUBIC)


def _without_specks(picture: Image.Image) -> Image.Image:
    """The median of nine pixels: the decoder trusts single pixels, where a scanner's lens smears them."""
    return picture.filter(ImageFilter.MedianFilter(3))


_LOOKS: tuple[Callable[[Image.Image], Image.Image | None], ...] = (
    lambda picture: picture,
    _without_specks,
    _enlarged,
)


def scan(picture: Image.Image, kinds: Collection[str]) -> set[ReadSymbol]:
    """Every symbol of these kinds in an 8-bit grey picture; a kind not found in one look has the next."""
    found: set[ReadSymbol] = set()
    for look in _LOOKS:
        missing = set(kinds) - {each.symbology for each in found}
        seen = look(picture) if missing else None
        if seen is not None:
            found |= set(read(seen, *sorted(missing), as_scanned=True))
    return found
