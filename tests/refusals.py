"""How do tests of theory state that a wrong size is refused, by which field, and with what would fit?"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from lotroot.errors import Unreadable

NO_SIZES: tuple[object, ...] = (
    0,
    -1,
    Decimal(0),
    Decimal("-2.5"),
    Decimal("NaN"),
    Decimal("sNaN"),
    Decimal("Infinity"),
    10**9,
    Decimal("1E+9"),
    2.5,
    True,
    "2,5",
    None,
)
"""What no size of any field may be: nothing, less than nothing, no number, far too much, no decimal."""


def check_refused(call: Callable[[], object], field: str, value: object, fits: str) -> None:
    """That the call is refused with the field and the value named, and what would fit."""
    with pytest.raises(Unreadable) as refusal:
        call()
    error = refusal.value
    assert field in error.what
    assert str(value)[:40] in error.what and error.value == str(value)[:40]
    assert fits in error.expected
    assert error.next_step


def refuses_no_sizes(call: Callable[[object], object], field: str) -> None:
    """That nothing in NO_SIZES passes for this field."""
    for value in NO_SIZES:
        check_refused(lambda value=value: call(value), field, value, "Expected ")
