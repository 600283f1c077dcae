"""What happens to the texts of a label: sizes, breaks, refusals, copies?"""

import pytest
from label_pictures import FROM_TWO_METRES, ITEM, LAYOUTS, LOT, crop, dark_rows, plain, png_image
from lotroot_printing import fonts
from lotroot_printing.compose import compose
from lotroot_printing.drawing import Rect, millimetres
from lotroot_printing.errors import FieldRefused, GlyphMissing
from lotroot_printing.fit import Room, fit
from lotroot_printing.render import render
from PIL import ImageFont

LEAST_TEXT_MM = 2.3  # capitals on every label; 16 minutes of arc at half a metre (ISO 9241-3, second hand)
PALLET_NUMBER_MM = 12  # capitals of a number read from two metres; 20 minutes of arc (the same)


def test_the_font_has_the_measures_the_code_counts_with():
    font = ImageFont.truetype(str(fonts.FONT_PATH), fonts.EM, layout_engine=ImageFont.Layout.BASIC)
    assert font.getlength("0") == font.getlength("W") == fonts.ADVANCE
    assert font.getbbox("H", anchor="ls")[1] == -fonts.CAPITAL
    assert font.getmetrics() == (fonts.ASCENT, fonts.DESCENT)


@pytest.mark.parametrize("name", LAYOUTS)
def test_no_text_on_any_label_is_smaller_than_it_may_be(name):
    drawing = compose(LAYOUTS[name], LAYOUTS[name].sample)
    smallest = min(run.pitch for run in drawing.texts)
    assert millimetres(fonts.capital_dots(smallest), drawing.dpi) >= LEAST_TEXT_MM


def test_the_smallest_capital_is_that_high_in_printed_dots():
    layout = LAYOUTS["lot"]
    drawing = compose(layout, plain(layout, LOT) | {"extra": "H" * 44, "caution": ""})
    line = next(run for run in drawing.texts if run.text.startswith("HHH"))
    image = png_image(render(layout, plain(layout, LOT) | {"extra": "H" * 44, "caution": ""}).png)
    around = Rect(line.x, line.baseline - 30, 200, 32)
    assert millimetres(max(dark_rows(crop(image, around))), 203) >= LEAST_TEXT_MM


@pytest.mark.parametrize("name", FROM_TWO_METRES)
def test_a_number_read_from_the_forklift_has_capitals_of_twelve_millimetres(name):
    layout = LAYOUTS[name]
    image = png_image(render(layout, plain(layout, LOT)).png)
    number = next(element for element in layout.elements if element.name == "number")
    heights = dark_rows(crop(image, number.area))
    assert len(heights) == 2
    assert min(millimetres(height, layout.dpi) for height in heights) >= PALLET_NUMBER_MM


@pytest.mark.parametrize("name", FROM_TWO_METRES)
def test_a_number_too_long_for_that_size_is_refused_not_shrunk(name):
    with pytest.raises(FieldRefused, match="element number cannot be printed: the text does not fit"):
        compose(LAYOUTS[name], plain(LAYOUTS[name], ITEM))


FITS = [
    # text, most lines, number -> lines, pitch; room of 100 x 100 dots, pitches 20 down to 10
    ("COIL", 1, False, ("COIL",), 20),
    ("COIL TAG", 1, False, ("COIL TAG",), 12),
    ("COIL TAG", 2, False, ("COIL TAG",), 12),
    ("COIL TAG 17", 2, False, ("COIL", "TAG 17"), 16),
    ("COIL\nTAG", 2, False, ("COIL", "TAG"), 20),
    ("COIL\nTAG", 1, False, None, 0),
    ("COIL-TAG-17", 2, False, None, 0),
    ("C26-000012", 2, True, ("C26-000012",), 10),
    ("C26-000012-84", 2, True, ("C26-", "000012-84"), 11),
    ("C26-000012-84", 1, True, None, 0),
    ("COILCOILCOIL", 3, False, None, 0),
]


@pytest.mark.parametrize(("text", "lines", "number", "expected", "pitch"), FITS)
def test_a_text_shrinks_then_wraps_then_is_refused(text, lines, number, expected, pitch):
    fitted = fit(text, Room(100, 100, 20, 10, lines, number))
    assert (fitted.lines, fitted.pitch) == (expected, pitch) if expected else fitted is None


MISSING = [
    ("Draht 2,5 mm 线", "线 U+7EBF"),
    ("mesh 🐎", "🐎 U+1F40E HORSE"),
    ("tab\there", "U+0009"),
    ("שלום", "U+05E9 HEBREW LETTER SHIN"),
    ("x\N{COMBINING ENCLOSING CIRCLE BACKSLASH}", "U+20E0"),
    ("zero\N{ZERO WIDTH SPACE}width", "U+200B ZERO WIDTH SPACE"),
]


@pytest.mark.parametrize(("product", "named"), MISSING)
def test_a_character_without_a_glyph_refuses_the_label_and_is_named(product, named):
    with pytest.raises(GlyphMissing) as refusal:
        render(LAYOUTS["lot"], plain(LAYOUTS["lot"], LOT) | {"product": product})
    assert named in refusal.value.value
    assert "Label lot, element product" in refusal.value.what
    assert "print again" in refusal.value.next_step


@pytest.mark.parametrize(
    "product", ["Łódź Привет Ελλάδα", "Ø 3,15 ± 0,03 mm · ½″", "a\N{COMBINING ACUTE ACCENT}"]
)
def test_letters_of_the_plant_s_languages_print(product):
    assert render(LAYOUTS["lot"], plain(LAYOUTS["lot"], LOT) | {"product": product}).png


def texts_of(layout, fields):
    return [run.text for run in compose(layout, fields).texts]


@pytest.mark.parametrize(
    ("copy", "printed", "scanned"),
    [("", None, "R2600012383"), ("1", None, "R2600012383"), ("2", "COPY 2", "R2600012383K2")],
)
def test_from_copy_two_on_label_and_matrix_say_which_copy(copy, printed, scanned):
    fields = plain(LAYOUTS["lot"], LOT) | {"copy": copy, "mark": ""}
    copies = [text for text in texts_of(LAYOUTS["lot"], fields) if text.startswith("COPY")]
    assert copies == ([printed] if printed else [])
    assert dict(render(LAYOUTS["lot"], fields).symbols) == {"code128": "R2600012383", "qr": scanned}


def test_a_label_that_replaces_another_is_counted_and_called_no_copy():
    fields = plain(LAYOUTS["pallet"], LAYOUTS["pallet"].sample) | {"copy": "2", "mark": "LABEL"}
    texts = texts_of(LAYOUTS["pallet"], fields)
    assert "LABEL 2" in texts
    assert not [text for text in texts if "COPY" in text]


@pytest.mark.parametrize("copy", ["0", "100", "two", "2 "])
def test_a_copy_that_is_no_count_is_refused(copy):
    with pytest.raises(FieldRefused, match="its copy is no count"):
        compose(LAYOUTS["lot"], plain(LAYOUTS["lot"], LOT) | {"copy": copy})


def test_a_missing_or_unknown_field_is_refused_by_name():
    layout = LAYOUTS["lot"]
    with pytest.raises(FieldRefused) as missing:
        compose(layout, {"number": "R2600012383", "shown": "R26-000123-83", "kind": " "})
    assert missing.value.value == "kind"
    with pytest.raises(FieldRefused) as unknown:
        compose(layout, plain(layout, LOT) | {"produkt": "wire"})
    assert unknown.value.value == "produkt"


def test_a_label_of_only_the_required_fields_has_no_empty_captions_or_frames():
    layout = LAYOUTS["coil"]
    drawing = compose(layout, {**LOT, "kind": "Coil"})
    assert [run.text for run in drawing.texts] == ["Coil", "R26-000123-83", "R26-000123-83"]
    assert drawing.fills == ()


def test_marks_for_demo_hold_and_part_stand_white_on_black():
    layout = LAYOUTS["part_coil"]
    drawing = compose(layout, plain(layout, LOT) | {"demo": "DEMO", "held": "ON HOLD"})
    assert {run.text for run in drawing.texts if run.white} == {"DEMO", "ON HOLD", "PART"}


def test_a_line_with_an_absent_field_is_left_out_and_the_other_lines_stay():
    layout, fields = LAYOUTS["lot"], plain(LAYOUTS["lot"], LOT)
    both = texts_of(layout, fields | {"caution": "Sharp ends.", "extra": "Pan 17"})
    alone = texts_of(layout, fields | {"caution": "", "extra": "Pan 17"})
    assert both[-2:] == ["Sharp ends.", "Pan 17"]
    assert alone[-1] == "Pan 17"
    assert "Sharp ends." not in alone
