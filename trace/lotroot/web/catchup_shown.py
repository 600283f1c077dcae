"""What does the catch-up page show: the row in hand, what went on at its time, and which rows are left?"""

from typing import Any

from flask import render_template

from lotroot.errors import LotrootError
from lotroot.identity.showing import shown
from lotroot.pads.listing import OUT, USED, PadGiven, PadLabel, pads_given
from lotroot.web import catchup_bins as bins
from lotroot.web.catchup_making import state_at
from lotroot.web.catchup_row import Begun, begun, day_and_time
from lotroot.web.cells import link
from lotroot.web.frame import when
from lotroot.web.scene import Scene, Shown

LATEST = 60
"""Rows shown of a pad: the last ones entered, and those that come next."""
PADS = 2
"""Pads shown: the one in use, and the one before it."""


def show(scene: Scene) -> Shown:
    """The parts that change with every scan."""
    row = begun(scene)
    pads = pads_given(scene.connection, scene.station, PADS) if scene.station else []
    parts = {
        "catchup-row": render_template("_catchup_row.html", facts=_facts(scene, row)),
        "catchup-pads": render_template("_catchup_pads.html", pads=[_pad(scene, one) for one in pads]),
    }
    return Shown(_next(scene, row), parts)


def _next(scene: Scene, row: Begun) -> str:
    if row.bin:
        return f"{row.called(scene)}: {bins.then(scene, row)}"
    if not row.number:
        return "Scan the label of a row"
    if not row.at:
        return "Type its time: 0230, or 28 0230"
    if row.scrap:
        return "Type the weight of the scrap"
    if scene.at is not None and not scene.at.processes:
        return "Type how much came in"
    return "Scan what went in, or type how much came out"


def _facts(scene: Scene, row: Begun) -> list[tuple[str, Any]]:
    if not row.begun:
        return []
    if row.bin:
        time = day_and_time(scene, row.at) if row.at else "not told yet"
        return [("Bin", row.called(scene)), ("Why", scene.plant.reason(row.scrap).words), ("Emptied", time)]
    facts: list[tuple[str, Any]] = [
        ("Row", shown(row.number)),
        ("Time", day_and_time(scene, row.at) if row.at else "not told yet"),
    ]
    if row.at and scene.at is not None and scene.at.processes:
        facts += _then(scene, row)
    return facts


def _then(scene: Scene, row: Begun) -> list[tuple[str, Any]]:
    """What the record says of that time."""
    try:
        state = state_at(scene, row)
    except LotrootError as error:
        return [("Then", str(error))]
    if state.run is None:
        return [("Then", "no run went on")]
    product = state.product.name if state.product and not state.told_by_itself else state.process.name
    on = [one for one in state.run.inputs if one.at <= row.at and not _off(one, row.at)]
    loaded = ", ".join(shown(one.lot) for one in on) or "nothing"
    return [("Made then", product), ("Run", link(state.run.number)), ("On then", loaded)]


def _off(load: Any, at: int) -> bool:
    ends = [one for one in (load.ended_at, load.unloaded_at) if one is not None]
    return bool(ends) and min(ends) < at


def _pad(scene: Scene, given: PadGiven) -> dict[str, Any]:
    entered, left = given.of(USED), given.of(OUT)
    return {
        "title": f"{shown(given.numbers[0])} to {shown(given.numbers[-1])}",
        "counted": f"{len(entered)} entered, {len(left)} not",
        "rows": [_label(scene, one) for one in given.labels][:LATEST],
    }


def _label(scene: Scene, one: PadLabel) -> dict[str, Any]:
    if one.state == OUT:
        return {"label": shown(one.number), "state": "not entered"}
    if one.state == USED:
        return {"label": link(one.number), "state": f"entered: {when(scene.plant, one.at)}"}
    words = "stuck on other goods" if one.goods else "destroyed"
    return {"label": shown(one.number), "state": f"{words}: {when(scene.plant, one.at)}"}
