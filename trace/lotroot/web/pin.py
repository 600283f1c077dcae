"""How does an act that needs proof get it?

The act waits on the server, bound to the browser it came from, while the PIN is asked for this one act. A
wrong PIN slows the next try (`accounts.badges.check_pin`); ten in a row lock it.
"""

import dataclasses

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.accounts.badges import check_pin, person_with
from lotroot.errors import Fault, LotrootError, NotAllowed, NotSignedIn, Unavailable, Unknown
from lotroot.identity import Badge
from lotroot.ledger.names import name_of
from lotroot.web.acting import carry_out, errors_of, with_answer
from lotroot.web.desk import Pending, desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.problems import kind_of
from lotroot.web.proving import act_words, against
from lotroot.web.scan_body import read_quietly
from lotroot.work import Envelope

blueprint = Blueprint("pin", __name__)


@blueprint.get("/pin/<name>")
def page(name: str) -> str:
    """Ask the PIN for one act."""
    return _page(_waiting(name))


@blueprint.post("/pin/<name>")
def prove(name: str) -> Response:
    """Check the PIN, then post the act."""
    pending = _waiting(name)
    try:
        proved = _proved(pending, request.form.get("pin", ""), request.form.get("badge", ""))
        done = carry_out(proved)
    except (Fault, Unavailable):
        raise
    except LotrootError as error:
        errors = errors_of(error, "badge" if pending.override and "badge" in error.expected else "pin")
        return make_response(_page(pending, errors), kind_of(error).status)
    desk().waiting.drop(name)
    return done


@blueprint.post("/pin/<name>/answer")
def answer(name: str) -> Response:
    """A question about the act was answered."""
    pending = _waiting(name)
    chosen = {request.form.get("question", ""): request.form.get("answer", "")}
    desk().waiting.drop(name)
    return carry_out(with_answer(pending, chosen))


def _waiting(name: str) -> Pending:
    found = signed_in()
    pending = desk().waiting.find(name, found.signin.id if found.signin else "", desk().now())
    if pending is None:
        raise Unknown(
            "This act no longer waits for a PIN; nothing was recorded.",
            expected="A PIN within ten minutes.",
            next_step="Go back and do it again.",
        )
    return pending


def _proved(pending: Pending, pin: str, badge: str) -> Pending:
    if not pending.override:
        check_pin(desk().house, pending.envelope.person, pin)
        return dataclasses.replace(pending, envelope=dataclasses.replace(pending.envelope, proved=True))
    supervisor = _supervisor(badge)
    check_pin(desk().house, supervisor, pin)
    return dataclasses.replace(pending, envelope=_stated(pending.envelope, supervisor))


def _stated(envelope: Envelope, supervisor: str) -> Envelope:
    return dataclasses.replace(envelope, already=True, supervisor=supervisor, proved=True)


def _supervisor(badge: str) -> str:
    value = read_quietly(badge)
    if not isinstance(value, Badge):
        raise NotSignedIn(
            "This is no badge.", expected="A supervisor's badge.", next_step="Scan the supervisor's badge."
        )
    with desk().house.reading() as connection:
        return person_with(connection, str(value))


def _page(pending: Pending, errors: list[dict[str, str]] | None = None) -> str:
    with desk().house.reading() as connection:
        name = name_of(connection, pending.envelope.person)
        act = act_words(connection, pending.command)
        lacks = against(connection, signed_in().plant, pending.command)
    if not pending.envelope.person:
        raise NotAllowed("Nobody is on duty.", next_step="Scan your badge, then do it again.")
    station = bool(pending.envelope.station)
    told = {"pending": pending, "name": name, "act": act, "lacks": lacks, "errors": errors or []}
    return render_template("pin.html", **frame("station" if station else "office", **told))
