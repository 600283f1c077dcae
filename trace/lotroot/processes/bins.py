"""Which bins does scrap go into, who throws into each, and does that fit the plant?

Scrap that nobody weighed by itself is known when its bin is weighed. So of one reason a station has one bin:
of two nobody could say into which of them scrap went that was weighed by itself before.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lotroot.processes.parts import Reason, Station
from lotroot.processes.tables import Table


@dataclass(frozen=True, slots=True)
class Bin:
    """Where stations throw their scrap; `stations` are codes.

    `reason` is the scrap's, None where whoever weighs it says. `tare_g` is its empty mass: with one the
    scale shows gross, without one what is in it is weighed.
    """

    code: str
    name: str
    stations: tuple[str, ...]
    reason: str | None
    tare_g: int | None


def read_bin(code: str, table: Table) -> Bin:
    """[bin.CODE]"""
    found = Bin(
        code=code,
        name=table.text("name"),
        stations=table.codes("stations"),
        reason=table.text("reason", "") or None,
        tare_g=table.maybe_amount("tare_g"),
    )
    if not found.stations:
        raise table.refuse("stations", [], "the codes of the stations that throw into it")
    return found


def reasons_known(bins: Iterable[Bin], reasons: Mapping[str, Reason]) -> Iterable[tuple[Bin, str]]:
    """Bins whose reason is no reason for scrap, each with what would fit."""
    of_scrap = ", ".join(one.code for one in reasons.values() if one.group == "scrap") or "none"
    for one in bins:
        if one.reason is not None and (one.reason not in reasons or reasons[one.reason].group != "scrap"):
            yield one, f"a reason of the group scrap: {of_scrap}"


def twins(bins: Iterable[Bin], stations: Mapping[str, Station]) -> Iterable[tuple[Bin, Bin, Station]]:
    """Bins of the same reason at the same station: the later one, the earlier one, the station."""
    before: dict[tuple[str, str | None], Bin] = {}
    for one in bins:
        for code in one.stations:
            other = before.setdefault((code, one.reason), one)
            if other is not one and code in stations:
                yield one, other, stations[code]


def falls_into(bins: Iterable[Bin], station: str, reason: str) -> Bin | None:
    """The bin that scrap of a reason goes into at a station: the one of that reason, else the one of any."""
    here = [one for one in bins if station in one.stations]
    return next((one for want in (reason, None) for one in here if one.reason == want), None)
