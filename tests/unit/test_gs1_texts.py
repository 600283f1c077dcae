"""Is what cannot be a GS1 number or symbol refused, and is what is no GS1 text left alone?"""

import pytest
from lotroot.errors import Unreadable
from lotroot.identity import gs1
from lotroot.identity.gs1_scans import digital_link, domain_of, parts_scanned

SSCC, GTIN = "395212340000000014", "09521234000013"


@pytest.mark.parametrize("prefix", ["952", "9521234567890", "95212A4", "", "9521 34", "٩٥٢١٢٣٤"])
def test_what_is_no_company_prefix_is_refused(prefix: str) -> None:
    with pytest.raises(Unreadable, match="no GS1 company prefix"):
        gs1.prefix_of(prefix)


@pytest.mark.parametrize(
    ("prefix", "extension", "serial"),
    [("952123456789", 0, 10_000), ("9521234", 10, 1), ("9521234", -1, 1), ("9521234", 0, 0)],
)
def test_a_unit_without_a_number_left_for_it_gets_none(prefix: str, extension: int, serial: int) -> None:
    with pytest.raises(Unreadable):
        gs1.sscc(prefix, extension, serial)


def test_the_longest_and_the_shortest_prefix_give_eighteen_digits() -> None:
    assert gs1.is_sscc(gs1.sscc("952123456789", 9, 9_999))
    assert gs1.is_sscc(gs1.sscc("9521", 0, 10**12 - 1))


@pytest.mark.parametrize(
    ("number", "says"),
    [
        ("952123400001", "check digit 0"),
        ("9521234000014", "check digit 3"),
        ("95212340000", "8 or 12 or 13 or 14 digits"),
        ("952123400001X", "8 or 12 or 13 or 14 digits"),
    ],
)
def test_a_gtin_that_does_not_prove_itself_is_refused(number: str, says: str) -> None:
    with pytest.raises(Unreadable) as refusal:
        gs1.gtin(number)
    assert says in refusal.value.expected
    assert refusal.value.value == number


@pytest.mark.parametrize(
    "part",
    [
        ("00", "395212340000000015"),  # check digit
        ("00", "3952123400000014"),  # too short
        ("10", "LOT 42"),  # a space
        ("10", "A(1)"),  # brackets
        ("10", "Ł1"),
        ("10", "X" * 21),
        ("10", ""),
        ("11", "261301"),
        ("11", "261132"),
        ("37", "4O"),
        ("37", "123456789"),
        ("310", "012500"),  # decimals not said
        ("3106", "012500"),
        ("3103", "12500"),
        ("8006", "1"),
        ("", "1"),
    ],
)
def test_a_part_that_cannot_be_is_refused_with_its_value(part: gs1.Part) -> None:
    with pytest.raises(Unreadable) as refusal:
        gs1.element_string([part])
    assert part[0] in refusal.value.value
    assert refusal.value.expected.startswith("Expected ")


def test_one_row_of_bars_holds_forty_eight_characters() -> None:
    parts = gs1.in_order([("01", GTIN), ("10", "X" * 13), ("21", "Y" * 14)])
    gs1.check_bars(parts)  # 16 + 15 + 1 separator + 16
    with pytest.raises(Unreadable, match="too many characters"):
        gs1.check_bars([("01", GTIN), ("10", "X" * 13), ("21", "Y" * 15)])


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (f"]C100{SSCC}", (("00", SSCC),)),
        (f"00{SSCC}", (("00", SSCC),)),
        (SSCC, (("00", SSCC),)),
        (f"(00){SSCC}", (("00", SSCC),)),
        (f"(00) {SSCC[:1]}{SSCC[1:]}\n", (("00", SSCC),)),
        (f"]d202{GTIN}10N2600001424\x1d3740", (("02", GTIN), ("10", "N2600001424"), ("37", "40"))),
        (f"01{GTIN}3103012500\x1d", (("01", GTIN), ("3103", "012500"))),
        # nothing of GS1 in it, or nothing that proves itself
        ("R2600012383", ()),
        ("]C0R2600012383", ()),
        ("1TH4711", ()),
        ("4471902", ()),
        (f"]C100{SSCC[:-1]}5", ()),
        (f"(00){SSCC[:-1]}5", ()),
        (f"(01){GTIN[:-1]}4(10)A", ()),
        ("(88)1", (("88", "1"),)),  # brackets say so; whoever asks finds nothing under it
        ("https://example.org/t/R2600012383", ()),
        ("]C1", ()),
        ("", ()),
    ],
)
def test_a_scan_is_a_gs1_text_or_none(text: str, parts: tuple[gs1.Part, ...]) -> None:
    assert parts_scanned(text) == parts


@pytest.mark.parametrize("domain", ["labels", "https://example.org", "exa mple.org", "-a.org", "EXAMPLE.org"])
def test_what_is_no_domain_is_refused(domain: str) -> None:
    with pytest.raises(Unreadable, match="no domain"):
        domain_of(domain)


def test_an_address_needs_a_number_of_its_own() -> None:
    with pytest.raises(Unreadable, match="number of its own"):
        digital_link("labels.example.org", [("91", "R2600012383")])
