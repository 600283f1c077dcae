"""What does one table of a layout file say, key by key, and is it of the kind it should be?"""

from dataclasses import dataclass, field
from typing import Any

from lotroot_printing.errors import LayoutRefused
from lotroot_printing.layout import refused

LARGEST = 1200  # no length in mm, count or resolution in a layout is more
_ALIGN = ("left", "centre", "right")
_MISSING = object()


@dataclass
class LayoutTable:
    """One TOML table being read: takes keys out, names what is wrong or left over."""

    layout: str
    element: str
    left: dict[str, Any] = field(default_factory=dict)

    def refused(self, problem: str, found: object, expected: str) -> LayoutRefused:
        """The error for a fault of this table."""
        return refused(self.layout, self.element, problem, found=found, expected=expected)

    def take(self, key: str, kinds: tuple[type, ...], default: object = _MISSING) -> Any:
        """The value of `key`, of one of `kinds`; a truth value never passes for a number."""
        value = self.left.pop(key, default)
        words = " or ".join(kind.__name__ for kind in kinds)
        if value is _MISSING:
            raise self.refused(f"{key} is missing", "nothing", words)
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            raise self.refused(f"{key} is of the wrong kind", value, words)
        self._in_range(key, value)
        return value

    def _in_range(self, key: str, *values: object) -> None:
        """Refuse numbers that no label has, and those that are none; a nan is not within any limits."""
        for value in values:
            if isinstance(value, int | float) and not 0 <= value <= LARGEST:
                raise self.refused(f"{key} is out of range", value, f"from 0 to {LARGEST}")

    def words(self, key: str) -> tuple[str, ...]:
        """A list of words; without the key, none."""
        value = self.take(key, (list,), [])
        if not all(isinstance(each, str) for each in value):
            raise self.refused(f"{key} is no list of words", value, "words in quotes")
        return tuple(value)

    def pair(self, key: str) -> tuple[float, float]:
        """Two numbers, in millimetres."""
        value = self.take(key, (list,))
        if len(value) != 2 or not all(type(each) in (int, float) for each in value):
            raise self.refused(f"{key} is no pair", value, "two lengths in mm")
        self._in_range(key, *value)
        return value[0], value[1]

    def align(self) -> str:
        """Where the content stands in its area."""
        value = str(self.take("align", (str,), "left"))
        if value not in _ALIGN:
            raise self.refused("align is unknown", value, ", ".join(_ALIGN))
        return value

    def end(self) -> None:
        """Refuse keys nobody took: they are slips of the pen."""
        if self.left:
            raise self.refused("a key is unknown", ", ".join(self.left), "known keys")
