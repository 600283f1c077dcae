"""Where on a lot is a stretch, counted from another end, and do two stretches meet?

A stretch is half open, [start, stop), in what has left the lot from the end it was taken from (RULES.md 8).
All answers are integers; where one cannot be exact it is wider, never narrower, so that no hold is missed.
"""

from typing import NamedTuple

from lotroot.balance.happenings import End

_OTHER: dict[End, End] = {"outer": "inner", "inner": "outer", "unknown": "unknown"}


class Stretch(NamedTuple):
    """[start, stop) on a lot; empty where stop <= start."""

    start: int
    stop: int


def other_end(end: End) -> End:
    """The end that comes first once the order is reversed (turned, re-spooled); unknown stays unknown."""
    return _OTHER[end]


def from_other_end(stretch: Stretch, amount: int, difference: int = 0) -> Stretch:
    """The same goods counted from the other end of a lot of `amount`, give or take `difference`.

    The end lies `difference` further or nearer than the label says, of either sign, so the answer is
    that much wider on both sides; it never starts before 0.
    """
    spread = abs(difference)
    return Stretch(max(0, amount - stretch.stop - spread), max(0, amount - stretch.start + spread))


def widened(stretch: Stretch, by: int) -> Stretch:
    """The stretch with `by` more on either side, never before 0."""
    return Stretch(max(0, stretch.start - by), stretch.stop + by)


def meet(one: Stretch, other: Stretch) -> Stretch | None:
    """What two stretches counted from the same end have in common; None if nothing."""
    start, stop = max(one.start, other.start), min(one.stop, other.stop)
    return Stretch(start, stop) if start < stop else None


def may_meet(one: tuple[End, Stretch], other: tuple[End, Stretch], amount: int, difference: int = 0) -> bool:
    """Whether two stretches, each counted from its own end, can be of the same goods.

    An unknown end is tried as both (RULES.md 8).
    """
    ends, stretches = (one[0], other[0]), (one[1], other[1])
    straight = meet(*stretches) is not None
    turned = meet(stretches[0], from_other_end(stretches[1], amount, difference)) is not None
    if "unknown" in ends:
        return straight or turned
    return straight if ends[0] == ends[1] else turned


def carried(part: Stretch, source: Stretch, target: Stretch) -> Stretch:
    """Where `part` of `source` lies on `target`, which runs alongside it: by proportion, rounded outwards.

    From a parent's stretch to the child's with the link's stretches, or the other way round; orientation
    is that of the link, whose child stretch counts from where its making began. What of `part` lies
    outside `source` is left out.
    """
    length, width = source.stop - source.start, target.stop - target.start
    inside = meet(part, source)
    if inside is None:
        return Stretch(target.start, target.start)
    start = (inside.start - source.start) * width // length
    stop = -(-(inside.stop - source.start) * width // length)
    return Stretch(target.start + start, target.start + stop)
