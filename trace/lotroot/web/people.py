"""Who works here, in which roles, and how do they get badges, PINs and names?"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for
from markupsafe import Markup

from lotroot.accounts.badges import badge_of, with_pin
from lotroot.accounts.handling import AddParty, AddPerson, ChangeRoles, IssueBadge, RemovePerson, SetPin
from lotroot.accounts.people import everybody
from lotroot.errors import NotAllowed, Unknown
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of, names_of
from lotroot.papers.sheets import badge_sheet
from lotroot.plant.adopted import parties
from lotroot.web.acting import Errors, record
from lotroot.web.desk import desk
from lotroot.web.frame import frame, somebody

blueprint = Blueprint("people", __name__)
FIELDS = ("name", "code", "firm", "kind", "country", "market", "language")
NAV = (("People and firms", "people.page"),)


@blueprint.get("/people")
def page() -> str:
    """Everybody who works here, and the firms the plant deals with."""
    return _page()


@blueprint.post("/people")
def add() -> Response:
    """Somebody starts to work here."""
    name, roles = request.form.get("name", "").strip(), tuple(request.form.getlist("roles"))
    field = "roles" if name and not roles else "name"
    return record(AddPerson(name, roles), url_for("people.page"), again=_page, field=field)


@blueprint.post("/people/<number>/roles")
def change(number: str) -> Response:
    """A person gets other roles."""
    return record(
        ChangeRoles(number, tuple(request.form.getlist("roles"))), url_for("people.page"), again=_page
    )


@blueprint.post("/people/<number>/badge")
def badge(number: str) -> Response:
    """A person gets a new badge; the old one no longer works."""
    return record(IssueBadge(number), url_for("people.page"), again=_page)


@blueprint.post("/people/<number>/pin")
def pin(number: str) -> Response:
    """A person gets a new PIN."""
    return record(SetPin(number), url_for("people.page"), again=_page, secret=request.form.get("pin", ""))


@blueprint.post("/people/<number>/leave")
def leave(number: str) -> Response:
    """A person works here no more."""
    return record(RemovePerson(number), url_for("people.page"), again=_page)


@blueprint.post("/firms")
def firm() -> Response:
    """The plant begins to deal with a firm."""
    told = [request.form.get(name, "").strip() for name in FIELDS[1:]]
    return record(AddParty(*told), url_for("people.page"), again=_page, field="code")


@blueprint.get("/people/badges.pdf")
def badges() -> Response:
    """The badges of all who work here, or of ?person= alone, to print and laminate."""
    found = somebody()
    if not found.may(IssueBadge):
        raise NotAllowed(
            "Badges are printed by an administrator.",
            expected="A role that may issue badges.",
            next_step="Ask the administrator.",
        )
    only = request.args.get("person", "")
    with desk().house.reading() as connection:
        cards = [
            (code, name_of(connection, row.number), _on_a_badge(row.roles.split()))
            for row in everybody(connection)
            if row.active and only in ("", row.number) and (code := badge_of(connection, row.number))
        ]
    if not cards:
        raise Unknown(
            "There is no badge to print.",
            value=only,
            expected="Somebody who works here.",
            next_step="Choose from People.",
        )
    answer = make_response(badge_sheet(cards, demo=desk().demo).pdf)
    answer.headers["Content-Type"] = "application/pdf"
    return answer


def _firm(code: str, name: str) -> Markup:
    return Markup('<a href="{}">{}</a>').format(url_for("firms.page", code=code), name)


def _on_a_badge(roles: list[str]) -> str:
    """Roles as there is room for on a badge: the first two, and how many more."""
    more = f" and {len(roles) - 2} more" if len(roles) > 2 else ""
    return ", ".join(roles[:2]) + more


def _page(errors: Errors | None = None) -> str:
    found = somebody()
    with desk().house.reading() as connection:
        names, known = names_of(connection), with_pin(connection)
        people = [
            {
                "number": row.number,
                "shown": shown(row.number),
                "name": names.get(row.number, shown(row.number)),
                "roles": row.roles.split(),
                "active": bool(row.active),
                "pin": row.number in known,
            }
            for row in everybody(connection)
        ]
        firms = [
            {
                "code": row.code,
                "name": _firm(row.code, names.get(row.code, row.code)),
                "kind": row.kind,
                "country": row.country,
                "market": row.market,
                "language": row.language,
            }
            for row in parties(connection)
        ]
    roles = [(role, role) for role in found.plant.roles] if found.plant else []
    values: dict[str, Any] = {"people": people, "firms": firms, "roles": roles, "errors": errors or []}
    kept: dict[str, Any] = {name: request.form.get(name, "") for name in FIELDS}
    kept["roles"] = request.form.getlist("roles")
    return render_template("people.html", **frame(**values, kept=kept, may_change=found.may(AddPerson)))
