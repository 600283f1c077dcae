"""Does a print job's label come at the resolution of the printer it goes to?"""

import io
import json
from types import SimpleNamespace

import pytest
from label_pictures import pdf_images
from lotroot.identity import ItemNumber, make
from lotroot.labelling.rendering import LabelUnprintable, bitmaps, picture, pictures_pdf, texts_read_back
from lotroot_printing.symbols import ReadSymbol, read
from PIL import Image

NAILS = make("N", 26, 44)


def job(layout="item", first=1, last=3, copy=1):
    """A block of boxes, as a print job holds it."""
    fields = {"kind": "Box", "product": "Common nail 3.15 x 70 mm", "date": "24 Nov 2026 14:05"}
    return SimpleNamespace(
        number=str(NAILS), first=first, last=last, copy=copy, layout=layout, fields=json.dumps(fields)
    )


@pytest.mark.parametrize(("dpi", "size"), [(None, (799, 559)), (203, (799, 559)), (300, (1181, 827))])
def test_a_job_gives_one_picture_a_label_in_the_printer_s_own_dots(dpi, size):
    found = list(bitmaps(job(), dpi=dpi))
    assert [(each.mode, each.size) for each in found] == [("1", size)] * 3
    codes = [str(ItemNumber(NAILS, serial)) for serial in (1, 2, 3)]
    assert [read(each, "code128") for each in found] == [[ReadSymbol("code128", code)] for code in codes]
    assert texts_read_back(job(), dpi=dpi) == tuple(codes)


def test_picture_and_pdf_are_of_that_resolution_too():
    made = picture(job(), 2, dpi=300)
    with Image.open(io.BytesIO(made.png)) as image:
        assert image.size == (1181, 827)
        assert image.info["dpi"] == pytest.approx((300, 300), abs=0.02)
    (page,) = pdf_images(made.pdf, 300)
    assert page.size == (1181, 827)
    assert set(read(page, "code128", "qr")) == {ReadSymbol(kind, made.number) for kind in ("code128", "qr")}
    assert len(pdf_images(pictures_pdf(job(), dpi=300), 300)) == 3


def test_a_label_is_drawn_when_its_turn_comes():
    block = bitmaps(job(first=1, last=9999))
    assert [next(block).size for _ in range(2)] == [(799, 559)] * 2


def test_a_printer_the_layout_is_not_made_for_is_refused_naming_what_would_do():
    with pytest.raises(LabelUnprintable, match="Layout item is not made for a printer of 177") as refusal:
        next(bitmaps(job(), dpi=177))
    assert "203 dpi or 300 dpi" in refusal.value.expected
    assert refusal.value.next_step
