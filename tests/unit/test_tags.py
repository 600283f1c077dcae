"""What is read from the barcodes of a supplier's tag?"""

import pytest
from lotroot.errors import Unreadable
from lotroot.identity import Tag, read_tag


@pytest.mark.parametrize(
    ("text", "identifier", "value"),
    [
        ("1TH4711", "1T", "H4711"),
        ("1th4711", "1T", "h4711"),
        ("T88-19\r\n", "T", "88-19"),
        ("2TA1", "2T", "A1"),
        ("P3.5-SAE1008", "P", "3.5-SAE1008"),
        ("Q1200", "Q", "1200"),
        ("2Q 4215.5", "2Q", "4215.5"),
        ("7Q4215KG", "7Q", "4215KG"),
        ("S900123", "S", "900123"),
        ("H52417", "H", "52417"),
        ("K4500012", "K", "4500012"),
        ("VACME", "V", "ACME"),
        ("*S900123*", "S", "900123"),
        ("]A0*S900123*\t", "S", "900123"),
        ("]C01TH4711", "1T", "H4711"),
        # Not led by a known identifier: whole.
        ("900123", "", "900123"),
        ("* 900123 *", "", "900123"),
        ("99Z1", "", "99Z1"),
        ("QUALITY", "", "QUALITY"),
        ("S", "", "S"),
        ("1T", "", "1T"),
        ("*", "", "*"),
        ("BOBINE 12 É", "", "BOBINE 12 É"),
    ],
)
def test_a_known_identifier_is_taken_off_and_the_whole_kept(text: str, identifier: str, value: str) -> None:
    tag = read_tag(text)
    assert (tag.identifier, tag.value) == (identifier, value)
    assert tag.text.endswith(value)
    assert bool(tag.meaning) is bool(identifier)


def test_the_whole_text_stays_beside_the_value() -> None:
    assert read_tag("*1TH4711*") == Tag(text="1TH4711", identifier="1T", value="H4711")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Nothing was read"),
        ("\r\n\t", "Nothing was read"),
        ("]C0", "Nothing was read"),
        ("[)>\x1e06\x1d1TH4711\x1dQ12\x1e\x04", "several fields"),
        ("A" * 94, "no barcode of a supplier's tag"),
        ("A\x07B", "no barcode of a supplier's tag"),
    ],
)
def test_what_is_no_single_barcode_is_refused(text: str, said: str) -> None:
    with pytest.raises(Unreadable, match=said) as refused:
        read_tag(text)
    assert refused.value.next_step
