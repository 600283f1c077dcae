"""What does the page of a station show: last answer, next step, what is loaded and left, what was made?"""

from typing import Any

from flask import Blueprint, Response, make_response, redirect, render_template

from lotroot.genealogy.lots import find_lot
from lotroot.holds.naming import WORDS
from lotroot.holds.reach import held_by
from lotroot.identity import ItemNumber, number_from
from lotroot.identity.showing import shown
from lotroot.plant.adopted import number_of
from lotroot.web import cautions, station_bins
from lotroot.web.frame import local, signed_in, when, who
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Page, Scene, Shown
from lotroot.web.station_cuts import cut_words_of
from lotroot.web.station_dies import drawing
from lotroot.web.station_next import next_step
from lotroot.web.station_scans import HELP, meaning
from lotroot.web.station_stake import at_stake
from lotroot.web.station_state import State, products_at, state_of, tools
from lotroot.web.station_theory import theory

blueprint = Blueprint("station", __name__)
NAV = (("Station", "station.page"),)

LATEST = 5
"""Outputs shown: what fits beside the loaded coils without scrolling."""


@blueprint.get("/station")
def page() -> Response:
    """The page of the station this terminal stands at."""
    signed_in()
    at = who().at
    if at is None:
        return make_response(redirect("/signin", 303))
    values = scan_frame(PAGE, station_payoffs=len(at.payoffs))
    return make_response(render_template("station.html", **values))


def show(scene: Scene) -> Shown:
    """The parts that change with every scan."""
    state = state_of(scene)
    if state is None:
        name = scene.at.name if scene.at else "This terminal"
        following = station_bins.next_step(scene) or f"{name} works no process. Open another page."
        return Shown(following, {})
    values = {
        "run": _run(state),
        "loads": _loads(state),
        "stake": at_stake(state),
        "payoffs": _payoffs(state),
        "made": _made(state),
        "choices": _choices(state),
    }
    values["cautions"] = cautions.sentences(state.process.cautions)
    parts = ("run", "loaded", "made", "acts", "cautions")
    return Shown(
        next_step(state),
        {f"station-{part}": render_template(f"_station_{part}.html", **values) for part in parts},
    )


def _run(state: State) -> dict[str, Any]:
    run = state.run
    return {
        "process": state.process.name,
        "product": state.product.name if state.product and not state.told_by_itself else "",
        "number": shown(run.number) if run else "",
        "opened": when(state.plant, run.row.opened) if run else "",
        "tools": [state.plant.resources[code].name for code in tools(state) if code in state.plant.resources],
        "wanted": ", ".join(state.process.uses).replace("_", " "),
        "stopped": state.stopped,
        **drawing(state),
        **theory(state),
    }


def _loads(state: State) -> list[dict[str, Any]]:
    """What is loaded, as rows of a table."""
    rows = []
    for load in state.loads:
        lot = find_lot(state.scene.connection, load.lot)
        product = state.plant.products.get(lot.product)
        mixed = state.feed_of(load.stream) == "mixed"
        rows.append(
            {
                "lot": shown(load.lot),
                "payoff": load.payoff,
                "product": product.name if product else lot.product,
                "left": "" if mixed else state.scene.amount(state.left(load), lot.unit),
                "low": not mixed and state.left(load) <= 0,
                "of": state.scene.amount(load.own, lot.unit),
                "since": when(state.plant, load.at),
            }
        )
    return rows


def _payoffs(state: State) -> list[dict[str, Any]]:
    """Every payoff with what is on it, where a station has several."""
    if len(state.station.payoffs) == 1:
        return []
    on = {row["payoff"]: row for row in _loads(state)}
    return [
        {
            "name": payoff.name,
            "number": number_of(state.scene.connection, "payoff", payoff.code, state.station.code),
            "on": on.get(payoff.code),
            "chosen": state.scene.context.get("payoff") == payoff.code,
        }
        for payoff in state.station.payoffs
    ]


def _made(state: State) -> dict[str, Any]:
    """The latest outputs, newest first, and the totals of the run."""
    outputs = list(state.run.outputs) if state.run else []
    cut = cut_words_of(state)
    return {
        "rows": [
            {**_output(state, one), "cuts": cut.get(one.seq, "")} for one in reversed(outputs[-LATEST:])
        ],
        "totals": [_total(state, output) for output in state.process.outputs if state.made_of(output)],
    }


def _output(state: State, one: Any) -> dict[str, Any]:
    lot = find_lot(state.scene.connection, one.lot)
    reached = held_by(state.scene.connection, one.lot, one.first, one.last)
    definition = state.process.output(one.output)
    return {
        "lot": _number_made(one),
        "name": definition.name if definition else one.output,
        "amount": state.scene.amount(one.own, lot.unit),
        "at": _short(state, one.ended),
        "held": WORDS[reached[0].kind] if reached else "",
    }


def _short(state: State, at: int) -> str:
    """The time, with the weekday where it was not today."""
    then, now = local(state.plant, at), local(state.plant, state.scene.now)
    return f"{then:%H:%M}" if then.date() == now.date() else f"{then:%a %H:%M}"


def _number_made(one: Any) -> str:
    if not one.first:
        return shown(one.lot)
    if one.first == one.last:
        return ItemNumber(number_from(one.lot), one.first).shown
    return f"{shown(one.lot)}, items {one.first} to {one.last}"


def _total(state: State, output: Any) -> str:
    made = state.made_of(output)
    count = sum(one.last - one.first + 1 if one.first else 1 for one in made)
    unit = find_lot(state.scene.connection, made[-1].lot).unit
    return f"{count} × {output.name}, {state.scene.amount(sum(one.own for one in made), unit)}"


def _choices(state: State) -> dict[str, Any]:
    """What can be chosen with a button: the next product, or another output of this process."""
    chosen = state.run is not None or state.told_by_itself
    products = (
        [] if chosen else [state.plant.product(code) for code in products_at(state.plant, state.station)]
    )
    outputs = state.process.outputs if state.run and len(state.process.outputs) > 1 else ()
    return {
        "products": products if len(products) > 1 else [],
        "usual": state.product.code if state.product else "",
        "outputs": outputs,
        "chosen": state.chosen.code,
        "many": len(state.process.outputs) > 1,
        "vessel": state.process.vessel is not None,
        "count": state.asks in ("count", "length", "cut"),
        "running": state.run is not None,
        "loaded": bool(state.loads),
        "stopped": state.stopped,
        "bins": station_bins.buttons(state.scene),
    }


PAGE = Page("station", meaning, show, HELP)
