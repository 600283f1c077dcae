"""Does a sheet of codes come out whole: every code, on as few pages as it takes, cut from A4?"""

import pytest
from label_pictures import crop, pdf_images, pdf_text, png_image
from lotroot_printing.errors import FieldRefused, GlyphMissing
from lotroot_printing.render import render_sheet
from lotroot_printing.sheets import Card, Section, Sheet, pages
from lotroot_printing.symbols import read

PEOPLE = tuple(
    Card(f"H1234567890123{number:03}", f"Person {number}", "Operator, drawing") for number in range(3)
)
COMMANDS = tuple(
    Card(text, text, "What it does, in a sentence that takes two lines.")
    for text in ("DONE", "UNDO", "PRINT AGAIN", "SAME AGAIN", "WAIT", "99", "9912345678")
)
LOTS = tuple(
    Card(number, "Coil", "Wire rod 5.50 mm, 2,040 kg", shown=f"{number[:3]}-{number[3:]}")
    for number in ("C2600001284", "R2600012383", "R2600012383001720")
)
SHEET = Sheet(
    "Practice sheet",
    (Section("People", PEOPLE), Section("Commands", COMMANDS), Section("Lots", LOTS)),
    note="Invented data. Print at 100 %.",
    demo="DEMO",
)


@pytest.mark.parametrize("columns", [1, 2])
def test_every_code_of_a_sheet_reads_back_twice(columns):
    rendered = render_sheet(Sheet(SHEET.title, SHEET.sections, SHEET.note, columns, SHEET.demo))
    texts = [card.text for section in SHEET.sections for card in section.cards]
    assert [each.text for each in rendered.symbols] == [text for text in texts for _ in range(2)]
    assert {each.symbology for each in rendered.symbols} == {"code128", "qr"}


def test_pages_are_a4_at_300_dpi_and_the_pdf_has_the_same_dots():
    rendered = render_sheet(SHEET)
    drawings = pages(SHEET)
    rasters = pdf_images(rendered.pdf, 300)
    assert len(drawings) == len(rendered.pages) == len(rasters) == 2
    for drawing, page, raster in zip(drawings, rendered.pages, rasters, strict=True):
        image = png_image(page)
        assert image.size == raster.size == (2480, 3508)
        for symbol in drawing.symbols:
            assert crop(raster, symbol.area).tobytes() == crop(image, symbol.area).tobytes()


def test_a_whole_page_held_before_a_camera_shows_every_code_of_it():
    sheet = Sheet("People", (Section("People", PEOPLE),))
    found = {text for _, text in read(png_image(render_sheet(sheet).pages[0]), "code128", "qr")}
    assert found == {card.text for card in PEOPLE}


def test_text_of_a_sheet_says_page_demo_headings_and_the_number_for_people():
    text = pdf_text(render_sheet(SHEET).pdf)
    for part in ("Page 1 of 2", "Page 2 of 2", "DEMO", "People", "Commands", "C26-00001284", "Person 2"):
        assert part in text


def test_nothing_overlaps_and_nothing_leaves_the_page():
    for drawing in pages(SHEET):
        areas = [symbol.area for symbol in drawing.symbols]
        assert not any(a.overlaps(b) for a in areas for b in areas if a is not b)
        assert all(area.right <= drawing.width and area.bottom <= drawing.height for area in areas)


def test_a_note_of_two_lines_leaves_the_bars_below_it_clear():
    (drawing,) = pages(Sheet("Commands", (Section("", COMMANDS),)))
    image = png_image(render_sheet(Sheet("Commands", (Section("", COMMANDS),))).pages[0])
    for symbol in drawing.symbols:
        if symbol.symbology == "code128":
            area = symbol.area
            above = image.crop((area.x + 12, area.y - 12, area.x + area.width, area.y))  # past the frame
            assert above.getextrema() == (255, 255), symbol.text  # 12 dots are a millimetre


def test_twelve_cards_go_on_a_page_and_a_heading_never_ends_one():
    cards = tuple(Card(f"CODE{number:02}", "Place") for number in range(13))
    assert [len(page.symbols) // 2 for page in pages(Sheet("Places", (Section("", cards),)))] == [12, 1]
    first, second = pages(Sheet("Places", (Section("Yard", cards[:12]), Section("Hall", cards[12:]))))
    assert "Hall" not in [run.text for run in first.texts]
    assert "Hall" in [run.text for run in second.texts]


def test_sheets_are_the_same_bytes_each_time():
    first, second = render_sheet(SHEET), render_sheet(SHEET)
    assert (first.pdf, first.pages) == (second.pdf, second.pages)


@pytest.mark.parametrize(
    ("sheet", "message"),
    [
        (Sheet("Empty", ()), "it has no card"),
        (Sheet("Wide", (Section("", COMMANDS),), columns=3), "columns are not known"),
        (Sheet("Long", (Section("", (Card("X" * 60, "Long", shown="X"),)),)), "too wide"),
        (Sheet("Long", (Section("", (Card("X", "word " * 30),)),)), "does not fit"),
    ],
)
def test_a_sheet_that_cannot_be_printed_well_is_refused(sheet, message):
    with pytest.raises(FieldRefused, match=message):
        pages(sheet)


def test_a_missing_glyph_refuses_the_sheet():
    with pytest.raises(GlyphMissing):
        pages(Sheet("Names", (Section("", (Card("X1", "线"),)),)))
