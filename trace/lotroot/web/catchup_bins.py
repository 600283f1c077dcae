"""How is a bin of scrap that was weighed on paper entered: its label, when it was emptied, what it weighed?

It stands in no row of a form and has no emergency label: whoever weighed it wrote down bin, time and weight.
What was in it goes to the runs of that time, as at the station.
"""

from lotroot.identity import Number
from lotroot.processes.bins import Bin
from lotroot.production.bins import WeighBin
from lotroot.stock.typed import HAND
from lotroot.web.catchup_row import Begun, day_and_time
from lotroot.web.paper_time import paper_time
from lotroot.web.scene import Act, Say, Scene
from lotroot.web.station_bins import bin_of, reason_of, shows


def begin(scene: Scene, row: Begun, value: Number) -> Say | None:
    """A bin's label: what is typed next is about it. None for the label of anything else."""
    number = str(value)
    found = bin_of(scene, number)
    if found is None:
        return None
    reason = reason_of(scene, found)
    left = f" {row.called(scene)} is left for later." if row.begun and row.bin != number else ""
    fresh = Begun(bin=number, scrap=reason, last=row.at or row.last)
    said = f"{found.name}, {scene.plant.reason(reason).words}.{left}"
    return Say(said, word="Then", detail=_then(scene, fresh), context=fresh.context)


def then(scene: Scene, row: Begun) -> str:
    """What is typed next of the bin in hand."""
    if not row.at:
        return "type when it was emptied: 0230, or 28 0230"
    return f"type {shows(_known(scene, row))}, {scene.plant.units.get('g', 'g')}"


def typed(scene: Scene, row: Begun, text: str) -> Act | Say:
    """When the bin in hand was emptied, then what the scale showed."""
    if not row.at:
        at = paper_time(text, scene.plant.zone, scene.now, row.last)
        told = row._replace(at=at)
        said = f"{day_and_time(scene, at)}."
        return Say(said, word="Then", detail=_then(scene, told), context=told.context)
    command = WeighBin(row.bin, scene.typed(text, "g"), row.scrap, HAND)
    return Act(command, row.after(), happened=row.at)


def undo(row: Begun) -> Say:
    """UNDO forgets the time first, then the bin: nothing of it is recorded yet."""
    if row.at:
        said = "The time is forgotten. Type it again."
        return Say(said, word="Then", context=row._replace(at=0).context)
    return Say("The bin is forgotten.", word="Then", context=row.after())


def _then(scene: Scene, row: Begun) -> str:
    said = then(scene, row)
    return f"{said[:1].upper()}{said[1:]}."


def _known(scene: Scene, row: Begun) -> Bin:
    """The bin in hand; the plant may have been described anew meanwhile."""
    return bin_of(scene, row.bin) or scene.plant.bin(row.bin)
