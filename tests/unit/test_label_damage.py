"""Does each damage do what its name says, and is the same case always the same picture?"""

from pathlib import Path
from random import Random

import pytest
from label_pictures import ITEM, LAYOUTS, plain
from lotroot_printing import png
from lotroot_printing.compose import compose
from lotroot_printing.damage import DAMAGES, Case, Clean, Damage, module_of
from lotroot_printing.reading import ReadSymbol
from lotroot_printing.render import load_layout
from lotroot_printing.scanning import scan
from PIL import Image, ImageChops, ImageStat

NAMED = {damage.name: damage for damage in DAMAGES}
LABELS = Path(__file__).parents[2] / "templates" / "labels"


def clean(name: str = "lot", dpi: int | None = None) -> Clean:
    layout = load_layout(LABELS / f"{name}.toml", dpi)
    drawing = compose(layout, plain(layout, ITEM))
    return Clean(drawing, png.bitmap(drawing).convert("L"))


def spoiled(label: Clean, name: str, turn: int = 0, module: int = 6) -> Image.Image:
    return NAMED[name].spoil(label, Case(Random(turn), turn), module)


def changed(label: Clean, picture: Image.Image) -> Image.Image:
    """White where the picture is not as it was printed."""
    return ImageChops.difference(label.picture, picture).point(lambda value: 255 if value else 0)


def part(mask: Image.Image) -> float:
    """The white part of a black and white picture."""
    return ImageStat.Stat(mask).mean[0] / 255


def spread(picture: Image.Image) -> tuple[float, float]:
    lowest, highest = picture.getextrema()
    assert isinstance(lowest, (int, float))
    assert isinstance(highest, (int, float))
    return lowest, highest


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.name)
def test_the_same_case_gives_the_same_picture_and_the_label_stays_clean(damage: Damage) -> None:
    label = clean()
    before = label.picture.tobytes()
    first, second = (spoiled(label, damage.name, turn=3) for _ in range(2))
    assert first.mode == "L"
    assert first.tobytes() == second.tobytes()
    assert label.picture.tobytes() == before
    assert (damage.name == "none") == (first.tobytes() == before)


@pytest.mark.parametrize(("name", "share"), [("speckle 5 %", 0.05), ("speckle 10 %", 0.10)])
def test_specks_hit_the_part_of_dots_they_say_and_half_of_them_show(name: str, share: float) -> None:
    label = clean()
    assert part(changed(label, spoiled(label, name))) == pytest.approx(share / 2, rel=0.12)


@pytest.mark.parametrize(("name", "ink"), [("scratch 1 mm, white", 255), ("scratch 1 mm, black", 0)])
def test_a_scratch_is_a_millimetre_wide_and_meets_a_symbol(name: str, ink: int) -> None:
    for turn in range(12):
        label = clean()
        both = [Clean(label.drawing, Image.new("L", label.picture.size, tone)) for tone in (0, 255)]
        marks = [changed(each, spoiled(each, name, turn)) for each in both]
        line = marks[0] if ink else marks[1]
        assert part(marks[1] if ink else marks[0]) == 0, "it has one colour"
        areas = [each.area for each in label.drawing.symbols]
        assert any(line.crop((a.x, a.y, a.right, a.bottom)).getbbox() for a in areas)
        box = line.getbbox()
        assert box is not None
        length = ((box[2] - box[0]) ** 2 + (box[3] - box[1]) ** 2) ** 0.5
        inked = part(line) * line.width * line.height
        assert inked <= length * 203 / 25.4 * 1.2
        assert box[0] == 0 or box[2] == line.width or box[1] == 0 or box[3] == line.height


def test_contrast_is_three_tenths_around_middle_grey() -> None:
    assert spread(spoiled(clean(), "contrast 30 %")) == (90, 166)


@pytest.mark.parametrize(("turn", "side"), [(0, "top"), (1, "right"), (2, "bottom"), (3, "left")], ids=str)
def test_a_fifth_is_torn_off_from_each_side_in_turn(turn: int, side: str) -> None:
    label = clean()
    blank = Clean(label.drawing, Image.new("L", label.picture.size, 255))
    gone = changed(blank, spoiled(blank, "20 % torn off", turn))
    assert part(gone) == pytest.approx(0.2, abs=0.02)
    width, height = gone.size
    strips = {
        "top": (0, 0, width, height // 10),
        "bottom": (0, height - height // 10, width, height),
        "left": (0, 0, width // 10, height),
        "right": (width - width // 10, 0, width, height),
    }
    assert part(gone.crop(strips[side])) > 0.99


@pytest.mark.parametrize("module", [4, 8])
def test_a_frame_has_so_many_pixels_a_module(module: int) -> None:
    label = clean()
    for pixels in (2, 2.5, 3, 4):
        frame = spoiled(label, f"camera {pixels:g} px a module", module=module)
        margins = 2 * 8 * module
        assert frame.width == pytest.approx((label.picture.width + margins) * pixels / module, abs=2)
        darkest, lightest = spread(frame)
        assert 0 < darkest < 60
        assert 200 < lightest < 255


def test_a_module_is_as_wide_as_the_layout_makes_it() -> None:
    boxes = {each.kind: each.module for each in LAYOUTS["item"].elements if hasattr(each, "module")}
    layout = LAYOUTS["item"]
    drawing = compose(layout, plain(layout, {"number": "R2600012383", "shown": "R26-000123-83"}))
    assert {each.symbology: module_of(each) for each in drawing.symbols} == boxes


def test_a_speckled_label_is_read_when_its_specks_are_smoothed_away() -> None:
    label = clean()
    picture = spoiled(label, "speckle 10 %")
    wanted = {ReadSymbol(each.symbology, each.text) for each in label.drawing.symbols}
    assert scan(picture, ["code128", "qr"]) == wanted


def test_a_symbol_that_is_not_there_is_not_found() -> None:
    label = clean()
    assert {each.symbology for each in scan(label.picture, ["qr"])} == {"qr"}
    assert scan(Image.new("L", (300, 300), 255), ["code128", "qr", "datamatrix"]) == set()
