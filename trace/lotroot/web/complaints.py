"""A customer complains: of which goods, where were those from, and where is the rest of that origin?

Scan or type whatever the label says, take down the customer's words, and the page shows the origin at once.
Nothing is refused because a number cannot be read: it is kept as it was read, and chosen later.
"""

from typing import Any
from urllib.parse import quote

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.complaints.cases import cases
from lotroot.complaints.handling import AddToComplaint, CloseComplaint, OpenComplaint
from lotroot.errors import LotrootError, Unknown, Unreadable
from lotroot.holds.handling import PlaceHold
from lotroot.identity import Command, ItemNumber, Number, is_case, is_person, is_thing
from lotroot.identity.showing import shown
from lotroot.plant.adopted import parties
from lotroot.tracing import story
from lotroot.tracing.words import Words
from lotroot.web import filled
from lotroot.web.acting import NEW, Errors, errors_of, record
from lotroot.web.complaint_view import candidates, goods_of, values_of
from lotroot.web.desk import desk
from lotroot.web.find import LONGEST, is_badge
from lotroot.web.frame import frame, signed_in, somebody, when
from lotroot.web.problems import kind_of
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown
from lotroot.web.security import uploads
from lotroot.web.wording import described
from lotroot.work import Envelope

blueprint = Blueprint("complaints", __name__)
NAV = (("Complaints", "complaints.page"),)
FIELDS = ("number", "words", "customer", "contact", "quantity")


@blueprint.get("/complaints")
def page() -> str:
    """Complaints, the open ones first, and the field that takes what a label says."""
    found = signed_in()
    with desk().house.reading() as connection:
        words = Words(connection)
        listed = [
            {
                "number": row.number,
                "shown": shown(row.number),
                "customer": words.party(row.customer) if row.customer else "",
                "words": row.words,
                "state": row.state,
                "when": when(found.plant, row.opened),
            }
            for row in cases(connection)
        ]
    values: dict[str, Any] = {"cases": listed, "may_take": found.may(OpenComplaint)}
    return render_template("complaints.html", **scan_frame(PAGE, kind="office", **values))


@blueprint.get("/complaints/new")
def new() -> str:
    """Take down a complaint of ?number=, what a label says, as far as it can be read."""
    return _form([])


@blueprint.post("/complaints")
def take() -> Response:
    """Take it down: what the label says, and what the customer says."""
    told = _label()
    with desk().house.reading() as connection:
        found = [one.number for one in candidates(connection, told)]
    numbers, read = ((found[0],), "") if len(found) == 1 else ((), told)
    rest = {name: filled.words(name) for name in FIELDS if name != "number"}
    command = OpenComplaint(numbers=numbers, read=read, **rest)
    return record(command, f"/complaints/{NEW}", again=_form, field="words")


@blueprint.get("/complaints/<number>")
def one(number: str) -> Response:
    """One complaint with the origin of its goods and everything of the same origin."""
    signed_in()
    plain = number.replace("-", "").upper()
    if plain != number:
        return make_response(redirect(url_for("complaints.one", number=plain)))
    return make_response(_case(number, []))


@blueprint.post("/complaints/<number>/more")
@uploads
def more(number: str) -> Response:
    """Add what was learnt later: words, pages, photographs, another label."""
    somebody()
    told, words, kept = _label(), filled.words("words"), filled.kept_all("file")
    try:
        with desk().house.reading() as connection:
            numbers = _meant(connection, told)
    except LotrootError as error:
        return make_response(_case(number, errors_of(error, "number")), kind_of(error).status)
    for place, digest in enumerate(kept[1:]):
        _add_file(number, digest, place)
    command = AddToComplaint(number, words, next(iter(kept), ""), numbers)
    return _record(number, command, "words")


@blueprint.post("/complaints/<number>/close")
def close(number: str) -> Response:
    """Close a complaint with an answer."""
    return _record(number, CloseComplaint(number, filled.words("answer")), "answer")


@blueprint.post("/complaints/<number>/hold")
def hold(number: str) -> Response:
    """Hold a source, or the lot itself, and with it everything that was made of it."""
    words = filled.words("words") or f"complaint {shown(number)}"
    return _record(number, PlaceHold(words, filled.words("lot")), "key")


def _label() -> str:
    """What the form says of a label; a badge that was scanned into it by mistake is left out."""
    told = filled.words("number")
    return "" if is_badge(told) else told


def _record(number: str, command: Any, field: str) -> Response:
    back = url_for("complaints.one", number=number)
    return record(command, back, again=lambda errors: _case(number, errors), field=field)


def _add_file(number: str, digest: str, place: int) -> None:
    """A further page or photograph, under a key that goes with the form's own."""
    found, key = somebody(), request.form.get("key", "")
    envelope = Envelope(key=f"{key}-{place}", person=found.person, station=found.station)
    desk().door.post(AddToComplaint(number, file=digest), envelope)


def _meant(connection: Connection, told: str) -> tuple[str, ...]:
    """The one number that a label may be. Raises Unreadable where it is none, or may be several."""
    if not told:
        return ()
    found = candidates(connection, told)
    if len(found) == 1:
        return (found[0].number,)
    named = ", ".join(shown(one.number) for one in found[:5])
    raise Unreadable(
        f"“{told}” may be {len(found)} numbers." if found else f"Nothing known here has “{told}” in it.",
        value=told,
        expected=f"One of these, or another: {named}." if found else "A number, or some of its digits.",
        next_step="Type more of it, or write it among the words.",
    )


def _case(number: str, errors: Errors) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        values = values_of(connection, found, number)
    kept = {name: filled.words(name) for name in ("words", "answer")} if errors else {}
    kept |= {"number": _label()} if errors else {}
    return render_template("complaint.html", **frame(errors=errors, kept=kept, **values))


def _form(errors: Errors) -> str:
    """The form for a new complaint, with what its goods are and where they were from."""
    found = signed_in()
    told = (request.form if errors else request.args).get("number", "").strip()[:LONGEST]
    told = "" if is_badge(told) else told
    with desk().house.reading() as connection:
        guesses = candidates(connection, told)
        goods = goods_of(connection, guesses[0].number) if len(guesses) == 1 else None
        customer = _customer(connection, guesses[0].number) if goods else ""
        words = Words(connection)
        customers = [(row.code, words.party(row.code)) for row in parties(connection, "customer")]
    kept = {"number": told, "customer": customer}
    if errors:
        kept = {**{name: request.form.get(name, "") for name in FIELDS}, "number": told}
    choices = [(one.number, one.what) for one in guesses] + [(told, f"None of these: keep it as “{told}”")]
    values: dict[str, Any] = {"goods": goods, "guesses": guesses, "guess_choices": choices, "kept": kept}
    more: dict[str, Any] = {"customers": customers, "may_take": found.may(OpenComplaint), "errors": errors}
    return render_template("complaint_new.html", **frame(**values, **more))


def _customer(connection: Connection, number: str) -> str:
    """The customer to whom these goods went, where that was only one."""
    try:
        went = {one.customer.number for one in story(connection, number).where if one.customer}
    except (Unknown, Unreadable):
        return ""
    return went.pop() if len(went) == 1 else ""


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """What the label says begins a complaint, or opens one that was taken down."""
    value = scanned.value
    if isinstance(value, Number) and (is_thing(value) or is_person(value)):
        return None
    if isinstance(value, Number) and is_case(value):
        return Say(f"Complaint {shown(str(value))}.", "already", goto=f"/complaints/{value}")
    if isinstance(value, Number | ItemNumber):
        said = described(scene, value)
        return Say(said.say, said.verdict, said.word, said.detail, goto=f"/complaints/new?number={value}")
    text = scanned.text.strip()
    if isinstance(value, Command) or not text or is_badge(text):
        return None
    words = "Taken down as it was read."
    return Say(words, "already", "Complaint", goto=f"/complaints/new?number={quote(text[:LONGEST])}")


def show(_scene: Scene) -> Shown:
    """Nothing of this page changes without going to another."""
    return Shown("A customer complains: scan or type what the label says")


PAGE = Page(
    "complaints", meaning, show, "Scan any label, or type as much of a number as can be read.", proves=False
)
