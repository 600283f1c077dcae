"""Which plant do tests of cut lists work in: the invented one, with roofing cut to a list?"""

import plants

PRODUCT = """
[product.sheet_cut]
name = "Trapezoidal sheet 35/1000, cut to order"
kind = "roofing"
coating = "Z275"
width_mm = "1000"
thickness_mm = "0.40"
mass_per_metre_mg = 3925000
source = "the test's own"
confidence = "memory"

[product.blank_tile]"""

CURVING = """
[process.curving]
from = "catalogue:roll_forming"
name = "Curving"
input.coil.kinds = ["roofing"]
output.bundle.asks = ["cut"]

[process.tile_blanking]
"""


def cut_text(*asks: str) -> str:
    """The invented plant; its bundles ask for these."""
    asked = ", ".join(f'"{one}"' for one in asks)
    layout = 'output.bundle.layout = "roof_bundle"'
    text = plants.demo_text().replace(layout, f"{layout}\noutput.bundle.asks = [{asked}]", 1)
    made = 'output.bundle.products = ["sheet_t35", '
    assert made in text
    text = text.replace(made, f'{made}"sheet_cut", ', 1)
    return text.replace("\n[product.blank_tile]", PRODUCT, 1)


def curved_text(*asks: str) -> str:
    """The same plant with one process more, that takes bundles and makes bundles."""
    text = cut_text("cut", *asks).replace("\n[process.tile_blanking]\n", CURVING, 1)
    station = 'name = "Roll former 2, corrugated"\nprocesses = ["roll_forming"'
    assert station in text
    return text.replace(station, f'{station}, "curving"', 1)
