"""Was a number typed by a scale or by hand?

A scale at a terminal types like a keyboard, all characters and Enter at once; the page tells it from fingers
by its pace (web/static/field.js). Nobody can tell of a number that another program sent without saying so.
"""

from lotroot.errors import Unreadable

SCALE, HAND = "scale", "hand"
TYPED_BY = (SCALE, HAND, "")


def typed_by(word: str) -> str:
    """The same word, if it is one of `TYPED_BY`. Raises Unreadable."""
    if word in TYPED_BY:
        return word
    raise Unreadable(
        "A number is typed by a scale or by hand.",
        value=word,
        expected="typed_by: scale, hand, or nothing where it is not known.",
        next_step="Correct the field and send it again.",
    )
