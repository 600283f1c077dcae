"""How does a test get the invented plant with a GS1 licence, and boxes on a pallet of it?"""

import plants
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn
from lotroot.production.making import MakeOutput
from shop import Shop

PREFIX = "9521234"
"""952 is set aside for demonstrations and examples."""
GTIN = "09521234000013"
FOR_OSPREY = '\n[layout_choice.harbour]\nof = "pallet"\ncustomer = "osprey"\nlayout = "pallet_gs1"\n'
FOR_EUROPE = '\n[layout_choice.europe]\nof = "pallet"\nmarket = "EU"\nlayout = "pallet_gs1"\n'


def licensed(*more: str, prefix: str = PREFIX, extension: int = 3) -> str:
    """The invented plant's text with a company prefix, a GTIN for its boxes, and more tables."""
    head, product, rest = plants.demo_text().partition("[product.box_25x50]\n")
    assert product, "the boxes that the tests pack"
    gtins = f'gtin = {{ item = "{GTIN}", pallet = "09521234000020" }}\n'
    licence = f'\n[gs1]\ncompany_prefix = "{prefix}"\nextension_digit = {extension}\n'
    return f"{head}{product}{gtins}{rest}{licence}" + "".join(more)


def boxed(shop: Shop, count: int = 6) -> str:
    """A lot of boxes on the packing floor."""
    shop.in_the_hopper(1_000_000)
    return shop.at("packing", MakeOutput(count=count)).numbers[0]


def pallet_of(shop: Shop, lot: str, first: int = 1, last: int = 3, *, close: bool = True) -> str:
    """A pallet with some of those boxes, closed unless it is told otherwise."""
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, first), shop.item(lot, last)))
    if close:
        shop.at("packing", ClosePallet(pallet))
    return pallet
