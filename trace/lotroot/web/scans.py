"""What happens to a posted scan: text, number, meaning, one command, verdict?

A known key is answered from the record at once: what a scan meant when it came first is what it means.
Reading, deciding what is meant, posting and showing are separate transactions; the handler decides anew
inside its own, so that nothing is lost when another terminal was quicker.
"""

import dataclasses
from typing import Any

from flask import Blueprint, Response, render_template
from markupsafe import Markup
from sqlalchemy import Connection

from lotroot.accounts import signins
from lotroot.accounts.signins import SignIn
from lotroot.errors import Fault, KeyReused, LotrootError, Refused, Unavailable, Unknown, Unreadable
from lotroot.identity import Command, ItemNumber, Number
from lotroot.labelling.handling import ProveLabel
from lotroot.labelling.printed import job_scanned, label_scanned
from lotroot.ledger.book import posting_by_key
from lotroot.ledger.events import Posting
from lotroot.plant.adopted import current_plant, number_of
from lotroot.posting.door import answer_from
from lotroot.posting.features import handler_of
from lotroot.posting.recent import recent
from lotroot.processes.definition import Plant
from lotroot.web import common, overrides, verdicts
from lotroot.web.common import Here
from lotroot.web.desk import Pending, desk
from lotroot.web.frame import frame, look_up, signed_in, when, who
from lotroot.web.problems import as_json
from lotroot.web.queue import waiting_here
from lotroot.web.scan_body import Body, known_outside, on_goods, read_body, scanned
from lotroot.web.scene import Act, Context, Page, Say, Scanned, Scene
from lotroot.web.verdicts import Outcome
from lotroot.work import Envelope

blueprint = Blueprint("scans", __name__)

THROUGH = (Fault, Unavailable)
"""Errors that are no verdict: the scan is kept and sent again."""


@blueprint.post("/scan/<name>")
def scan(name: str) -> Response:
    """Take one scan of a page; contract: static/scan.js."""
    found = signed_in()
    page = desk().pages.get(name)
    if page is None or found.signin is None:
        raise Unknown("No page of that name takes scans.", value=name, next_step="Load the page again.")
    body = read_body()
    here = Here(found.signin, body, desk().now() - body.age if body.late else desk().now())
    outcome = _known(body) or _outcome(page, here)
    return as_json(_with_page(page, found.signin, body, outcome), 200)


def _known(body: Body) -> Outcome | None:
    """What this very scan was answered with before."""
    with desk().house.reading() as connection:
        made = posting_by_key(connection, body.key)
    return verdicts.of_answer(answer_from(made), bool(body.answers)) if made else None


def _outcome(page: Page, here: Here) -> Outcome:
    read, seen = scanned(here.body.text), page.proves
    try:
        with desk().house.reading() as connection:
            scene = _scene(connection, here.signin, here)
            known = known_outside(connection, read)
            known = known if page.labels else on_goods(connection, known)
            meant = _meaning(page, scene, known, here)
        outcome = _done(page, scene, meant, here)
    except THROUGH:
        raise
    except LotrootError as error:
        outcome = verdicts.of_error(error)
        # whoever made it scans its label on the goods, and is told that it was made here
        seen = seen and outcome.verdict == "already"
    if seen:
        _prove(scene, read, here)
    return outcome


def _scene(connection: Connection, signin: SignIn, here: Here) -> Scene:
    """The state the scan falls into, with the person and station it was made by and at."""
    found = look_up(connection, signins.still(connection, signin))
    plant = current_plant(connection)
    body = here.body
    station, at = found.station, found.at
    if body.station and at is not None and body.station != at.code:
        at = plant.station(body.station)
        station = number_of(connection, "station", at.code)
    person = found.person
    if body.person and body.person != person:
        person = body.person if signins.was_on_duty(connection, signin.id, body.person) else ""
    told = (body.context, body.answers, desk().demo, body.typed_by)
    return Scene(connection, plant, person, station, at, here.at, *told)


def _meaning(page: Page, scene: Scene, read: Scanned, here: Here) -> Act | Say:
    if isinstance(read.value, Command):
        doubled = desk().lately.is_doubled(here.signin.id, read.value.code, here.at, here.body.key)
        if doubled and not here.body.answers:
            raise Refused(
                f"{read.value.word} was read twice.", word="already", next_step="It was counted once. Go on."
            )
    shown, scene = common.last_shown(scene)
    settled = common.before_the_page(scene, read, here)
    meant = settled or page.meaning(scene, read)
    return meant or common.after_the_page(page, scene, read, here, shown)


def _done(page: Page, scene: Scene, meant: Act | Say, here: Here) -> Outcome:
    if isinstance(meant, Say):
        return verdicts.of_say(meant)
    envelope = _envelope(scene, here, meant)
    if handler_of(meant.command).pin:
        return _asks_pin(page, meant, envelope, here)
    try:
        for place, command in enumerate(meant.before):
            desk().door.post(command, dataclasses.replace(envelope, key=f"{envelope.key}-{place}"))
        answer = desk().door.post(meant.command, envelope)
    except KeyReused:
        known = _known(here.body)  # a try before this one was slow, and has been recorded meanwhile
        if known is None:
            raise
        return known
    except Refused as error:
        refused = verdicts.of_error(error)
        link = overrides.offer(meant.command, envelope, here.signin.id, (page.name, error))
        return dataclasses.replace(refused, override=link)
    outcome = verdicts.of_answer(answer, bool(here.body.answers))
    if meant.told:
        outcome = verdicts.of_say(meant.told(answer))
    goto = meant.goto(answer) if meant.goto else ""
    return dataclasses.replace(outcome, context=meant.context, goto=goto)


def _envelope(scene: Scene, here: Here, meant: Act) -> Envelope:
    """A kept scan carries its own person, station and time (RULES 28)."""
    body = here.body
    return Envelope(
        key=body.key,
        person=scene.person,
        station=scene.station,
        happened=meant.happened or (here.at if body.late else None),
        answers={**meant.answers, **body.answers},
        basis="late" if body.late or meant.happened else "at once",
    )


def _asks_pin(page: Page, meant: Act, envelope: Envelope, here: Here) -> Outcome:
    pending = Pending(here.signin.id, meant.command, envelope, f"/{page.name}", here.body.text, desk().now())
    name = desk().waiting.keep(pending)
    return Outcome("accepted", "Type your PIN on the next page.", "PIN", goto=f"/pin/{name}")


def _prove(scene: Scene, read: Scanned, here: Here) -> None:
    """The first scan of a label on the goods proves it (DESIGN.md section 2.7)."""
    if not isinstance(read.value, Number | ItemNumber):
        return
    number = str(read.value)
    with desk().house.reading() as connection:
        label = label_scanned(connection, number, read.copy)
        doubted = label is None and job_scanned(connection, number, read.copy) is not None
    if not doubted and (label is None or label.proved is not None):
        return
    envelope = Envelope(f"{here.body.key}-label", scene.person, scene.station)
    try:
        desk().door.post(ProveLabel(number, read.copy), envelope)
    except (Refused, Unknown, Unreadable):
        return  # another scan proved it meanwhile, and that one counts


def _with_page(page: Page, signin: SignIn, body: Body, outcome: Outcome) -> dict[str, Any]:
    """The verdict with the page as it stands now."""
    context = body.context if outcome.context is None else outcome.context
    with desk().house.reading() as connection:
        found = look_up(connection, signins.still(connection, signin))
        plant = current_plant(connection)
        scene = Scene(
            connection, plant, found.person, found.station, found.at, desk().now(), context, demo=desk().demo
        )
        shown = page.show(scene)
        waiting = waiting_here(connection, found.station, scene.now)
    person = {"number": found.person, "name": found.name} if found.person else None
    fragments = {
        **shown.fragments,
        "on-duty": render_template("_on_duty.html", person=person),
        "override": render_template("_override.html", override=outcome.override),
        "labels-waiting": waiting,
    }
    step = shown.next if found.person else "Scan your badge"
    return {**outcome.body(), "next": step, "fragments": fragments, "context": dict(context)}


def scan_frame(
    page: Page, kind: str = "station", context: Context | None = None, **more: Any
) -> dict[str, Any]:
    """The values of a page that takes scans: `scan` for _scan.html, `fragments` to put into the page."""
    found = who()
    with desk().house.reading() as connection:
        plant = current_plant(connection)
        at = (found.person, found.station, found.at, desk().now())
        scene = Scene(connection, plant, *at, context or {}, demo=desk().demo)
        shown = page.show(scene)
        waiting = waiting_here(connection, found.station, scene.now)
        last = recent(connection, found.station) if found.station else []
    scan_values = {
        "endpoint": f"/scan/{page.name}",
        "signin": "/signin",
        "next": shown.next if found.person else "Scan your badge",
        "context": context or {},
        "station": found.at.code if found.at else "",
        "last": _last(plant, last[0]) if last else None,
        "waiting": Markup(waiting),
    }
    parts = {name: Markup(html) for name, html in shown.fragments.items()}  # rendered by our own templates
    return frame(kind, scan=scan_values, fragments=parts, override="", **more)


def _last(plant: Plant, made: Posting) -> dict[str, str]:
    """The last act at this station, so that an interruption costs nothing."""
    said = answer_from(made).say
    return {"state": "none", "say": f"Last here: {said}", "at": when(plant, made.entered)}
