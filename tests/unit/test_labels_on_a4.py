"""Do labels on A4 lie where they should, to the dot, and does each of their symbols still read?"""

from dataclasses import replace

import pytest
from label_pictures import LAYOUTS, LOT, crop, pdf_images, plain
from lotroot_printing import png
from lotroot_printing.compose import compose
from lotroot_printing.drawing import Drawing, Rect, dots
from lotroot_printing.errors import FieldRefused
from lotroot_printing.pdf import pdf
from lotroot_printing.sheets_of_labels import Paper, pages_of_labels, places
from lotroot_printing.symbols import ReadSymbol, read_back
from PIL import ImageChops


def label(name: str = "item") -> Drawing:
    return compose(LAYOUTS[name], plain(LAYOUTS[name], LOT))


def blank(width_mm: float, height_mm: float, dpi: int) -> Drawing:
    """A label with one dot of ink in each corner, so that its place can be measured."""
    width, height = dots(width_mm, dpi), dots(height_mm, dpi)
    corners = [(0, 0), (width - 1, 0), (0, height - 1), (width - 1, height - 1)]
    return Drawing("blank", width, height, dpi, tuple(Rect(x, y, 1, 1) for x, y in corners))


@pytest.mark.parametrize(
    ("size", "dpi", "gap", "expected"),
    [
        ((100, 70), 203, (0, 0), 8),
        ((100, 70), 300, (0, 0), 8),
        ((105, 148), 300, (0, 0), 4),  # four A6 on an A4 (ISO 216)
        ((100, 150), 203, (0, 0), 2),
        ((75, 25), 300, (0, 0), 22),
        ((75, 25), 300, (0, 2), 22),
        ((75, 25), 300, (0, 3), 20),
        ((75, 25), 600, (10, 0), 22),
        ((210, 297), 203, (0, 0), 1),
    ],
)
def test_as_many_go_on_a_page_as_fit(size, dpi, gap, expected):
    assert places((dots(size[0], dpi), dots(size[1], dpi)), dpi, Paper(gap=gap)) == expected


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("offset", [(0, 0), (1.5, -2.25), (-3, 0.5), (0.1, 0)])
def test_an_offset_moves_every_label_by_that_many_dots(dpi, offset):
    at_rest, moved = (
        pages_of_labels([blank(100, 70, dpi)] * 8, Paper(each, ticks=False))[0] for each in ((0, 0), offset)
    )
    by = tuple(round(abs(mm) * dpi / 25.4 + 1e-9) * (1 if mm > 0 else -1) for mm in offset)
    assert [(b.x - a.x, b.y - a.y) for a, b in zip(at_rest.fills, moved.fills, strict=True)] == [by] * 32


def test_at_rest_the_labels_stand_in_the_middle_of_the_page_without_a_gap():
    page = pages_of_labels([blank(100, 70, 300)] * 8, Paper(ticks=False))[0]
    assert (page.width, page.height) == (2480, 3508)
    first, second, third = page.fills[0], page.fills[4], page.fills[8]
    width, height = dots(100, 300), dots(70, 300)
    assert (first.x, first.y) == ((2480 - 2 * width) // 2, (3508 - 4 * height) // 2)
    assert (second.x - first.x, second.y - first.y) == (width, 0)
    assert (third.x - first.x, third.y - first.y) == (0, height)


def test_a_gap_parts_the_labels_and_places_peeled_off_stay_empty():
    paper = Paper(gap=(2, 3), skip=5, ticks=False)
    first, second = pages_of_labels([blank(75, 25, 300)] * 17, paper)
    assert (len(first.fills) // 4, len(second.fills) // 4) == (15, 2)
    assert second.fills[4].x - second.fills[0].x == dots(75, 300) + dots(2, 300)
    assert first.fills[0].x == second.fills[4].x, "the sixth place is the right one of the third row"
    assert first.fills[0].y == second.fills[0].y + 2 * (dots(25, 300) + dots(3, 300))


@pytest.mark.parametrize("name", ["item", "pallet", "coil", "badge"])
def test_every_symbol_on_the_page_reads_back_from_its_own_place(name):
    labels = [label(name)] * places((label(name).width, label(name).height), label(name).dpi)
    page = pages_of_labels(labels)[0]
    image = png.bitmap(page)
    assert len(page.symbols) == sum(len(each.symbols) for each in labels)
    for symbol in page.symbols:
        read_back(crop(image, symbol.area), [ReadSymbol(symbol.symbology, symbol.text)])


def test_a_label_on_the_page_is_the_label_dot_for_dot():
    one = label()
    page = pages_of_labels([one] * 8, Paper(ticks=False))[0]
    alone, sheet = png.bitmap(one), png.bitmap(page)
    left = (page.width - 2 * one.width) // 2
    top = (page.height - 4 * one.height) // 2
    for at in range(8):
        there = Rect(left + at % 2 * one.width, top + at // 2 * one.height, one.width, one.height)
        assert ImageChops.difference(alone.convert("L"), crop(sheet, there).convert("L")).getbbox() is None


@pytest.mark.parametrize("name", ["item", "badge"])
def test_the_marks_for_the_knife_touch_no_label_s_ink_nor_quiet_zone(name):
    one = label(name)
    with_marks, without = (pages_of_labels([one] * 8, Paper(ticks=each))[0] for each in (True, False))
    ticks = with_marks.fills[len(without.fills) :]
    assert len(ticks) == 44, "8 on each of 3 upright edges, 4 on each of 5 level ones"
    claimed = [symbol.area for symbol in without.symbols] + list(without.fills)
    assert not [1 for tick in ticks for each in claimed if tick.overlaps(each)]


def test_the_pdf_of_a_page_is_its_bitmap():
    page = pages_of_labels([label()] * 3, Paper((1, 1)))[0]
    raster = pdf_images(pdf([page]), page.dpi)[0]
    assert raster.size == (page.width, page.height)
    for symbol in page.symbols:
        wanted = crop(png.bitmap(page).convert("L"), symbol.area)
        assert ImageChops.difference(wanted, crop(raster, symbol.area)).getbbox() is None


@pytest.mark.parametrize(
    ("labels", "paper", "problem", "value"),
    [
        ([], Paper(), "there is no label", "none"),
        ([blank(100, 70, 203), blank(100, 70, 300)], Paper(), "differ in size", "at 203 dpi"),
        ([blank(211, 70, 203)], Paper(), "larger than the page", "211 x 70 mm"),
        ([blank(100, 298, 203)], Paper(), "larger than the page", "100 x 298 mm"),
        ([blank(100, 70, 203)], Paper(skip=8), "not on the first page", "8"),
        ([blank(100, 70, 203)], Paper(skip=-1), "not on the first page", "-1"),
        ([blank(100, 70, 203)], Paper((21, 0)), "out of range", "21 mm"),
        ([blank(100, 70, 203)], Paper(gap=(-1, 0)), "out of range", "gap -1 mm"),
        ([blank(105, 148, 203)], Paper((1, -1)), "off the paper", "offset 1, -1 mm"),
    ],
)
def test_what_cannot_lie_on_a_page_is_refused_in_words(labels, paper, problem, value):
    with pytest.raises(FieldRefused) as refusal:
        pages_of_labels(labels, paper)
    assert problem in refusal.value.what
    assert value in refusal.value.value
    assert refusal.value.next_step


def test_text_off_the_paper_is_refused_too():
    one = label("pallet")
    near = replace(one, fills=(), symbols=())
    assert pages_of_labels([near] * 4, Paper((4, 0)))
    with pytest.raises(FieldRefused, match="off the paper"):
        pages_of_labels([near] * 4, Paper((15, 0)))
