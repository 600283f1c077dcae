"""How does somebody record a check by scan: scan the goods, choose what is checked, type what was read?

One line of readings is one check. Of what is counted good or bad, the first number is how many were looked
at, the second how many of them were not good. A check that fails asks whether to hold what failed.
"""

import re
from typing import Any

from flask import Blueprint, render_template, request
from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.goods import typed
from lotroot.identity import Command, ItemNumber, Number, is_carrier, is_lot, is_run, is_thing
from lotroot.identity.showing import shown
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Characteristic
from lotroot.quality.checks import checks_of
from lotroot.quality.facts import FAIL
from lotroot.quality.handling import RecordCheck
from lotroot.quality.judging import in_words
from lotroot.tracing.standing_facts import check
from lotroot.tracing.words import Words
from lotroot.web.cells import Table
from lotroot.web.check_choices import CHOOSE, choices, due_on
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Context, Page, Say, Scanned, Scene, Shown
from lotroot.web.story_tables import brief_checks_table, reading, trust
from lotroot.web.wording import described, thing_name
from lotroot.work import Answer

blueprint = Blueprint("checking", __name__)
NAV = (("Checks", "checking.page"),)

LATEST = 12
_BETWEEN = re.compile(r"[\s;]+")

HELP = (
    "Scan the goods, choose what is checked, type what was read, with a blank between several readings. "
    "A gauge's own label says what it was read with. SAME AGAIN keeps the check for the next goods."
)


@blueprint.get("/checks")
def page() -> str:
    """The page of checks; ?number= begins with goods."""
    signed_in()
    given = request.args.get("number", "")
    context: dict[str, Any] = {}
    if given:
        with desk().house.reading() as connection:
            context = _begun(connection, {}, str(typed(given)))
    return render_template("checking.html", **scan_frame(PAGE, context=context))


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """Goods, what is checked, a gauge, or what was read."""
    context, value = dict(scene.context), scanned.value
    if value is Command.SAME_AGAIN:
        return _same_again(scene, context)
    if isinstance(value, Number) and is_thing(value):
        return _gauge(scene, str(value), context)
    if isinstance(value, ItemNumber) or (isinstance(value, Number) and (is_lot(value) or _holds(value))):
        begun = _begun(scene.connection, context, str(value))
        said = described(scene, value)
        return Say(said.say, said.verdict, said.word, said.detail, context=begun)
    if value is not None:
        return None
    text = scanned.text.strip()
    if text.upper().startswith(CHOOSE):
        return _chosen(scene, text[len(CHOOSE) :].strip().lower(), context)
    return _read(scene, text, context) if text[:1].isdigit() else None


def _holds(value: Number) -> bool:
    return is_run(value) or is_carrier(value)


def _begun(connection: Connection, context: Context, number: str) -> dict[str, Any]:
    """The context once goods were scanned: the one check that is due, or the one that is kept."""
    begun: dict[str, Any] = {"number": number}
    if context.get("same"):
        return {**begun, "same": 1, "characteristic": context["characteristic"], **_gauge_of(context)}
    due = due_on(connection, number)
    return {**begun, "characteristic": due[0]} if len(due) == 1 else begun


def _gauge_of(context: Context) -> dict[str, Any]:
    return {"instrument": context["instrument"]} if context.get("instrument") else {}


def _same_again(scene: Scene, context: dict[str, Any]) -> Say:
    kept = context.get("characteristic") or context.get("last")
    if not kept:
        raise Unreadable(
            "No check was chosen yet that could be kept.",
            expected="A check.",
            next_step="Choose what is checked first.",
        )
    name = scene.plant.characteristic(kept).name
    kept_context = {**context, "characteristic": kept, "same": 1}
    return Say(f"{name} is kept for all that is scanned next.", context=kept_context)


def _gauge(scene: Scene, number: str, context: dict[str, Any]) -> Say | None:
    thing = thing_or_none(scene.connection, number)
    if thing is None or thing.kind != "instrument":
        return None
    name = thing_name(scene.connection, scene.plant, number)
    return Say(f"Read with {name}.", context={**context, "instrument": number})


def _chosen(scene: Scene, code: str, context: dict[str, Any]) -> Say:
    what = scene.plant.characteristic(code)
    others = {name: value for name, value in context.items() if name not in ("count", "same")}
    return Say(f"{what.name}: {_wanted(what)}.", context={**others, "characteristic": code})


def _wanted(what: Characteristic) -> str:
    if what.attribute:
        return "how many were looked at"
    return f"what was read, in {what.unit}" if what.unit else "what was read"


def _read(scene: Scene, text: str, context: dict[str, Any]) -> Act | Say:
    number, code = str(context.get("number", "")), str(context.get("characteristic", ""))
    if not number or not code:
        raise Unreadable(
            "Nobody has said yet what this was read on."
            if not number
            else "What is checked is not chosen yet.",
            value=text,
            expected="The goods, and what is checked.",
            next_step="Scan the goods first." if not number else "Choose it below, then type this again.",
        )
    what = scene.plant.characteristic(code)
    texts = tuple(part for part in _BETWEEN.split(text) if part)
    instrument = str(context.get("instrument", ""))
    if not what.attribute:
        return _act(RecordCheck(number, code, texts, instrument=instrument), context)
    counts = [_count(part) for part in ([str(context["count"])] if "count" in context else []) + list(texts)]
    if len(counts) == 1:
        return Say(f"{counts[0]} were looked at.", context={**context, "count": counts[0]})
    return _act(RecordCheck(number, code, count=counts[0], found=counts[1], instrument=instrument), context)


def _count(text: str) -> int:
    if not text.isdecimal() or len(text) > 6:
        raise Unreadable(
            "This is no count.", value=text, expected="A whole number.", next_step="Type it again."
        )
    return int(text)


def _act(command: RecordCheck, context: dict[str, Any]) -> Act:
    dropped = ("count",) if context.get("same") else ("count", "characteristic", "instrument")
    kept = {name: value for name, value in context.items() if name not in dropped}
    return Act(
        command, {**kept, "last": command.characteristic}, told=lambda answer: _verdict(command, answer)
    )


def _verdict(command: RecordCheck, answer: Answer) -> Say:
    """The verdict as the whole answer: it is about the goods, which were recorded whatever it is."""
    with desk().house.reading() as connection:
        words = Words(connection)
        made = [
            row
            for row in checks_of(connection, command.number)
            if row.characteristic == command.characteristic
        ]
        facts = check(made[-1], words)
    limits = in_words(facts.low or None, facts.high or None, facts.unit)
    detail = f"{reading(facts)}. Good is {limits}: {trust(facts)}." if limits else f"{reading(facts)}."
    if facts.verdict != FAIL:
        return Say(answer.say, "accepted", facts.verdict, detail)
    return Say(answer.say, "held" if "on hold" in answer.say else "refused", "Fail", detail)


def show(scene: Scene) -> Shown:
    """What is checked, what may be, and what was."""
    number, code = str(scene.context.get("number", "")), str(scene.context.get("characteristic", ""))
    fragments = {
        "check-choices": render_template("_check_choices.html", **_choices(scene, number, code)),
        "check-done": render_template("_check_done.html", table=_done(scene, number)),
    }
    return Shown(_next(scene, number, code), fragments)


def _next(scene: Scene, number: str, code: str) -> str:
    if not number:
        return "Scan the goods"
    if not code:
        return f"Choose what was checked on {shown(number)}"
    what = scene.plant.characteristic(code)
    if what.attribute and "count" in scene.context:
        return f"How many of the {scene.context['count']} were not good?"
    return f"{what.name}: type {_wanted(what)}"


def _choices(scene: Scene, number: str, code: str) -> dict[str, Any]:
    return {**choices(scene, number, code), "instrument": _instrument(scene)}


def _instrument(scene: Scene) -> str:
    number = str(scene.context.get("instrument", ""))
    return thing_name(scene.connection, scene.plant, number) if number else ""


def _done(scene: Scene, number: str) -> Table | None:
    if not number:
        return None
    words = Words(scene.connection)
    rows = checks_of(scene.connection, number)[-LATEST:]
    return brief_checks_table(
        [check(row, words) for row in reversed(rows)], "Checked so far, the latest first"
    )


PAGE = Page("checks", meaning, show, HELP)
