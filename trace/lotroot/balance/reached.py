"""How far has each lot been taken from each of its ends?"""

from lotroot.balance.happenings import End, Load


class Reached:
    """How far each lot has been taken from each of its ends (RULES.md 8)."""

    def __init__(self) -> None:
        self._positions: dict[tuple[str, End], int] = {}

    def begin(self, load: Load) -> int:
        """Where taking from this load starts: where the last from that end stopped."""
        key = (load.lot, load.end)
        self._positions[key] = max(load.start, self._positions.get(key, 0))
        return self._positions[key]

    def of(self, load: Load) -> int:
        """Where the next taking starts."""
        return self._positions[(load.lot, load.end)]

    def take(self, load: Load, amount: int) -> int:
        """Move on by `amount`; answers where this taking started."""
        before = self.of(load)
        self._positions[(load.lot, load.end)] = before + amount
        return before
