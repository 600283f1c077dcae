"""Where does one load give way to the next, and how surely?"""

from dataclasses import dataclass, replace

from lotroot.balance.happenings import Ended, Made


@dataclass(frozen=True, slots=True)
class Border:
    """Where one load gives way to the next: positions of the payoff, or of one output once `moved`."""

    earliest: int
    expected: int
    latest: int
    marked: bool = False

    def moved(self, by: int) -> "Border":
        """The same border counted from another place."""
        return Border(self.earliest + by, self.expected + by, self.latest + by, self.marked)

    def not_before(self, place: int) -> "Border":
        """The border moved on to where the next load was put on, if that was later."""
        return Border(
            max(place, self.earliest), max(place, self.expected), max(place, self.latest), self.marked
        )

    def within(self, amount: int) -> "Border":
        """The border as far as it lies in an output of this amount."""
        earliest, expected, latest = (
            min(max(place, 0), amount) for place in (self.earliest, self.expected, self.latest)
        )
        return Border(earliest, expected, latest, self.marked)

    def touches(self, amount: int) -> bool:
        """Whether it could lie inside an output of this amount."""
        return self.earliest < amount and self.latest > 0


def sharp(place: int) -> Border:
    """A border known to the last unit."""
    return Border(place, place, place)


def part_before(made: Made, amount: int, mark: Ended) -> int | None:
    """What of an output had been made when the mark was scanned: by counter if read, else by time.

    `amount` is what the output took there. None where neither counter nor time tells.
    """
    low, here, high = made.began, mark.at, made.ended
    first, counter, last = made.counter_from, mark.counter, made.counter_to
    # A counter set back to 0 on the way tells nothing.
    if (
        first is not None
        and counter is not None
        and last is not None
        and first <= counter <= last
        and first < last
    ):
        low, here, high = first, counter, last
    if high <= low:
        return None
    return amount * (min(max(here, low), high) - low) // (high - low)


def in_order(borders: list[Border]) -> list[Border]:
    """The same borders, each at the latest where the next one is."""
    found: list[Border] = []
    for border in reversed(borders):
        after = found[-1] if found else border
        expected, latest = min(border.expected, after.expected), min(border.latest, after.latest)
        found.append(replace(border, expected=expected, latest=latest))
    return found[::-1]
