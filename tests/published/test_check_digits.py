"""Do our check digits agree with the published ones?"""

import pytest
from lotroot.errors import Unreadable
from lotroot.identity import item_from, number_from, read
from lotroot.identity.checks import gs1_digit_for, has_right_gs1_digit, has_right_pair, pair_for
from stdnum import ean
from stdnum.iso7064 import mod_97_10

GS1_PAGE = 'gs1.org, "How to calculate a check digit manually"'
SYNTAX = "GS1 Barcode Syntax Dictionary, linter unit tests"
HASHES = "expected pre-hash strings of the EPCIS event hash generator"


@pytest.mark.parametrize(
    ("body", "pair", "source"),
    [
        ("794", "44", "ISO/IEC 7064 worked example, from memory, recomputed"),
        ("99991234567890121414", "90", "python-stdnum tests of mod_97_10"),
        ("4354111611551114", "31", "python-stdnum tests of mod_97_10"),
        # An IBAN is checked with country and pair moved to the end: WEST12345698765432 GB 82.
        ("WEST12345698765432GB", "82", "ISO 13616 example GB82 WEST 1234 5698 7654 32"),
    ],
)
def test_published_mod_97_10_pairs_are_ours_too(body: str, pair: str, source: str) -> None:
    assert pair_for(body) == pair, source
    assert has_right_pair(body + pair), source
    assert mod_97_10.is_valid(body + pair), source


@pytest.mark.parametrize(
    ("digits", "source"),
    [
        ("6291041500213", GS1_PAGE),
        ("5010017088439", "trade page on EAN-13 check digits"),
        ("02345673", SYNTAX),
        ("416000336108", SYNTAX),
        ("1234567890128", SYNTAX),
        ("12345678901231", SYNTAX),
        ("40987650000223", "support page on GTIN-14 check digits"),
        ("09521234543213", "postscriptbarcode wiki, Digital Link page"),
        ("00614141777778", "official EPCIS 2.0 example"),
        ("123456789012345675", SYNTAX),
        ("106141411234567897", "postscriptbarcode wiki"),
        ("106141412345678908", "official EPCIS 2.0 example"),
        ("040123450000001112", HASHES),
        ("040123450000002225", HASHES),
        ("040123450000003338", HASHES),
        ("4012345000115", HASHES),
        ("4012345000054", HASHES),
        ("0614141000005", HASHES),
        ("09521234000013", "own, prefix 952 is set aside for examples"),
        ("395212340000000014", "own, prefix 952 is set aside for examples"),
    ],
)
def test_published_gs1_numbers_carry_the_digit_we_work_out(digits: str, source: str) -> None:
    assert gs1_digit_for(digits[:-1]) == digits[-1], source
    assert has_right_gs1_digit(digits), source


def test_a_published_wrong_sscc_is_refused() -> None:
    # GS1 Barcode Syntax Dictionary, linter unit tests: this one must fail.
    assert not has_right_gs1_digit("123456789012345670")


@pytest.mark.parametrize(
    "text",
    [
        "C2600001284",
        "R2600012383",
        "N2600001424",
        "T2600000742",
        "K2600003123",
        "X2600150023",
        "P2600009959",
        "H2699999988",
    ],
)
def test_our_own_numbers_of_record_stay_what_they_are(text: str) -> None:
    # Own values, cross-checked with python-stdnum.
    assert mod_97_10.is_valid(text)
    assert str(number_from(text)) == text
    assert read(text).value == number_from(text)


def test_our_own_item_of_record_stays_what_it_is() -> None:
    item = item_from("R2600012383001720")
    assert mod_97_10.is_valid(str(item))
    assert (str(item.lot), item.serial, item.shown) == ("R2600012383", 17, "R26-000123-83-0017-20")


@pytest.mark.parametrize("length", range(1, 40))
def test_pairs_and_digits_agree_with_python_stdnum(length: int) -> None:
    for seed in range(40):
        letters = "".join(
            "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"[(seed * 7 + k * k * 5) % 36] for k in range(length)
        )
        assert pair_for(letters) == mod_97_10.calc_check_digits(letters)
        digits = "".join(str((seed * 3 + k * k * 7) % 10) for k in range(length))
        assert gs1_digit_for(digits) == ean.calc_check_digit(digits)


@pytest.mark.parametrize("body", ["794", "R26000123"])
def test_congruent_pairs_that_are_never_given_are_refused(body: str) -> None:
    assert [pair for pair in range(100) if has_right_pair(f"{body}{pair:02d}")] == [int(pair_for(body))]
    for pair, twin in (("97", "00"), ("98", "01"), ("02", "99")):
        number = next(str(n) for n in range(1_000, 2_000) if pair_for(str(n)) == pair)
        assert has_right_pair(number + pair)
        assert not has_right_pair(number + twin)


@pytest.mark.parametrize("text", ["", "r26", "R-26", "²", "٣", "Ä1"])
def test_only_capital_letters_and_digits_can_be_checked(text: str) -> None:
    with pytest.raises(Unreadable):
        pair_for(text)
    with pytest.raises(Unreadable):
        gs1_digit_for(text)
    assert not has_right_pair(text + "44")
    assert not has_right_gs1_digit(text + "4")
