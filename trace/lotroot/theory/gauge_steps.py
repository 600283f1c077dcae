"""How do the numbers of a gauge step from size to size?

A gauge is stored in mm and shown with its system; where its sizes fall by one ratio, any of them follows
from the thickest, the thinnest and the steps between. AWG runs in 39 steps from 0.460 in (4/0) to
0.005 in (36) and is exact; Imperial SWG was designed so and then rounded.
"""

from decimal import Decimal

from lotroot.theory.sizes import Size, amount, exact, refused
from lotroot.theory.wire import diameter

MOST_STEPS = 200


@exact
def step_ratio(thickest_mm: Size, thinnest_mm: Size, steps: int) -> Decimal:
    """Diameter of a number over that of the number before: (thinnest / thickest)^(1 / steps)."""
    thick, thin = diameter(thickest_mm, "thickest wire"), diameter(thinnest_mm, "thinnest wire")
    if thin >= thick:
        raise refused("thinnest wire", thinnest_mm, "mm", f"Expected less than {thickest_mm} mm.")
    return (thin / thick) ** (Decimal(1) / amount(steps, "number of steps", "", MOST_STEPS))


@exact
def size_mm(thickest_mm: Size, thinnest_mm: Size, steps: int, step: int) -> Decimal:
    """Diameter of the number that many steps behind the thickest."""
    ratio = step_ratio(thickest_mm, thinnest_mm, steps)
    return Decimal(thickest_mm) * ratio ** amount(step, "step", "", steps, least=0)


@exact
def half_gauge_mm(thicker_mm: Size, thinner_mm: Size) -> Decimal:
    """A half number between two neighbours: near their mean (ASTM A510/A510M-18 within 0.001 in)."""
    thick, thin = diameter(thicker_mm, "thicker wire"), diameter(thinner_mm, "thinner wire")
    if thin >= thick:
        raise refused("thinner wire", thinner_mm, "mm", f"Expected less than {thicker_mm} mm.")
    return (thick + thin) / 2
