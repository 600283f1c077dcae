"""How is an emergency form entered later, row by row, with a scanner and a numeric key pad?

A row is: its label, its time, what went in, how much came out. Each scan records what it says under the time
of its row, marked late; the amount ends the row. What went on at that time is read from the record.
"""

from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response, make_response, redirect, render_template

from lotroot.errors import Refused
from lotroot.identity import Command, ItemNumber, Number, is_carrier, is_lot, is_thing
from lotroot.identity.showing import shown
from lotroot.plant.adopted import thing_or_none
from lotroot.production.marking import CloseRun
from lotroot.web import catchup_bins as bins
from lotroot.web import catchup_making as making
from lotroot.web import catchup_row as row
from lotroot.web.catchup_row import Begun
from lotroot.web.catchup_shown import show
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in, who
from lotroot.web.paper_time import paper_time
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene
from lotroot.web.station_bins import buttons
from lotroot.web.station_making import LOOKS_TYPED

blueprint = Blueprint("catchup", __name__)
NAV = (("Catch up", "catchup.page"),)

HELP = (
    "One row at a time: scan its label, type its time (0230, or 28 0230), scan what went in if it was "
    "another, type how much. SCRAP: a weight of scrap. NEXT: leave this row. DONE: the run ended at the "
    "time of the row. A scrap bin that was weighed: its label, when it was emptied, what the scale showed."
)


@blueprint.get("/catchup")
def page() -> Response:
    """The page of the station whose form is entered."""
    signed_in()
    if who().at is None:
        return make_response(redirect("/signin", 303))
    return make_response(render_template("catchup.html", **scan_frame(PAGE, bins=_bins())))


def _bins() -> list[dict[str, Any]]:
    """The bins of the station whose form is entered, as its own page shows them."""
    found = who()
    if found.plant is None or found.at is None:
        return []
    with desk().house.reading() as connection:
        return buttons(Scene(connection, found.plant, "", "", found.at, desk().now()))


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """The meaning of one scan; None where it is nothing of this page's."""
    if scene.at is None:
        raise Refused(
            "This terminal stands at no station.",
            expected="The station whose form this is.",
            next_step="Scan the station's own label.",
        )
    begun = row.begun(scene)
    value = scanned.value
    if isinstance(value, Command):
        return _command(scene, begun, value)
    if isinstance(value, Number | ItemNumber):
        return _number(scene, begun, value)
    if value is None and LOOKS_TYPED.match(scanned.text.strip()):
        return _typed(scene, begun, scanned.text.strip())
    return None


def _number(scene: Scene, begun: Begun, value: Number | ItemNumber) -> Act | Say | None:
    """A label begins a row; what was made before, or is on a label that is used, goes into this one."""
    if isinstance(value, Number) and is_lot(value) and not begun.takes(scene, str(value)):
        return row.begin(scene, begun, value)
    if isinstance(value, Number) and is_thing(value) and (bin_said := bins.begin(scene, begun, value)):
        return bin_said
    if isinstance(value, ItemNumber) or is_lot(value):
        return making.goes_in(scene, begun.timed(), row.on_goods(scene, str(value)))
    if is_carrier(value):
        return making.carrier(scene, begun.timed(), str(value))
    thing = thing_or_none(scene.connection, str(value)) if is_thing(value) else None
    if thing is None or thing.kind not in ("payoff", "resource", "vessel"):
        return None
    return making.thing(scene, begun.timed(), thing)


def _typed(scene: Scene, begun: Begun, text: str) -> Act | Say:
    if begun.bin:
        return bins.typed(scene, begun, text)
    if not begun.number:
        raise Refused(
            "No row is begun.",
            value=text,
            expected="The label of a row, or of a bin of scrap.",
            next_step="Scan the bars at the head of the row first.",
        )
    if begun.at:
        return making.amount(scene, begun, text)
    at = paper_time(text, scene.plant.zone, scene.now, begun.last)
    return making.at_time(scene, begun._replace(at=at), row.day_and_time(scene, at))


def _next(scene: Scene, begun: Begun) -> Say:
    if not begun.begun:
        raise Refused("No row is begun.", word="already", next_step="Scan the label of a row.")
    return Say(f"{begun.called(scene)} is left for later.", word="Then", context=begun.after())


def _undo(scene: Scene, begun: Begun) -> Say | None:
    """UNDO takes back a part of the row, or forgets it; what a label is on already is put right instead."""
    if begun.bin:
        return bins.undo(begun)
    if begun.at and begun.bare and row.was_of_row(scene, begun):
        return None
    if begun.number and begun.at and begun.bare:
        said = "The time is forgotten. Type it again."
        return Say(said, word="Then", context=begun._replace(at=0).context)
    if begun.number and begun.bare:
        return Say(f"{shown(begun.number)} is forgotten.", word="Then", context=begun.after())
    if begun.number:
        return Say("Forgotten.", word="Then", context=begun.plain().context)
    row.refuse_undo(scene)
    return None


def _scrap(scene: Scene, begun: Begun) -> Say:
    begun.timed()
    reasons = {reason.code: reason.words for reason in scene.plant.reasons_of("scrap")}
    reason = scene.ask("scrap", "Why is it scrap?", reasons)
    said = f"{reasons[reason]}. Type the weight of the scrap."
    return Say(said, word="Then", context=begun._replace(scrap=reason).context)


def _done(scene: Scene, begun: Begun) -> Act:
    state = making.state_at(scene, begun.timed())
    if state.run is None:
        raise Refused(
            "No run went on then.", word="already", expected="A run to end.", next_step="Scan the next row."
        )
    return Act(CloseRun(state.run.number), begun.after(), happened=begun.at)


_COMMANDS: dict[Command, Callable[[Scene, Begun], Act | Say | None]] = {
    Command.NEXT: _next,
    Command.UNDO: _undo,
    Command.SCRAP: _scrap,
    Command.DONE: _done,
}


def _command(scene: Scene, begun: Begun, command: Command) -> Act | Say | None:
    means: Any = _COMMANDS.get(command)
    return means(scene, begun) if means else None


PAGE = Page("catchup", meaning, show, HELP, proves=False, labels=True)
