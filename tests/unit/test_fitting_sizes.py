"""Which wire makes which nail, and which sizes are the same?"""

from dataclasses import replace

import plants
import pytest
from lotroot.errors import Unreadable
from lotroot.processes.reading import parse
from lotroot.production.fitting_sizes import fits_wire, same_size
from lotroot.reckoning import sizes_of

PLANT = plants.demo_plant()


@pytest.mark.parametrize(
    ("wire", "wire_mm", "nail_mm", "fits"),
    [
        ("wire_25", "2.5", "2.50", True),
        ("wire_25", "2.5", "2.45", True),  # its own limits: 2.45 to 2.55
        ("wire_25", "2.5", "2.55", True),
        ("wire_25", "2.5", "2.56", False),
        ("wire_25", "2.5", "2.44", False),
        ("galv_25", "2.5", "2.58", True),  # a wider one
        ("wire_25", "3.8", "2.5", False),  # limits that are not of this diameter tell nothing
        ("wire_25", "", "2.5", True),  # nobody has told
        ("wire_25", "2.5", "", True),
        ("rod_80", "8.0", "8.0", True),  # without limits
        ("rod_80", "8.0", "8.01", False),
    ],
)
def test_wire_fits_a_nail_of_its_diameter_or_within_its_limits(
    wire: str, wire_mm: str, nail_mm: str, fits: bool
) -> None:
    loaded = replace(PLANT.product(wire), wire_mm=wire_mm)
    assert fits_wire(loaded, nail_mm) is fits


@pytest.mark.parametrize(
    ("product", "role", "wire_mm"),
    [
        ("barbed_25_20", "line", "2.5"),
        ("barbed_25_20", "barb", "2.0"),
        ("barbed_25_20", "core", ""),
        ("mesh_a142", "long", "6.0"),  # all its wires are of its own size
        ("mesh_a142", "cross", "6.0"),
        ("chain_50x33_pvc", "wire", "3.3"),
    ],
)
def test_a_role_takes_the_wire_that_its_product_says(product: str, role: str, wire_mm: str) -> None:
    assert PLANT.product(product).wire_for(role) == wire_mm


@pytest.mark.parametrize(
    ("wires", "value", "fits"),
    [
        ('rod = "0.0"', "'0.0'", "a decimal above 0 in quotes"),
        ("rod = 5.5", "5.5", "a decimal in quotes"),
        ('line = "2.5"', "'line'", "one of rod"),  # no process has such a role
    ],
)
def test_wires_that_no_role_can_take_are_no_plant(wires: str, value: str, fits: str) -> None:
    text = plants.SMALL.replace('kind = "stripper" }', f'kind = "stripper", wires_mm = {{ {wires} }} }}')
    with pytest.raises(Unreadable) as refusal:
        parse(text)
    assert "product.wire_25" in str(refusal.value)
    assert value in str(refusal.value)
    assert fits in str(refusal.value)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2.5 x 50", "2.5 x 50", True),
        ("2.5 x 50", "2.5x50", True),
        ("2.5 X 50", "2.5 x 50", True),
        ("2.5 x 50", "2.5 x 60", False),
        ("", "2.5 x 60", True),
        ("2.5 x 50", "", True),
    ],
)
def test_sizes_are_the_same_however_they_are_spaced(one: str, other: str, same: bool) -> None:
    assert same_size(one, other) is same


@pytest.mark.parametrize(
    ("size", "wires_mm", "filled"),
    [
        ("2.5/2.0 mm, 200 m", {"line": "2.5", "barb": "2.0"}, ("2.5", "2.0")),
        ("size 3", {"line": "2.5", "barb": "2.0"}, ("2.5", "2.0")),
        ("2.5/2.0 mm, 200 m", {}, ("2.5", "2.0")),  # as plants told it before
        ("2.5/2.0 mm, 200 m", {"barb": "2.24"}, ("2.5", "2.24")),
    ],
)
def test_a_page_that_reckons_takes_the_wires_that_the_product_tells(
    size: str, wires_mm: dict[str, str], filled: tuple[str, str]
) -> None:
    product = replace(PLANT.product("barbed_25_20"), size=size, wires_mm=wires_mm)
    assert sizes_of.line_and_barb(product) == filled
