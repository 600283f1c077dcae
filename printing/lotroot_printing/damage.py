"""What does a label look like after the floor, or in the frame of a camera?

Every damage takes a clean label and a case and gives an 8-bit grey picture; the same case gives the same
picture on every machine. Damage at printer dots stands for what smears, specks and fades a label; a frame
stands for a camera that sees so many pixels a module, held by hand.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from statistics import NormalDist
from typing import NamedTuple

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from lotroot_printing.drawing import Drawing, DrawnSymbol, dots

BLACK, WHITE = 0, 255
SCRATCH_MM, TORN_PART, SKEW_DEGREES, CONTRAST = 1.0, 0.2, 5.0, 0.3

# A camera held by hand over a label on steel: tilt in degrees, blur in pixels, black and white as it sees
# them, noise of a pixel as a standard deviation of 255 grey steps. Our own choice, no source.
_TILT, _SOFTNESS, _DARK, _LIGHT, _NOISE = 3.0, 0.6, 40, 210, 6.0
_RAGGED, _TEETH = 0.03, 40  # a torn edge: how far it wanders as a part of the side, and how often


@dataclass(frozen=True)
class Clean:
    """A label as printed: its drawing, and its picture in 8-bit grey, one pixel a printer dot."""

    drawing: Drawing
    picture: Image.Image


class Case(NamedTuple):
    """One case of a damage: what chance decides, and which of so many it is, for sides in turn."""

    chance: Random
    turn: int


Spoil = Callable[[Clean, Case, int], Image.Image]
"""From label, case, and the width of a module in dots that a camera is set to, to the spoiled picture."""


@dataclass(frozen=True)
class Damage:
    """One way to spoil a label; `framed` where each symbol is looked at in a frame of its own."""

    name: str
    spoil: Spoil
    framed: bool = False


def module_of(symbol: DrawnSymbol) -> int:
    """Dots a module: every symbology has bars or squares that are one module wide."""
    return min(bar.width for bar in symbol.bars)


def _blur(radius: float) -> Spoil:
    return lambda label, case, module: label.picture.filter(ImageFilter.GaussianBlur(radius))


def _noise(size: tuple[int, int], chance: Random) -> Image.Image:
    """A picture of evenly spread bytes."""
    return Image.frombytes("L", size, chance.randbytes(size[0] * size[1]))


def _speckle(part: float) -> Spoil:
    """Salt and pepper: that part of all dots is set anew, every other one black, the rest white."""
    least = round(part * 256)

    def spoil(label: Clean, case: Case, module: int) -> Image.Image:
        noise = _noise(label.picture.size, case.chance)
        hit = noise.point([WHITE if value < least else BLACK for value in range(256)])
        ink = noise.point([WHITE if value % 2 else BLACK for value in range(256)])
        return Image.composite(ink, label.picture, hit)

    return spoil


def _scratch(ink: int) -> Spoil:
    """A straight line across the whole label in any direction, through some point of a symbol."""

    def spoil(label: Clean, case: Case, module: int) -> Image.Image:
        area = case.chance.choice(label.drawing.symbols).area
        x = case.chance.uniform(area.x, area.right)
        y = case.chance.uniform(area.y, area.bottom)
        angle = case.chance.uniform(0, math.pi)
        reach = label.picture.width + label.picture.height
        across, down = reach * math.cos(angle), reach * math.sin(angle)
        picture = label.picture.copy()
        line = (x - across, y - down, x + across, y + down)
        ImageDraw.Draw(picture).line(line, fill=ink, width=dots(SCRATCH_MM, label.drawing.dpi))
        return picture

    return spoil


def _faded(label: Clean, case: Case, module: int) -> Image.Image:
    """Black and white pulled together around middle grey."""
    return label.picture.point([round(128 + (value - 128) * CONTRAST) for value in range(256)])


def _skewed(label: Clean, case: Case, module: int) -> Image.Image:
    angle = SKEW_DEGREES if case.turn % 2 else -SKEW_DEGREES
    return label.picture.rotate(angle, Image.Resampling.BILINEAR, expand=True, fillcolor=WHITE)


def _torn(label: Clean, case: Case, module: int) -> Image.Image:
    """A ragged strip of a fifth of the label gone, from each side in turn; behind it is some grey."""
    quarters = case.turn % 4
    picture = label.picture.rotate(90 * quarters, expand=True)
    width, height = picture.size
    edge = [
        (width * tooth / _TEETH, height * (TORN_PART + case.chance.uniform(-_RAGGED, _RAGGED)))
        for tooth in range(_TEETH + 1)
    ]
    behind = case.chance.randrange(256)
    ImageDraw.Draw(picture).polygon([(0, -1), *edge, (width, -1)], fill=behind)
    return picture.rotate(-90 * quarters, expand=True)


def _frame(pixels: float) -> Spoil:
    """What a camera sees at so many pixels a module of `module` dots; no edge lies on a pixel's edge.

    Drawn at twice its size, turned a little, then each pixel is what falls on it, blurred, pale and noisy.
    """
    grain = [
        max(0, min(255, round(128 + _NOISE * NormalDist().inv_cdf((value + 0.5) / 256))))
        for value in range(256)
    ]
    tones = [round(_DARK + value * (_LIGHT - _DARK) / 255) for value in range(256)]

    def spoil(label: Clean, case: Case, module: int) -> Image.Image:
        scale = 2 * pixels / module
        margin = round(8 * module)  # what is seen around the label
        beside, above = (round(margin + case.chance.uniform(0, module)) for _ in "xy")
        width, height = label.picture.width + 2 * margin, label.picture.height + 2 * margin
        seen = Image.new("L", (width + module, height + module), WHITE)
        seen.paste(label.picture, (beside, above))
        size = (2 * math.ceil(width * scale / 2), 2 * math.ceil(height * scale / 2))
        area = (0, 0, min(size[0] / scale, seen.width), min(size[1] / scale, seen.height))
        large = seen.resize(size, Image.Resampling.BOX, box=area)
        tilt = case.chance.uniform(-_TILT, _TILT)
        turned = large.rotate(tilt, Image.Resampling.BILINEAR, fillcolor=WHITE)
        small = turned.reduce(2).filter(ImageFilter.GaussianBlur(_SOFTNESS)).point(tones)
        return ImageChops.add(small, _noise(small.size, case.chance).point(grain), 1, -128)

    return spoil


DAMAGES: tuple[Damage, ...] = (
    Damage("none", lambda label, case, module: label.picture),
    Damage("blur 1 px", _blur(1)),
    Damage("blur 1.5 px", _blur(1.5)),
    Damage("speckle 5 %", _speckle(0.05)),
    Damage("speckle 10 %", _speckle(0.10)),
    Damage("scratch 1 mm, white", _scratch(WHITE)),
    Damage("scratch 1 mm, black", _scratch(BLACK)),
    Damage("contrast 30 %", _faded),
    Damage("skew 5 degrees", _skewed),
    Damage("20 % torn off", _torn),
    *(Damage(f"camera {pixels:g} px a module", _frame(pixels), framed=True) for pixels in (2, 2.5, 3, 4)),
)
