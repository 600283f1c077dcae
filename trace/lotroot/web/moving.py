"""How does somebody in the yard say where things stand: scan a place, then lots until the next place?"""

from typing import Any

from flask import Blueprint, render_template

from lotroot.errors import Unreadable
from lotroot.identity import Number, is_thing
from lotroot.identity.showing import shown
from lotroot.moving.places import MoveGoods
from lotroot.plant.adopted import thing_or_none
from lotroot.plant.places import STANDING_THINGS
from lotroot.web.frame import signed_in
from lotroot.web.rows import begins_row, first_of_row, goods_scanned, span, without_row
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown

blueprint = Blueprint("moving", __name__)
NAV = (("Moving", "moving.page"),)
MOST = 8
_AT = " @ "
"""Between what was moved and the number of the place it went to, in the page's context."""
HELP = "Scan a place, then everything that stands there, until the next place."


@blueprint.get("/moving")
def page() -> str:
    """The yard's page."""
    signed_in()
    return render_template("moving.html", **scan_frame(PAGE, kind="yard"))


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A place to stand at, or goods that stand there."""
    context = dict(scene.context)
    row = begins_row(scanned, context)
    if row is not None:
        return row
    if isinstance(scanned.value, Number) and is_thing(scanned.value):
        return _place(scene, str(scanned.value), context)
    value = goods_scanned(scene, scanned)
    if value is None:
        return None
    if not context.get("place"):
        raise Unreadable(
            "Nobody has said yet where it stands.",
            value=shown(str(value)),
            expected="The label of a place.",
            next_step="Scan the place first, then this again.",
        )
    first = first_of_row(value, context)
    if first is not None:
        return first
    number, last = span(value, context)
    place = str(context["place"])
    what = f"{shown(number)} to {shown(last)}" if last else shown(number)
    moved = [f"{what}{_AT}{place}", *context.get("moved", [])][:MOST]
    return Act(MoveGoods(number, place, last), {**without_row(context), "moved": moved})


def _place(scene: Scene, number: str, context: dict[str, Any]) -> Say | None:
    thing = thing_or_none(scene.connection, number)
    if thing is None or thing.kind not in STANDING_THINGS:
        return None
    name = _name(scene, number)
    return Say(f"{name}. Scan what stands here.", context={**without_row(context), "place": number})


def _name(scene: Scene, number: str) -> str:
    thing = thing_or_none(scene.connection, number)
    if thing is None:
        return ""
    groups: dict[str, Any] = {
        "place": scene.plant.places,
        "vessel": scene.plant.vessels,
        "station": scene.plant.stations,
    }
    found = groups.get(thing.kind, {}).get(thing.code)
    return str(found.name) if found else str(thing.code)


def show(scene: Scene) -> Shown:
    """Where we are, and what was moved here last."""
    name = _name(scene, str(scene.context.get("place", "")))
    following = f"At {name}: scan what stands here" if name else "Scan the label of the place"
    if scene.context.get("row"):
        following = "Scan the last of the row" if scene.context.get("first") else "Scan the first of the row"
    kept = [str(one).partition(_AT) for one in scene.context.get("moved", [])]
    moved = [(what, _name(scene, place)) for what, _, place in kept]
    return Shown(following, {"moved-here": render_template("_moved_here.html", name=name, moved=moved)})


PAGE = Page("moving", meaning, show, HELP)
