"""Do GS1 keys and element strings agree with the published ones, and with a decoder that is not ours?"""

import pytest
import zxingcpp
from label_pictures import AT
from lotroot.errors import Unreadable
from lotroot.identity import gs1
from lotroot.identity.checks import has_right_gs1_digit
from lotroot.identity.gs1_scans import digital_link, parts_scanned
from lotroot_printing.compose import compose

GS1_PAGE = 'gs1.org, "How to calculate a check digit manually"'
SYNTAX = "GS1 Barcode Syntax Dictionary, linter unit tests"
ENGINE = "verdict of the GS1 Barcode Syntax Engine 1.4.1"
EPCIS = "official EPCIS 2.0 example"
HASHES = "expected pre-hash strings of the EPCIS event hash generator"


@pytest.mark.parametrize(
    ("typed", "carried", "source"),
    [
        ("6291041500213", "06291041500213", GS1_PAGE),
        ("5010017088439", "05010017088439", "trade page on EAN-13 check digits"),
        ("02345673", "00000002345673", SYNTAX),
        ("416000336108", "00416000336108", SYNTAX),
        ("1234567890128", "01234567890128", SYNTAX),
        ("12345678901231", "12345678901231", SYNTAX),
        ("40987650000223", "40987650000223", "support page on GTIN-14 check digits"),
        ("09521234543213", "09521234543213", "postscriptbarcode wiki, Digital Link page"),
        ("00614141777778", "00614141777778", EPCIS),
        ("09521234000013", "09521234000013", "own, prefix 952 is set aside for examples"),
    ],
)
def test_published_gtins_are_carried_as_fourteen_digits(typed: str, carried: str, source: str) -> None:
    assert gs1.gtin(typed) == carried, source


@pytest.mark.parametrize(
    ("prefix", "extension", "serial", "number", "source"),
    [
        # The EPC of the same example: urn:epc:id:sscc:0614141.1234567890 is prefix, extension and serial.
        ("0614141", 1, 234567890, "106141412345678908", EPCIS),
        ("4012345", 0, 111, "040123450000001112", HASHES),
        ("4012345", 0, 222, "040123450000002225", HASHES),
        ("4012345", 0, 333, "040123450000003338", HASHES),
        ("9521234", 3, 1, "395212340000000014", "own, prefix 952 is set aside for examples"),
    ],
)
def test_published_numbers_of_logistic_units_are_made_of_their_parts(
    prefix: str, extension: int, serial: int, number: str, source: str
) -> None:
    assert gs1.sscc(prefix, extension, serial) == number, source
    assert gs1.is_sscc(number)


@pytest.mark.parametrize(
    ("number", "source"),
    [("123456789012345675", SYNTAX), ("106141411234567897", "postscriptbarcode wiki")],
)
def test_further_published_numbers_of_logistic_units_prove_themselves(number: str, source: str) -> None:
    assert gs1.is_sscc(number), source
    assert not gs1.is_sscc(number[:-1] + str((int(number[-1]) + 1) % 10))


def test_the_published_wrong_ones_are_refused() -> None:
    assert not gs1.is_sscc("123456789012345670"), SYNTAX
    assert not gs1.is_sscc("081201201212102125"), "a sample of a customer guide, whose digit is wrong"


@pytest.mark.parametrize(
    ("gln", "source"),
    [("4012345000115", HASHES), ("4012345000054", HASHES), ("0614141000005", HASHES)],
)
def test_published_locations_prove_themselves(gln: str, source: str) -> None:
    assert gs1.gln(gln) == gln, source
    assert has_right_gs1_digit(gln), source


SSCC, GTIN = "395212340000000014", "09521234000013"


@pytest.mark.parametrize(
    ("parts", "missing"),
    [
        # (parts, what the refusal names); each of the first three is a verdict of the Syntax Engine
        ([("10", "LOT-0042")], "lot, may not stand without (01)"),
        ([("3303", "012500")], "gross weight in kg, may not stand without (00)"),
        ([("01", GTIN), ("37", "40")], "(01) and (37) may not stand"),
        # by the dictionary's table of required identifiers
        ([("02", GTIN)], "may not stand without (37)"),
        ([("02", GTIN), ("37", "40")], "without (00)"),
        ([("37", "40")], "without (00)"),
        ([("00", SSCC), ("37", "40")], "(02)"),
        ([("01", GTIN), ("02", GTIN), ("37", "40"), ("00", SSCC)], "(01) and (02)"),
        ([("21", "17")], "without (01)"),
        ([("00", SSCC), ("21", "17")], "without (01)"),
        ([("11", "261124")], "without (01)"),
        ([("30", "12")], "without (01)"),
        ([("3103", "012500")], "without (01)"),
        ([("00", SSCC), ("3103", "012500")], "without (01)"),
        ([("3112", "012500")], "without (01)"),
        ([("3142", "012500")], "without (01)"),
        ([("3163", "012500")], "without (01)"),
        ([("01", GTIN), ("01", GTIN)], "twice"),
        ([("01", GTIN), ("3103", "012500"), ("3102", "001250")], "twice"),
    ],
)
def test_parts_that_may_not_stand_together_are_refused_by_name(parts: list[gs1.Part], missing: str) -> None:
    with pytest.raises(Unreadable) as refusal:
        gs1.element_string(parts)
    assert missing in str(refusal.value)


@pytest.mark.parametrize(
    ("parts", "text"),
    [
        # The Syntax Engine accepts these three forms.
        ([("91", "R2600012383")], "(91)R2600012383"),
        ([("00", SSCC)], f"(00){SSCC}"),
        (
            [("10", "N2600001424"), ("37", "40"), ("02", GTIN), ("00", SSCC)],
            f"(00){SSCC}(02){GTIN}(10)N2600001424(37)40",
        ),
        # fixed lengths go first, whatever the order they are given in
        (
            [("21", "17"), ("01", GTIN), ("3103", "012500"), ("11", "261124")],
            f"(01){GTIN}(3103)012500(11)261124(21)17",
        ),
        ([("00", SSCC), ("3301", "010400")], f"(00){SSCC}(3301)010400"),
        ([("90", "A-7"), ("410", "4012345000115")], "(410)4012345000115(90)A-7"),
    ],
)
def test_parts_that_may_stand_together_do_and_a_decoder_reads_them_back(
    parts: list[gs1.Part], text: str
) -> None:
    """The writer and reader are zxing-cpp's: it puts the separators in by the GS1 rules."""
    assert gs1.element_string(parts) == text
    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.DataMatrix, gs1=True)
    (read,) = zxingcpp.read_barcodes(made.to_image(scale=4, add_quiet_zones=True))
    assert read.text == text
    sent = read.symbology_identifier + read.bytes.decode()
    assert list(parts_scanned(sent)) == gs1.in_order(parts)
    assert list(parts_scanned(text)) == gs1.in_order(parts)


@pytest.mark.parametrize(
    ("ai", "amount", "decimals", "part"),
    [
        ("310", 12_500, 3, ("3103", "012500")),  # 3103 + 012500 is 12.500 kg: GS1 General Specifications
        ("310", 999_999, 3, ("3103", "999999")),
        ("310", 1_000_000, 3, ("3102", "100000")),
        ("310", 2_040_505, 3, ("3102", "204051")),  # rounded half up
        ("310", 999_999_999, 3, ("3100", "1000000")),
        ("330", 0, 3, ("3303", "000000")),
        ("316", 1_234_567, 6, ("3165", "123457")),  # cm³ as m³: at most five decimals
        ("316", 90_000_000, 6, ("3164", "900000")),
    ],
)
def test_a_measure_keeps_the_decimals_that_six_digits_hold(
    ai: str, amount: int, decimals: int, part: gs1.Part
) -> None:
    if len(part[1]) > 6:
        with pytest.raises(Unreadable, match="does not fit a GS1 symbol"):
            gs1.measured(ai, amount, decimals)
    else:
        assert gs1.measured(ai, amount, decimals) == part


@pytest.mark.parametrize(
    ("parts", "address", "source"),
    [
        (
            [("01", "09521234000013"), ("10", "LOT-0042"), ("11", "260131"), ("3103", "012500")],
            "https://labels.example.org/01/09521234000013/10/LOT-0042?11=260131&3103=012500",
            "form of GS1 Digital Link; the Syntax Engine reads it",
        ),
        (
            [("00", "395212340000000014")],
            "https://labels.example.org/00/395212340000000014",
            "form of GS1 Digital Link; the Syntax Engine reads it",
        ),
        (
            [("01", "09521234000013"), ("10", "A/7"), ("21", "5")],
            "https://labels.example.org/01/09521234000013/10/A%2F7/21/5",
            "qualifiers in the order 22, 10, 21 (Syntax Dictionary); a slash becomes %2F",
        ),
    ],
)
def test_an_address_says_the_parts_in_the_order_of_the_standard(
    parts: list[gs1.Part], address: str, source: str
) -> None:
    assert digital_link("labels.example.org", parts) == address, source
    assert sorted(parts_scanned(address)) == sorted(parts)


@pytest.mark.parametrize(
    ("dpi", "dots", "millimetres"),
    [
        # An SSCC in GS1-128 is 156 modules, 176 with its quiet zones (counted with another writer).
        (203, 4, 88.0),
        (300, 6, 89.4),
    ],
)
def test_the_bars_of_a_pallet_have_the_size_that_the_standard_asks(
    dpi: int, dots: int, millimetres: float
) -> None:
    """GS1 UK: modules of 0.495 to 1.016 mm on logistic units; GS1 Ireland: bars at least 32 mm high."""
    layout = AT["pallet_gs1", dpi]
    symbol = next(one for one in compose(layout, layout.sample).symbols if one.symbology == "gs1_128")
    assert symbol.area.width == 176 * dots
    assert symbol.area.width * 25.4 / dpi == pytest.approx(millimetres, abs=0.15)
    assert 0.495 <= dots * 25.4 / dpi <= 1.016
    assert symbol.area.height * 25.4 / dpi >= 32
    lowest = max(one.area.bottom for one in compose(layout, layout.sample).symbols)
    assert symbol.area.bottom == lowest, "the SSCC stands in the lowest symbol"
