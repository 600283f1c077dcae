"""How does a test get rolls of barbed wire that were weighed one by one, and a closed run?

Theory says 23,620 g of a roll of 200 m.
"""

from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from shop import Shop

PRODUCT = "barbed_25_20"
THEORY = 23_620
OFF = {f"left-{load}": "off" for load in (1, 2, 3)}


def rolls(shop: Shop, *weights: int, close: bool = True) -> str:
    """A run in which rolls of these weights were made of three new coils; its number."""
    for payoff, product in (("L1", "galv_25"), ("L2", "galv_25"), ("B1", "galv_20")):
        coil = shop.coil(product, 400_000)
        shop.at("barb_1", LoadInput(coil, payoff=payoff, product=PRODUCT))
    made = shop.at("barb_1", MakeOutput(weights=weights))
    return str(shop.at("barb_1", CloseRun(), answers=OFF).numbers[0] if close else made.numbers[0])
