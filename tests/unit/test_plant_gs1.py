"""Does a plant's licence become values, and is GS1 off wherever there is none?"""

import plants
import pytest
from lotroot.errors import Unreadable
from lotroot.processes.reading import parse

LICENCE = '[gs1]\ncompany_prefix = "9521234"\n'
ROD = 'rod_55 = { name = "Rod 5.5", kind = "rod" }'
WIRE = 'wire_25 = { name = "Wire 2.5", kind = "stripper" }'
GTIN = 'gtin = { lot = "09521234000013" }'
CHOICE = '[layout_choice.ours]\nof = "pallet"\ncustomer = "osprey"\nlayout = "pallet_gs1"\n'


def test_a_plant_without_a_company_prefix_has_no_gs1() -> None:
    plant = parse(plants.SMALL)
    assert plant.gs1 is None
    assert plant.layout_choices == ()
    assert all(not product.gtins for product in plant.products.values())


def test_a_licence_is_read_with_what_belongs_to_it() -> None:
    text = LICENCE + 'extension_digit = 3\ngln = "4012345000115"\ndomain = "labels.example.org"\n'
    gs1 = parse(plants.SMALL + text).gs1
    assert gs1 is not None
    assert (gs1.prefix, gs1.extension, gs1.gln, gs1.domain) == (
        "9521234",
        3,
        "4012345000115",
        "labels.example.org",
    )
    plain = parse(plants.SMALL + LICENCE).gs1
    assert plain is not None
    assert (plain.extension, plain.gln, plain.domain) == (0, "", "")


def test_a_gtin_of_any_length_is_kept_as_fourteen_digits() -> None:
    text = plants.SMALL.replace(WIRE, WIRE[:-2] + ', gtin = { lot = "9521234000013", pallet = "02345673" } }')
    gtins = parse(text + LICENCE).product("wire_25").gtins
    assert gtins == {"lot": "09521234000013", "pallet": "00000002345673"}


REFUSALS = {
    "a short prefix": (
        "",
        '[gs1]\ncompany_prefix = "952"\n',
        ("gs1", "company_prefix", "'952'", "4 to 12"),
    ),
    "a prefix too long": ("", '[gs1]\ncompany_prefix = "9521234567890"\n', ("4 to 12 digits",)),
    "a prefix of letters": ("", '[gs1]\ncompany_prefix = "952A"\n', ("'952A'", "4 to 12 digits")),
    "no prefix": ("", '[gs1]\ngln = "4012345000115"\n', ("gs1", "company_prefix is missing")),
    "a location whose digit is wrong": (
        "",
        LICENCE + 'gln = "4012345000116"\n',
        ("gs1", "gln", "check digit 5"),
    ),
    "two extension digits": ("", LICENCE + "extension_digit = 10\n", ("extension_digit", "one digit")),
    "an address for a domain": ("", LICENCE + 'domain = "https://x.org"\n', ("domain", "labels.example.org")),
    "a key that is none": ("", LICENCE + 'prefix = "9"\n', ("gs1", "'prefix'", "company_prefix?")),
    "a GTIN whose digit is wrong": (
        GTIN.replace("13", "14"),
        LICENCE,
        ("product.wire_25.gtin", "lot", "'09521234000014'", "check digit 3"),
    ),
    "a GTIN that is none": ('gtin = { lot = "12" }', LICENCE, ("8 or 12 or 13 or 14 digits",)),
    "a pack nobody knows": ('gtin = { crate = "09521234000013" }', LICENCE, ("'crate'", "lot, pallet")),
    "a GTIN without a licence": (GTIN, "", ("product.wire_25.gtin", "[gs1] with company_prefix")),
    "a GTIN twice": (
        'gtin = { lot = "09521234000013", item = "09521234000013" }',
        LICENCE,
        ("a number of its own", "wire_25, lot"),
    ),
    "a layout for nobody": (
        "",
        CHOICE.replace('customer = "osprey"\n', ""),
        ("customer", "or a market"),
    ),
    "a layout chosen twice": ("", CHOICE + 'market = "EU"\n', ("customer", "or a market")),
    "a layout for goods that are none": (
        "",
        CHOICE.replace('"pallet"', '"tile"'),
        ("layout_choice.ours", "of", "'tile'", "pallet, rod"),
    ),
}


@pytest.mark.parametrize(("product", "more", "words"), REFUSALS.values(), ids=REFUSALS)
def test_what_does_not_fit_is_refused_in_words_that_help(
    product: str, more: str, words: tuple[str, ...]
) -> None:
    text = plants.SMALL.replace(WIRE, f"{WIRE[:-2]}, {product} }}") if product else plants.SMALL
    assert ROD in text
    with pytest.raises(Unreadable) as refusal:
        parse(text + more)
    for word in words:
        assert word in str(refusal.value)


def test_a_layout_is_chosen_by_customer_or_by_market() -> None:
    other = CHOICE.replace("ours", "all").replace('customer = "osprey"', 'market = "EU"')
    first, second = parse(plants.SMALL + CHOICE + other).layout_choices
    assert (first.of, first.customer, first.market, first.layout) == ("pallet", "osprey", "", "pallet_gs1")
    assert (second.customer, second.market) == ("", "EU")
