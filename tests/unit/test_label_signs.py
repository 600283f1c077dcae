"""Are the signs for cautions the same in bitmap and PDF, on their place, and told apart?"""

import itertools

import pytest
from label_pictures import pdf_images
from lotroot_printing import png
from lotroot_printing.drawing import Drawing, Rect, dots
from lotroot_printing.pdf import pdf
from lotroot_printing.signs import NAMES, sign_dots


def drawing(name, dpi, mm, area=None):
    side = dots(mm, dpi)
    page = (side + 20, side + 20)
    return Drawing(name, *page, dpi, fills=sign_dots(name, area or Rect(10, 10, side, side)))


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("mm", [8, 10, 15])
@pytest.mark.parametrize("name", NAMES)
def test_a_sign_is_the_same_dots_in_bitmap_and_pdf(name, mm, dpi):
    drawn = drawing(name, dpi, mm)
    (page,) = pdf_images(pdf([drawn]), dpi)
    assert page.tobytes() == png.bitmap(drawn).convert("L").tobytes()


@pytest.mark.parametrize("name", NAMES)
def test_a_sign_stands_in_the_middle_of_its_area_and_fills_it(name):
    side = dots(15, 203)
    found = sign_dots(name, Rect(100, 50, side + 40, side))
    left, top = min(each.x for each in found), min(each.y for each in found)
    right, bottom = max(each.right for each in found), max(each.bottom for each in found)
    assert Rect(120, 50, side, side).holds(Rect(left, top, right - left, bottom - top))
    assert max(right - left, bottom - top) > 0.85 * side
    assert abs((left - 120) - (120 + side - right)) <= 0.15 * side


@pytest.mark.parametrize("name", NAMES)
def test_a_sign_s_thinnest_strokes_and_gaps_are_more_than_a_dot_at_eight_millimetres(name):
    # A dot alone burns in or drops out on a thermal printer (common practice, no source).
    image = png.bitmap(drawing(name, 203, 8)).convert("L")
    wrong = 0
    for line in _lines(image):
        runs = [(value, len(list(group))) for value, group in itertools.groupby(line)]
        wrong += sum(length == 1 for _, length in runs[1:-1])
    assert wrong <= 0.02 * image.width * image.height


def _lines(image):
    data, width = image.tobytes(), image.width
    rows = [data[at : at + width] for at in range(0, len(data), width)]
    return rows + [bytes(column) for column in zip(*rows, strict=True)]


def test_no_sign_looks_like_another():
    # At 10 mm, 203 dpi: at least a twentieth of the dots differ.
    pictures = [png.bitmap(drawing(name, 203, 10)).convert("L").tobytes() for name in NAMES]
    for one, other in itertools.combinations(pictures, 2):
        different = sum(a != b for a, b in zip(one, other, strict=True))
        assert different > len(one) / 20
