"""What does a scan mean on every page: a badge, a command of the sheet, a label nobody waits for?"""

import dataclasses
from typing import NamedTuple

from lotroot.accounts import signins
from lotroot.accounts.badges import person_with
from lotroot.accounts.signins import SignIn
from lotroot.errors import NotAllowed, NotSignedIn, Refused, Unknown
from lotroot.identity import Badge, Command, ItemNumber, Number, number_from
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.printed import last_job_of
from lotroot.labelling.settling import MOVABLE, PrintNow, SendElsewhere
from lotroot.labelling.waiting import next_for_a_word, unlabelled_at
from lotroot.ledger.names import name_of
from lotroot.plant.adopted import thing_or_none
from lotroot.posting.door import answer_from
from lotroot.posting.recent import recent
from lotroot.production.marking import MarkRun
from lotroot.production.runs import open_runs_at
from lotroot.reserved import range_of
from lotroot.voiding.handling import Undo
from lotroot.web.desk import desk
from lotroot.web.scan_body import Body
from lotroot.web.scene import Act, Page, Say, Scanned, Scene
from lotroot.web.wording import described
from lotroot.work import Envelope

SHOWN = "shown"
"""What a page keeps of the number it was told about last: its label is what PRINT AGAIN then means."""

RELABELLED = "Torn or dirty"
"""Why a label is printed again whose old one was scanned just before."""

WANTED_AGAIN = "Wanted again at the station"


class Here(NamedTuple):
    """Where a scan came from: the sign-in, the body as sent, and when it was made."""

    signin: SignIn
    body: Body
    at: int


def before_the_page(scene: Scene, scanned: Scanned, here: Here) -> Say | None:
    """Badges, signing off, and nobody on duty: settled before a page is asked."""
    if isinstance(scanned.value, Badge):
        return _badge(scene, str(scanned.value), here)
    if scanned.value is Command.SIGN_OFF:
        return _sign_off(here)
    if not scene.person:
        raise NotSignedIn(
            "Nobody is on duty here.",
            expected="A badge, before anything else.",
            next_step="Scan your badge, then scan this again.",
        )
    return None


def _badge(scene: Scene, badge: str, here: Here) -> Say:
    person = person_with(scene.connection, badge)
    name = name_of(scene.connection, person)
    if person == scene.person:
        raise Refused(f"{name} is on duty here already.", word="already", next_step="Go on working.")
    with desk().house.writing() as connection:
        signins.begin_duty(connection, here.signin.id, person, here.at)
    _mark_operator(scene, person, here)
    return Say(f"{name} is on duty here now.")


def _mark_operator(scene: Scene, person: str, here: Here) -> None:
    """A run that is open goes on under another person: that is a mark in it."""
    if not scene.person or not open_runs_at(scene.connection, scene.station):
        return
    envelope = Envelope(f"{here.body.key}-duty", person, scene.station)
    try:
        desk().door.post(MarkRun("operator"), envelope)
    except (NotAllowed, Refused):
        return  # somebody who works no runs may be on duty all the same; the run goes on unmarked


def _sign_off(here: Here) -> Say:
    with desk().house.writing() as connection:
        signins.end_duty(connection, here.signin.id, here.at)
    return Say("Nobody is on duty here now.", detail="The run stays open. Scan a badge to go on.")


def last_shown(scene: Scene) -> tuple[str, Scene]:
    """The number that the scan before was told about, for PRINT AGAIN alone, and the scene without it."""
    rest = {name: value for name, value in scene.context.items() if name != SHOWN}
    return str(scene.context.get(SHOWN, "")), dataclasses.replace(scene, context=rest)


def after_the_page(page: Page, scene: Scene, scanned: Scanned, here: Here, shown: str = "") -> Act | Say:
    """What a code means where the page has no use for it; `shown` is what was told of last.

    Raises LotrootError.
    """
    value = scanned.value
    if value is Command.PRINT_AGAIN and shown:
        return Act(PrintAgain(shown, RELABELLED), scene.context)
    if isinstance(value, Command):
        return _command(page, scene, value)
    if isinstance(value, Number) and (moved := _station(scene, value, here)):
        return dataclasses.replace(moved, goto="/catchup") if page.name == "catchup" else moved
    if isinstance(value, Number | ItemNumber):
        told = described(scene, value)
        return dataclasses.replace(told, context={**scene.context, SHOWN: str(value)})
    if scanned.unreadable is not None:
        raise scanned.unreadable
    raise Unknown(f"“{scanned.text[:40]}” means nothing here.", expected=page.help, next_step="Scan HELP.")


def _command(page: Page, scene: Scene, command: Command) -> Act | Say:
    if command is Command.UNDO:
        return Act(Undo(), scene.context)
    if command is Command.PRINT_AGAIN:
        return _print_again(scene)
    if command is Command.ELSEWHERE:
        return _elsewhere(scene)
    if command is Command.HELP:
        return Say(page.help, word="Help", verdict="already")
    raise Refused(
        f"{command.word} means nothing on this page as it stands.",
        value=command.word,
        expected=page.help,
        next_step="Scan HELP to see what can be scanned here.",
    )


def _elsewhere(scene: Scene) -> Act:
    waiting = [
        job for job in unlabelled_at(scene.connection, scene.station, scene.now) if job.state in MOVABLE
    ]
    if not waiting:
        raise Refused(
            "No label waits here.",
            expected="A label that has not come out.",
            next_step="For one that has, scan PRINT AGAIN.",
        )
    return Act(SendElsewhere(waiting[0].id), scene.context)


def _print_again(scene: Scene) -> Act:
    waiting = next_for_a_word(scene.connection, scene.station)
    if waiting is not None:
        return Act(PrintNow(waiting.id), scene.context)
    bare = _made_under_a_pad_label(scene)
    if bare:
        return Act(PrintAgain(bare, WANTED_AGAIN), scene.context)
    job = last_job_of(scene.connection, scene.person, scene.station)
    if job is None:
        raise Refused(
            "No label of yours was printed here lately.",
            expected="A label that was printed at this station.",
            next_step="Find the goods under Search and print the label from its page.",
        )
    return Act(PrintAgain(job.number, WANTED_AGAIN, job.first, job.last), scene.context)


def _made_under_a_pad_label(scene: Scene) -> str:
    """What this person made last here, where an emergency label is on it: no label of the one before is
    meant then. Empty where something else was last."""
    last = next(iter(recent(scene.connection, scene.station)), None)
    if last is None or last.person != scene.person or last.command != "MakeOutput" or not last.answer:
        return ""
    numbers = [number_from(one) for one in answer_from(last).numbers]
    return next((str(one) for one in numbers if range_of(scene.connection, one) is not None), "")


def _station(scene: Scene, value: Number, here: Here) -> Say | None:
    """A machine's own label: this terminal works there from now on."""
    row = thing_or_none(scene.connection, str(value))
    if row is None or row.kind != "station" or not here.signin.station:
        return None
    name = scene.plant.station(row.code).name
    if str(value) == scene.station:
        raise Refused(f"This is {name} already.", word="already", next_step="Scan what you work with.")
    with desk().house.writing() as connection:
        signins.move_to(connection, here.signin.id, str(value))
    return Say(f"{name}.", word="Here", goto="/station")
