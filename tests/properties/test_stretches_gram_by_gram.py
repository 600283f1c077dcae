"""Does a bad stretch reach exactly the outputs that hold a gram of it, followed gram by gram?

The oracle gives every gram of a coil a name and winds, turns and cuts it as the links say. Where both ends
of every link are known the answer is exact; where one is not, it is never narrower.
"""

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field

from family_by_hand import Family
from hypothesis import given
from hypothesis import strategies as st
from lotroot.balance.stretches import Stretch
from lotroot.genealogy.events import LotLink
from lotroot.genealogy.lots import find_lot
from lotroot.tracing.stretched import ALL, Holding, Piece, stretched

GRAMS = 48
ENDS = ("outer", "inner")


@dataclass
class Wound:
    """A lot as a list of grams from its outer end; `taken` says how much has left each end."""

    number: str
    grams: list[int]
    taken: dict[str, int] = field(default_factory=lambda: {"outer": 0, "inner": 0})

    def left(self) -> int:
        return len(self.grams) - sum(self.taken.values())

    def take(self, end: str, amount: int) -> list[int]:
        """The next grams from an end, in the order they run off."""
        run = self.grams if end == "outer" else self.grams[::-1]
        begin = self.taken[end]
        self.taken[end] += amount
        return run[begin : begin + amount]


def wound(run: list[int], child_end: str) -> list[int]:
    """What was made, from its outer end: where the order turned over, the first made lies inside."""
    return run if child_end == "outer" else run[::-1]


@st.composite
def cuttings(draw: st.DrawFn) -> tuple[Family, list[Wound]]:
    """A coil cut into up to five lots, each cut further, some wound the other way."""
    family = Family()
    lots = [Wound(family.lot("rod", GRAMS, source="received"), list(range(GRAMS)))]
    for _ in range(draw(st.integers(1, 9))):
        parent = lots[draw(st.integers(0, len(lots) - 1))]
        if not parent.left():
            continue
        amount = draw(st.integers(1, parent.left()))
        end, child_end = draw(st.sampled_from(ENDS)), draw(st.sampled_from(ENDS))
        begin = parent.taken[end]
        run = parent.take(end, amount)
        link = LotLink(
            parent.number,
            "rod",
            "steel",
            amount,
            amount,
            parent_from=begin,
            parent_to=begin + amount,
            child_from=0,
            child_to=amount,
            end=end,
            feed="in_turn",
            least=amount,
            most=amount,
            child_end=child_end,
        )
        lots.append(Wound(family.made("stripper", amount, link), wound(run, child_end)))
    return family, lots


def grams_in(lot: Wound, pieces: tuple[Piece, ...]) -> set[int]:
    """The grams of a lot that some pieces of it mean."""
    found: set[int] = set()
    for piece in pieces:
        run = lot.grams if piece.end == "outer" else lot.grams[::-1]
        found |= set(lot.grams if piece == ALL else run[piece.stretch.start : piece.stretch.stop])
    return found


def asked(family: Family, lot: Wound, end: str, stretch: Stretch) -> dict[str, Holding]:
    row = find_lot(family.connection, lot.number)
    found = stretched(family.connection, row, Piece(end, stretch))
    return {one.lot.number: one for one in found.holding}


def below(lots: list[Wound], bad: set[int]) -> Iterator[tuple[Wound, set[int]]]:
    for lot in lots[1:]:
        yield lot, set(lot.grams) & bad


@given(cuttings(), st.sampled_from(ENDS), st.integers(0, GRAMS - 1), st.integers(1, GRAMS))
def test_exactly_the_outputs_that_hold_a_bad_gram_are_reached(
    cut: tuple[Family, list[Wound]], end: str, start: int, length: int
) -> None:
    family, lots = cut
    with closing(family):
        run = lots[0].grams if end == "outer" else lots[0].grams[::-1]
        bad = set(run[start : start + length])
        holding = asked(family, lots[0], end, Stretch(start, start + length))
        for lot, expected in below(lots, bad):
            found = grams_in(lot, holding[lot.number].pieces) if lot.number in holding else set()
            assert found == expected


@given(cuttings(), st.integers(0, GRAMS - 1), st.integers(1, GRAMS))
def test_an_unknown_end_reaches_what_either_end_would(
    cut: tuple[Family, list[Wound]], start: int, length: int
) -> None:
    family, lots = cut
    with closing(family):
        stretch = Stretch(start, start + length)
        found = asked(family, lots[0], "unknown", stretch)
        either = [asked(family, lots[0], end, stretch) for end in ENDS]
        assert set(found) == set(either[0]) | set(either[1])
