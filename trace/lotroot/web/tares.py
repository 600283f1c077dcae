"""What does each pan, tram and spool weigh empty, and how is one weighed anew: scan it, then its weight?"""

from typing import Any

from flask import Blueprint, render_template
from sqlalchemy import Row

from lotroot.identity import Command, Number, is_carrier
from lotroot.moving.pallets import EmptyCarrier
from lotroot.moving.tares import WeighEmpty
from lotroot.stock.carriers import coded_carriers, find_carrier
from lotroot.stock.tares import tare_at, tares_of
from lotroot.tracing.words import Words
from lotroot.web.cells import Table, amounts, column, link
from lotroot.web.frame import signed_in, when
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown
from lotroot.web.station_making import LOOKS_TYPED
from lotroot.web.wording import spot_name

blueprint = Blueprint("tares", __name__)
NAV = (("Tares", "tares.page"),)
HELP = "Scan a pan, tram, spool or pallet that is empty, then type what the scale shows."
BY_PLANT = "plant's list"


@blueprint.get("/tares")
def page() -> str:
    """The page of tares."""
    signed_in()
    return render_template("tares.html", **scan_frame(PAGE, kind="yard"))


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A carrier that stands on the scale, or its weight."""
    number = str(scene.context.get("carrier", ""))
    if isinstance(scanned.value, Number) and is_carrier(scanned.value):
        return _on_the_scale(scene, str(scanned.value))
    if number and scanned.value is Command.EMPTY:
        return Act(EmptyCarrier(number), context=scene.context)
    text = scanned.text.strip()
    if scanned.value is not None or not LOOKS_TYPED.match(text):
        return None
    if not number:
        return Say(
            "Nobody has said yet what is on the scale.",
            "refused",
            detail="Scan the empty pan, tram or spool first, then type its weight.",
        )
    return Act(WeighEmpty(number, scene.typed(text, "g", _known(scene, number)), scene.typed_by))


def _on_the_scale(scene: Scene, number: str) -> Say:
    carrier = find_carrier(scene.connection, number)
    name = spot_name(scene.connection, scene.plant, str(carrier.number))
    grams = _known(scene, str(carrier.number))
    last = f", {scene.amount(grams, 'g')} so far" if grams is not None else ", not weighed yet"
    return Say(f"{name}{last}. Type what it weighs empty.", word="Then", context={"carrier": carrier.number})


def _known(scene: Scene, number: str) -> int | None:
    carrier = find_carrier(scene.connection, number)
    told = scene.plant.carriers.get(carrier.code)
    tare = tare_at(scene.connection, number, scene.now, told.tare_g if told else None)
    return tare.grams if tare else None


def show(scene: Scene) -> Shown:
    """What is on the scale, and every carrier's tare with its date."""
    number = str(scene.context.get("carrier", ""))
    following = "Scan an empty pan, tram or spool"
    if number:
        name = spot_name(scene.connection, scene.plant, number)
        following = f"{name}: type what it weighs empty, {scene.plant.units.get('g', 'g')}"
    html = render_template("_tares.html", table=_table(scene))
    return Shown(following, {"tares": html})


def _table(scene: Scene) -> Table:
    words = Words(scene.connection)
    rows = [_row(scene, words, carrier) for carrier in coded_carriers(scene.connection)]
    shown_as = amounts([(row["grams"], "g") for row in rows if row["grams"] is not None], scene.plant)
    texts = iter(shown_as.texts)
    cells = [{**row, "tare": next(texts) if row["grams"] is not None else "unknown"} for row in rows]
    columns = [
        column("Carrier", "name"),
        column("Weighs empty", "tare", shown_as.unit),
        column("Since", "since"),
        column("By", "person"),
        column("Typed", "typed"),
    ]
    return Table("Tares", columns, cells, "This plant has no pans, trams or spools.")


def _row(scene: Scene, words: Words, carrier: Row[Any]) -> dict[str, Any]:
    told = scene.plant.carriers.get(carrier.code)
    weighed = tares_of(scene.connection, carrier.number)
    tare = weighed[-1] if weighed else None
    grams = tare.grams if tare is not None else told.tare_g if told else None
    since = when(scene.plant, tare.since) if tare is not None else BY_PLANT if grams is not None else ""
    return {
        "name": link(carrier.number, told.name if told else carrier.code),
        "grams": grams,
        "since": since,
        "person": words.called(tare.person) if tare is not None else "",
        "typed": {"hand": "by hand", "scale": "by the scale"}.get(tare.typed_by if tare else "", ""),
    }


PAGE = Page("tares", meaning, show, HELP)
