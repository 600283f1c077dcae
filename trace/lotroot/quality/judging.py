"""Does a reading, or a count of good and bad, lie within its limits?

Comparison is of decimals as typed: 2.55 is within 2.45 to 2.55, and nothing is rounded first.
"""

from collections.abc import Sequence
from decimal import Decimal

from lotroot.processes.definition import Characteristic, Limits
from lotroot.quality.facts import FAIL, NOTED, PASS


def verdict_of(characteristic: Characteristic, limits: Limits, readings: Sequence[str], found: int) -> str:
    """pass, fail, or noted where the plant gives no limit. Every single reading has to be within."""
    if characteristic.attribute:
        return PASS if found <= Decimal(limits.high or "0") else FAIL
    if limits.low is None and limits.high is None:
        return NOTED
    return PASS if all(_within(Decimal(one), limits) for one in readings) else FAIL


def in_words(low: str | None, high: str | None, unit: str) -> str:
    """Limits for a sentence: 2.45 to 2.55 mm, at least 550 MPa; empty where there are none."""
    if low is not None and high is not None:
        said = f"{low} to {high}"
    elif low is not None:
        said = f"at least {low}"
    elif high is not None:
        said = f"at most {high}"
    else:
        return ""
    return f"{said} {unit}".strip()


def _within(reading: Decimal, limits: Limits) -> bool:
    above = limits.low is None or reading >= Decimal(limits.low)
    below = limits.high is None or reading <= Decimal(limits.high)
    return above and below
