"""What else in a row changes with a value that is put in place of one of its own?

Pure: of a row and the values given, the values that have to be recorded.
"""

from collections.abc import Mapping

from lotroot.confirmed.figures import Figure, column_words
from lotroot.errors import Unreadable
from lotroot.quality.two_units import in_both

EITHER = (("td_percent_of_qn", "td_absolute"),)
"""Columns of which one holds and the other is empty: a share of the amount, or so much of it."""


def may_be_empty(column: str) -> bool:
    """Whether a column may be left empty because another one holds in its place."""
    return any(column in pair for pair in EITHER)


def taken_along(figure: Figure, given: Mapping[str, str]) -> dict[str, str]:
    """The values given, and those that follow from them. Raises Unreadable where they speak against each
    other.
    """
    along = {**given, **in_both(figure, given)}
    for pair in EITHER:
        if not set(pair) & set(given):
            continue
        held = [column for column in pair if given.get(column)]
        if len(held) != 1:
            raise _not_one(figure, pair, [given.get(column, "") for column in pair])
        along |= {column: "" for column in pair if column not in held}
    return along


def _not_one(figure: Figure, pair: tuple[str, str], texts: list[str]) -> Unreadable:
    both = " and ".join(" ".join(column_words(column)[0].split()) for column in pair)
    return Unreadable(
        f"{figure.called}: {both} cannot be {'both given' if all(texts) else 'both empty'}.",
        value=", ".join(text for text in texts if text) or "nothing",
        expected=f"One of {', '.join(pair)}, the other empty.",
        next_step="Give the one the plant goes by.",
    )
