"""Which kinds of difference are there, and what can be decided about each?"""

from typing import NamedTuple

from lotroot.identity import Family

MISSING, FOUND, WRONG_PLACE, WEIGHT = "missing", "found", "wrong place", "weight differs"
KINDS = (MISSING, FOUND, WRONG_PLACE, WEIGHT)

WRITTEN_OFF, LOOKED_FOR, HERE = "written_off", "looked_for", "here"
MOVED, STAYS = "moved", "stays"
BROUGHT_BACK, LEFT = "brought_back", "left"
CORRECTED, KEPT = "corrected", "kept"
COUNTED_AGAIN = "counted_again"

CHOICES = {
    WRITTEN_OFF: "Write it off",
    LOOKED_FOR: "Still looked for",
    HERE: "It is there after all",
    MOVED: "Move it here",
    STAYS: "It is not here: scanned by mistake",
    BROUGHT_BACK: "It stands here again",
    LEFT: "Leave it in question",
    CORRECTED: "Take what was found",
    KEPT: "Keep what is recorded",
}
"""What stands on the button of each choice."""

DECIDED = {
    WRITTEN_OFF: "written off",
    LOOKED_FOR: "still looked for",
    HERE: "it is there after all",
    MOVED: "moved here",
    STAYS: "scanned by mistake",
    BROUGHT_BACK: "stands here again",
    LEFT: "left in question",
    CORRECTED: "what was found counts",
    KEPT: "what was recorded counts",
    COUNTED_AGAIN: "counted again",
}
"""How a decided difference is told."""

OPEN = ("", LOOKED_FOR)
"""Differences in these states wait to be settled."""

IN_QUESTION = (LOOKED_FOR, LEFT)
"""What leaves the goods in question."""


class Found(NamedTuple):
    """What the choices of a difference depend on; `voided`: the lot was taken back."""

    kind: str
    stood: str
    voided: bool = False


def away(stood: str) -> bool:
    """Whether a run or a shipment has the goods: neither would close if they were moved from under it."""
    return stood.startswith((Family.RUN, Family.SHIPMENT))


def choices_of(found: Found) -> tuple[str, ...]:
    """The choices of a difference, the likeliest first."""
    if found.kind == MISSING:
        return (LOOKED_FOR, HERE, WRITTEN_OFF)
    if found.kind == WEIGHT:
        return (CORRECTED, KEPT)
    if away(found.stood) or found.voided:
        return (LEFT, STAYS)
    return (MOVED, STAYS) if found.kind == WRONG_PLACE else (BROUGHT_BACK, LEFT, STAYS)
