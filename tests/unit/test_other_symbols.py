"""Do Data Matrix and GS1 symbols say what they should, at the sizes their standards ask?"""

import pytest
import zxingcpp
from label_pictures import crop, pdf_images, png_image, runs
from lotroot_printing.checks import check
from lotroot_printing.compose import compose
from lotroot_printing.drawing import millimetres
from lotroot_printing.errors import FieldRefused, LayoutRefused
from lotroot_printing.layout_file import read_layout
from lotroot_printing.render import render
from lotroot_printing.symbols import ReadSymbol, modules, read, said

TRIAL = """
name = "trial"
size = [105, 148]
dpi = [203, 300, 600]
optional = ["copy", "sscc", "goods"]
element = [
  { name = "bars", kind = "code128", at = [0, 5], size = [67, 15], text = "{number}", module = 0.375 },
  { name = "matrix", kind = "datamatrix", at = [70, 5], size = [20, 20], text = "{scan}", module = 0.5 },
  { name = "unit", kind = "gs1_128", at = [4, 60], size = [97, 32.2], text = "{sscc}", module = 0.5 },
  { name = "goods", kind = "gs1_datamatrix",at = [4, 100], size = [30, 30], text = "{goods}", module = 0.75 },
]
[sample]
number = "R2600012383001720"
copy = "99"
sscc = "(00)395212340000000014"
goods = "(01)09521234000013(10)LOT-0042(3103)012500"
"""
DPI = pytest.mark.parametrize("dpi", [203, 300, 600])
NUMBER = {"number": "R2600012383"}
SSCC, GOODS = "(00)395212340000000014", "(01)09521234000013(10)LOT-0042(3103)012500"


def layout(dpi=203, text=TRIAL):
    return check(read_layout(text, "trial")[dpi])


# Sizes in modules without quiet zone: the smallest square of ISO/IEC 16022 that holds it.
@pytest.mark.parametrize(
    ("text", "side"),
    [("R2600012383", 14), ("R2600012383K2", 14), ("R2600012383001720", 16), ("R2600012383001720K12", 16)],
)
def test_a_data_matrix_is_square_however_long_the_number(text, side):
    # Left to itself the writer makes 8 x 32 of an item's number.
    assert modules("datamatrix", text) == side + 2


@DPI
@pytest.mark.parametrize("number", ["R2600012383", "R2600012383001720"])
def test_a_data_matrix_reads_back_from_png_and_pdf_with_its_copy(dpi, number):
    rendered = render(layout(dpi), {"number": number, "copy": "2"})
    assert rendered.symbols == (("code128", number), ("datamatrix", f"{number}K2"))
    (page,) = pdf_images(rendered.pdf, dpi)
    assert read(page, "datamatrix") == [ReadSymbol("datamatrix", f"{number}K2")]
    drawn = next(
        each for each in compose(layout(dpi), {"number": number}).symbols if each.symbology != "code128"
    )
    module, spare = divmod(drawn.area.width, modules("datamatrix", number))
    assert spare == 0
    edge = runs(crop(png_image(rendered.png), drawn.area), module + module // 2)
    assert edge[0] == (False, module)  # its quiet zone is one module
    assert {length for dark, length in edge[1:-1]} == {module}  # the clock track along its top


@DPI
def test_gs1_symbols_tell_the_scanner_that_they_are(dpi):
    rendered = render(layout(dpi), NUMBER | {"sscc": SSCC, "goods": GOODS})
    found = zxingcpp.read_barcodes(png_image(rendered.png))
    # Facts, sections 2.1 and 2.3, measured with another decoder's words for the same symbols.
    assert {(each.symbology_identifier, each.bytes) for each in found} == {
        ("]C0", b"R2600012383"),
        ("]d1", b"R2600012383"),
        ("]C1", b"00395212340000000014"),
        ("]d2", b"010952123400001310LOT-0042\x1d3103012500"),
    }
    (page,) = pdf_images(rendered.pdf, dpi)
    assert set(read(page, "code128", "datamatrix")) == set(rendered.symbols)


@DPI
def test_a_shipping_unit_s_bars_are_as_wide_and_high_as_gs1_asks(dpi):
    drawing = compose(layout(dpi), NUMBER | {"sscc": SSCC})
    area = next(each.area for each in drawing.symbols if each.symbology == "gs1_128")
    module, spare = divmod(area.width, 156 + 20)  # 156 modules: facts, section 2.2
    assert spare == 0
    assert 0.495 <= millimetres(module, dpi) <= 1.016
    assert millimetres(area.height, dpi) >= 32
    assert millimetres(area.width, dpi) <= 165.10


def test_gs1_symbols_are_drawn_only_where_their_fields_are_given():
    assert {each.symbology for each in compose(layout(), NUMBER).symbols} == {"code128", "datamatrix"}


# Separators: GS1 General Specifications, elements of predefined length need none.
@pytest.mark.parametrize(
    ("text", "data"),
    [
        ("(00)395212340000000014", "00395212340000000014"),
        ("(01)09521234000013(3103)012500(10)LOT-0042", "0109521234000013310301250010LOT-0042"),
        ("(10)LOT-0042(01)09521234000013(21)7", "10LOT-0042\x1d0109521234000013217"),
        ("(240)A(37)12(20)05(400)PO1", "240A\x1d3712\x1d2005400PO1"),
        ("(8020)B(90)Q", "8020B\x1d90Q"),
    ],
)
def test_element_strings_are_joined_by_separators_where_they_must_be(text, data):
    assert said("gs1_128", text) == data
    assert modules("gs1_128", text)  # its bars were read back and said the same


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("395212340000000014", "(AI)value"),
        ("(00)3952123400000000", "18 characters after (00)"),
        ("(10)LOT 42", "(AI)value"),
        ("(10)LOT(42", "(AI)value"),
        ("(10)" + "A" * 20 + "(21)" + "B" * 20 + "(90)12", "at most 48 characters"),
        ("(7777)A", "Invalid AI"),
        ("(10)" + "A" * 21, "Invalid data length"),
        ("", "1 to 300 characters"),
        ("(10)" + "A" * 10_000, "1 to 300 characters"),
    ],
)
def test_what_is_no_element_string_is_refused(text, expected):
    with pytest.raises(FieldRefused, match="symbol cannot be made") as refusal:
        modules("gs1_128", text)
    assert expected in refusal.value.expected
    assert len(refusal.value.value) < 400
    assert refusal.value.next_step


def test_the_refusal_on_a_label_names_layout_and_element():
    with pytest.raises(FieldRefused, match="Label trial, element unit cannot be printed: no symbol"):
        compose(layout(), NUMBER | {"sscc": "395212340000000014"})


def test_a_symbol_longer_than_gs1_allows_is_refused_though_the_area_has_room():
    wide = TRIAL.replace("[105, 148]", "[250, 148]").replace("size = [97, 32.2]", "size = [240, 32.2]")
    with pytest.raises(FieldRefused, match="quiet zones is too wide") as refusal:
        compose(layout(text=wide), NUMBER | {"sscc": "(10)" + "ABCDEFGHIJ" * 2 + "(21)KLMNO"})
    assert refusal.value.expected == "at most 165.0 mm"


REFUSED = [
    # what is changed, into what, found named, expected named
    ("size = [20, 20]", "size = [20, 5]", "1 module on all sides", "5.0 mm at 203 dpi", "at least 6.0 mm"),
    ("size = [97, 32.2]", "size = [33, 32.2]", "10 modules left and right", "33.0 mm", "at least 44.0 mm"),
    ("size = [97, 32.2]", "size = [97, 31.5]", "bars are too low for GS1-128", "31.4 mm", "at least 32.0 mm"),
    ('"{sscc}", module = 0.5', '"{sscc}", module = 0.45', "element unit", "0.423 mm", "0.495 to 1.016"),
    ('"{goods}", module = 0.75', '"{goods}", module = 1.6', "element goods", "1.627 mm", "to 1.524 mm"),
    ('"{goods}", module = 0.75', '"{goods}", module = 0.5', "element goods", "0.500 mm", "0.743 to"),
]


@pytest.mark.parametrize(("old", "new", "where", "found", "expected"), REFUSED, ids=lambda text: text[:25])
def test_a_symbol_that_gs1_or_a_scanner_would_not_take_is_refused(old, new, where, found, expected):
    assert TRIAL.count(old) == 1
    with pytest.raises(LayoutRefused) as refusal:
        for dpi in (203, 300, 600):
            layout(dpi, TRIAL.replace(old, new))
    error = refusal.value
    assert where in error.what
    assert found in error.value
    assert expected in error.expected
