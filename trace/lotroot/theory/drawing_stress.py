"""How hard does a draft pull at the wire?

Not needed to follow goods; it answers why a wire breaks behind one die and not behind another. The pull
has to stay below what the drawn wire bears.
"""

from decimal import Decimal

from lotroot.theory.constants import PI
from lotroot.theory.drawing import growth
from lotroot.theory.sizes import Size, exact, not_negative, positive
from lotroot.theory.wire import area_mm2


@exact
def frictionless_mpa(flow_mpa: Size, from_mm: Size, to_mm: Size) -> Decimal:
    """Drawing stress without friction: Y ln(A0/A1), with the mean flow stress Y in MPa."""
    return _flow(flow_mpa) * growth(from_mm, to_mm).ln()


@exact
def stress_mpa(
    flow_mpa: Size, from_mm: Size, to_mm: Size, friction: Size, semi_angle_degrees: Size
) -> Decimal:
    """Drawing stress: Y (1 + 1/B) (1 - (d1/d0)^(2B)), B = friction x cot(angle), by the slab method
    (Dieter, Mechanical Metallurgy, chapter 19). The angle is half the opening of the die.
    """
    angle = positive(semi_angle_degrees, "die semi-angle", "degrees", 45, Decimal("0.5")) * PI / 180
    pull = not_negative(friction, "friction", "", 1)
    if not pull:
        return frictionless_mpa(flow_mpa, from_mm, to_mm)
    shape = pull * _cosine(angle) / _sine(angle)
    return _flow(flow_mpa) * (1 + 1 / shape) * (1 - growth(from_mm, to_mm) ** -shape)


@exact
def mean_flow_mpa(strength_mpa: Size, exponent: Size, strain: Size) -> Decimal:
    """Mean flow stress of a wire that hardens as K e^n, up to that strain: K e^n / (n + 1)."""
    power = not_negative(exponent, "hardening exponent", "", 1)
    reached = positive(strain, "strain", "", 10)
    return _flow(strength_mpa) * reached**power / (1 + power)


@exact
def pull_n(stress_mpa: Size, to_mm: Size) -> Decimal:
    """Force on the drawn wire, in newtons: MPa x mm2."""
    return positive(stress_mpa, "drawing stress", "MPa", 10_000) * area_mm2(to_mm)


def _flow(mpa: Size) -> Decimal:
    return positive(mpa, "flow stress", "MPa", 10_000)


def _sine(angle: Decimal) -> Decimal:
    return _series(angle, angle, 1)


def _cosine(angle: Decimal) -> Decimal:
    return _series(angle, Decimal(1), 0)


def _series(angle: Decimal, first: Decimal, power: int) -> Decimal:
    """Taylor series from its first term on; 45 degrees at most, so 20 terms pass 40 digits."""
    total = term = first
    for step in range(power + 2, power + 42, 2):
        term *= -(angle**2) / (step * (step - 1))
        total += term
    return total
