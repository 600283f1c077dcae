"""`side_by_side`: every strip runs the whole length of the coil in a lane of its own (slitting).

A strip is never cut between two coils. Where more than one coil could have been on while it was made, it
is expected to be of the first whose lane is still free, and could be of the others.
"""

from dataclasses import dataclass, field

from lotroot.balance.happenings import Basis, Ended, Load, Made, Margin, Scrapped, Unloaded
from lotroot.balance.linking import Part
from lotroot.balance.reached import Reached


@dataclass(slots=True)
class _Coil:
    load: Load
    begin: int
    off: int | None = None
    lanes: list[tuple[int, int]] = field(default_factory=list)

    def has_room(self, made: Made) -> bool:
        """Whether no strip lies in this lane yet."""
        return all(made.lane_to <= left or right <= made.lane_from for left, right in self.lanes)


class SideBySide:
    """The coils on the decoiler, one after the other."""

    def __init__(self, _margin: Margin) -> None:
        self._reached = Reached()
        self._coils: dict[int, _Coil] = {}
        self._began = 0  # the latest output

    def put_on(self, load: Load) -> None:
        """A coil was put on."""
        self._coils[load.seq] = _Coil(load, self._reached.begin(load))

    def end(self, mark: Ended) -> None:
        """A coil ran out."""
        coil = self._coils.get(mark.load)
        if coil is not None and coil.off is None:
            coil.off = mark.at

    def take_off(self, unloaded: Unloaded) -> None:
        """A coil was taken off; as full as it came, it had only been waiting."""
        coil = self._coils.get(unloaded.load)
        if coil is None:
            return
        if unloaded.remainder >= coil.load.amount:
            del self._coils[unloaded.load]
        elif coil.off is None:
            coil.off = unloaded.at

    def scrap(self, scrapped: Scrapped) -> None:
        """Part of a coil was scrapped or sampled."""
        coil = self._coils.get(scrapped.load)
        if coil is not None:
            self._reached.take(coil.load, scrapped.amount)

    def make(self, made: Made) -> tuple[Part, ...]:
        """The parts of a strip: one coil, and those that could be it."""
        could = self._could(made)
        if not could:
            return ()
        likely = next((coil for coil in could if coil.has_room(made)), could[-1])
        likely.lanes.append((made.lane_from, made.lane_to))
        self._reached.take(likely.load, made.amount)
        self._began = max(self._began, made.began)
        sure = len(could) == 1
        return tuple(_part(coil, made, coil is likely, sure) for coil in could)

    def settled(self, load: int) -> bool:
        """Whether a later strip was begun after this coil had come off."""
        coil = self._coils.get(load)
        return coil is None or (coil.off is not None and coil.off < self._began)

    def _could(self, made: Made) -> list[_Coil]:
        """The coils that were on; strips weighed after all had come off are of the last."""
        coils = list(self._coils.values())
        if made.of in self._coils:
            return [self._coils[made.of]]
        return [coil for coil in coils if coil.off is None or coil.off >= made.began] or coils[-1:]


def _part(coil: _Coil, made: Made, likely: bool, sure: bool) -> Part:
    stop = coil.begin + coil.load.amount
    given, least = (made.amount if likely else 0), (made.amount if sure else 0)
    basis: Basis = made.basis if sure else "bounded"
    return Part(coil.load, 0, made.amount, given, least, made.amount, coil.begin, stop, basis)
