"""What does a person see first, and how do they get to their page?"""

from flask import Blueprint, Response, make_response, redirect, render_template

from lotroot.web.frame import frame, pages_for_nav, who

blueprint = Blueprint("first", __name__)


@blueprint.get("/")
def page() -> Response:
    """All pages as buttons; a stranger is sent to sign in."""
    found = who()
    if found.signin is None:
        return make_response(redirect("/signin", 303))
    kind = "station" if found.at else "office"
    return make_response(render_template("first.html", **frame(kind, pages=pages_for_nav(), nav=[])))
