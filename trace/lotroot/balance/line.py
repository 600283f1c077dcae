"""One payoff, its loads eaten in turn: which load does each stretch of an output come from?

Positions count what the payoff has given to outputs so far. Between two loads stands a border with an
earliest, an expected and a latest position. A mark anchors it (RULES.md 7); without one the first load
is expected to last as long as its amount, and from the moment the next was on it could be either.
Links are written when an output is made, so nothing here looks ahead.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

from lotroot.balance.border import Border, in_order, part_before, sharp
from lotroot.balance.happenings import Basis, Ended, Load, Made, Margin, Scrapped, Unloaded
from lotroot.balance.linking import Part
from lotroot.balance.reached import Reached


@dataclass(slots=True)
class _Turn:
    """A load on the payoff, from position `seen` on; `border` is where it ended, once that is history."""

    load: Load
    seen: int
    mark: Ended | None = None
    border: Border | None = None
    passed: int | None = None  # when the next load reached the output
    given: int = 0  # to outputs
    other: int = 0  # what left it besides

    @property
    def marked(self) -> bool:
        """Whether a mark of its end has been placed."""
        return self.border is not None and self.border.marked


class Line:
    """The loads of one payoff in their turns."""

    def __init__(self, margin: Margin, reached: Reached) -> None:
        self._margin = margin
        self._reached = reached
        self._turns: list[_Turn] = []
        self._position = 0
        self._over = 0  # turns at the front that can give no more: long runs read on behind them

    def put_on(self, load: Load) -> None:
        """The load stands behind those that are on, or behind the ended one that named it its next."""
        self._reached.begin(load)
        turn = _Turn(load, self._position)
        self._turns.append(turn)
        for before in self._turns:
            if before.mark is not None and before.mark.next_load == load.seq:
                self._weld(before, turn)
                return

    def end(self, mark: Ended) -> None:
        """The load ran out; the first mark on it counts."""
        turn = self._turn(mark.load)
        if turn is None or turn.mark is not None:
            return
        turn.mark = mark
        following = self._turn(mark.next_load)
        if following is not None:
            self._weld(turn, following)

    def take_off(self, unloaded: Unloaded) -> None:
        """Untouched, the load was only waiting and never had a turn; else this ends its turn."""
        turn = self._turn(unloaded.load)
        if turn is None:
            return
        if unloaded.remainder >= turn.load.amount - turn.other:
            self._remove(turn)
        elif turn.mark is None:
            turn.mark = Ended(unloaded.load, 0, unloaded.at)

    def scrap(self, scrapped: Scrapped) -> None:
        """Something left the load, and its axis moved on, without an output."""
        turn = self._turn(scrapped.load)
        if turn is not None:
            turn.other += scrapped.amount
            self._reached.take(turn.load, scrapped.amount)

    def active(self, made: Made) -> bool:
        """Whether a load was on while this output was made."""
        return bool(self._turns) and not self._off(made)

    def empty(self) -> bool:
        """Whether no load ever had a turn here."""
        return not self._turns

    def weight(self) -> int:
        """Mass a metre of what runs in as the next output begins."""
        behind = self._borders(self._over)
        begun = self._over + sum(border.expected <= self._position for border in behind)
        return self._turns[begun].load.weight

    def settled(self, load: int) -> bool:
        """Whether the margin behind this load's end has passed, so that it gives no more (RULES.md 7)."""
        turn = self._turn(load)
        if turn is None or turn is self._turns[-1]:
            return turn is None
        place = self._turns.index(turn)
        if place < self._over or not turn.marked:
            return turn.marked
        return self._borders(self._over)[place - self._over].latest <= self._position

    def named(self, made: Made) -> tuple[Part, ...]:
        """The part of an output that names its own load, none if that load is not on this payoff."""
        turn = self._turn(made.of)
        if turn is None:
            return ()
        turn.other += made.amount
        return (_main(turn.load, (0, made.amount), self._reached, made.basis),)

    def take(self, made: Made, amount: int) -> tuple[Part, ...]:
        """The parts of `amount` of this output, in the order of the loads; empty if nothing was on."""
        if not self._turns:
            return ()
        self._anchor(made, amount)
        first = self._first(made)
        cuts = in_order(self._cuts(first, made, amount))
        edges = [sharp(0), *cuts, sharp(amount)]
        parts = [
            part
            for turn, sides in zip(self._turns[first:], pairwise(edges), strict=True)
            for part in self._parts(turn, sides, made, amount)
        ]
        self._advance(first, made, amount, cuts)
        return tuple(parts)

    def _turn(self, load: int) -> _Turn | None:
        return next((turn for turn in reversed(self._turns) if turn.load.seq == load), None)

    def _weld(self, before: _Turn, following: _Turn) -> None:
        """Let `following` take its turn right after `before`."""
        self._remove(following)
        place = self._turns.index(before)
        self._turns.insert(place + 1, following)
        self._over = min(self._over, place)

    def _remove(self, turn: _Turn) -> None:
        """Take a turn out; whether the one before it is over depends on what follows it."""
        place = self._turns.index(turn)
        del self._turns[place]
        self._over = min(self._over, max(0, place - 1))

    def _off(self, made: Made) -> bool:
        """Whether the last load had ended before this output was begun."""
        mark = self._turns[-1].mark
        return mark is not None and mark.at < made.began

    def _anchor(self, made: Made, amount: int) -> None:
        """Place the marks that fell into this output: until there their loads run, whatever was reckoned."""
        for place, turn in enumerate(self._turns[self._over :], self._over + 1):
            if turn.mark is not None and not turn.marked:
                turn.border, turn.passed = self._marked(turn.mark, made, amount), None
                for later in self._turns[place:]:
                    if not later.marked:
                        later.border, later.passed = None, None

    def _marked(self, mark: Ended, made: Made, amount: int) -> Border:
        before = part_before(made, amount, mark)
        spread = amount if before is None else 0  # neither counter nor time tells where it fell
        expected = self._position + (before or 0) + self._margin.on_blocks
        width = self._margin.width
        # Never before the output in which it was scanned: that wire had passed while the first load ran.
        return Border(max(self._position, expected - width), expected, expected + width + spread, True)

    def _first(self, made: Made) -> int:
        """The first turn that could have reached this output.

        Left out are turns whose marked border, however late, lies behind, and was passed before it began.
        """
        while self._over < len(self._turns) - 1 and self._is_over(self._over):
            self._over += 1
        first = self._over
        while first and made.began < (self._turns[first - 1].passed or 0):
            first -= 1
        return first

    def _is_over(self, place: int) -> bool:
        turn, following = self._turns[place], self._turns[place + 1]
        if turn.border is None or not turn.marked or turn.passed is None:
            return False
        return turn.border.not_before(following.seen).latest < self._position

    def _borders(self, first: int) -> list[Border]:
        """The borders between the turns from `first` on, as positions of the payoff."""
        found: list[Border] = []
        before = self._turns[first - 1].border if first else None
        begin = before.not_before(self._turns[first].seen) if before else sharp(self._turns[first].seen)
        for turn, following in pairwise(self._turns[first:]):
            begin = (turn.border or self._unmarked(turn, begin)).not_before(following.seen)
            found.append(begin)
        return found

    def _unmarked(self, turn: _Turn, begin: Border) -> Border:
        """Expected where the load is used up, it could be at once, or as late as its label may err."""
        whole = turn.load.amount - turn.other
        expected = max(begin.expected, self._position) + max(0, whole - turn.given)
        return Border(begin.earliest, expected, max(expected, begin.latest + whole + self._margin.width))

    def _cuts(self, first: int, made: Made, amount: int) -> list[Border]:
        """The borders behind the turns from `first` on, counted from the start of this output.

        One begun before a border was passed is cut there by time; what follows is pushed on by as much.
        """
        found: list[Border] = []
        pushed = 0
        for turn, border in zip(self._turns[first:], self._borders(first), strict=False):
            if turn.passed is not None and made.began < turn.passed:
                pushed = part_before(made, amount, Ended(0, 0, turn.passed)) or 0
                found.append(border.moved(pushed - border.expected))
            else:
                found.append(border.moved(pushed - self._position))
        return found

    def _parts(self, turn: _Turn, edges: tuple[Border, Border], made: Made, amount: int) -> list[Part]:
        """What could be this load's: before its own stretch, in it, after it."""
        left, right = edges
        low, high = left.within(amount), right.within(amount)
        found: list[Part] = []
        begin = self._reached.of(turn.load)
        if low.earliest < low.expected:
            stretch = (low.earliest, low.expected)
            found.append(_possible(turn.load, stretch, (begin, begin + low.expected - left.earliest)))
        if low.expected < high.expected or (not amount and left.earliest <= 0 <= right.latest):
            gone = turn is self._turns[-1] and self._off(made)
            main = _main(turn.load, (low.expected, high.expected), self._reached, made.basis)
            sure = 0 if gone else max(0, high.earliest - low.latest)
            met = [border for border in edges if border.touches(amount)]
            turn.given += main.given
            found.append(replace(main, least=min(sure, main.given), basis=_basis(met, gone, made)))
        if high.expected < high.latest:
            behind = self._reached.of(turn.load) + high.expected - right.expected
            stretch = (high.expected, high.latest)
            found.append(_possible(turn.load, stretch, (behind, behind + high.latest - high.expected)))
        return found

    def _advance(self, first: int, made: Made, amount: int, cuts: list[Border]) -> None:
        """Count this output; the borders passed in it are history from now on."""
        for turn, cut in zip(self._turns[first:], cuts, strict=False):
            if turn.passed is None and cut.expected <= amount:
                into = max(0, cut.expected) * max(0, made.ended - made.began) // max(1, amount)
                turn.border, turn.passed = cut.moved(self._position), made.began + into
        self._position += amount


def _basis(met: list[Border], gone: bool, made: Made) -> Basis:
    """How a part is known that these borders touch."""
    if gone or any(not border.marked for border in met):
        return "bounded"
    return "apportioned" if met else made.basis


def _main(load: Load, stretch: tuple[int, int], reached: Reached, basis: Basis) -> Part:
    start, stop = stretch
    given = stop - start
    begin = reached.take(load, given)
    return Part(load, start, stop, given, given, given, begin, begin + given, basis)


def _possible(load: Load, stretch: tuple[int, int], parent: tuple[int, int]) -> Part:
    start, stop = stretch
    return Part(load, start, stop, 0, 0, stop - start, *parent, "bounded")
