"""Does the page say what is found and what to set, for scans of the sheet that it prints?"""

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from houses import House, a_house
from keyboards import ARRIVALS
from lotroot.identity.scanner_codes import CODES
from PIL import Image
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    yield a_house(tmp_path)


def tried(terminal: Terminal, text: str, **more: str) -> str:
    answer = terminal.post("/scanner", **{"text": text, "suffix": "enter", "ms": "250", **more})
    assert answer.status_code == 200, answer.text
    found = re.search(r'<section id="scanner-found".*?</section>', answer.text, re.DOTALL)
    assert found
    return found[0]


def test_the_sheet_holds_both_codes_as_bars_and_as_qr_and_nothing_else(house: House) -> None:
    terminal = Terminal(house).at("draw_1")
    document = pypdfium2.PdfDocument(terminal.client.get("/scanner/sheet.pdf").data)
    try:
        assert len(document) == 1
        page = document[0].render(scale=300 / 72).to_pil()
    finally:
        document.close()
    screen = Image.open(io.BytesIO(terminal.client.get("/scanner/sheet.png").data))
    for picture in (page, screen):
        read = {(str(one.format.name), one.text) for one in zxingcpp.read_barcodes(picture)}
        assert read == {("Code128", CODES["bars"]), ("QRCode", CODES["qr"])}


def test_what_is_found_is_said_with_what_to_set(house: House) -> None:
    terminal = Terminal(house).at("draw_1")
    german = tried(terminal, ARRIVALS["German"](f"]C0{CODES['bars']}"), suffix="tab")
    assert "Bars: something to set" in german
    for words in ("country or keyboard to German", "AIM ID", "suffix to Enter", "all the same"):
        assert words in german
    assert "Bars: read" in german
    assert "QR: not read yet" in german
    well = tried(terminal, CODES["qr"], seen="bars")
    assert "QR: well set" in well
    assert "QR: read" in well
    assert "Bars: read" in well
    assert "set this" not in well


def test_whatever_is_sent_is_answered_in_words(house: House) -> None:
    terminal = Terminal(house).at("draw_1")
    assert "Nothing arrived" in tried(terminal, "")
    assert "no code of the test sheet" in tried(terminal, "<script>alert(1)</script>")
    assert "<script>alert" not in tried(terminal, "<script>alert(1)</script>")
    for ms in ("", "-1", "x", "99999999999", "0"):
        assert "well set" in tried(terminal, CODES["bars"], ms=ms)
    assert "Nothing follows the code" in tried(terminal, CODES["bars"], suffix="??")


def test_a_device_that_is_not_signed_in_is_sent_to_sign_in(house: House) -> None:
    assert Terminal(house).client.get("/scanner").status_code in (303, 401)
