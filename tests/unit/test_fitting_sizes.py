"""Which wire makes which nail, and which sizes are the same?"""

from dataclasses import replace

import plants
import pytest
from lotroot.production.fitting_sizes import fits_wire, same_size

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
    made = replace(PLANT.product("nail_25x50"), wire_mm=nail_mm)
    assert fits_wire(loaded, made) is fits


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
