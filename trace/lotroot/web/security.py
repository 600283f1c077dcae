"""What must every request and answer have, whoever wrote the page?

A cookie holds 256 random bits and nothing else; the server keeps their hash (`accounts.signins`). The token
against forged requests is worked out from the cookie, so no secret key has to be kept or leaks with a
backup. Sources: OWASP ASVS 5.0, 3.3.1-3.3.4, 3.4.3-3.4.6, 3.5.1, 3.5.3, 5.2.1, 7.2.3, 7.2.4.
"""

import hashlib
import hmac
import secrets
from collections.abc import Callable
from typing import Any, TypeVar

from flask import Flask, Response, current_app, g, request

from lotroot.errors import Unreadable
from lotroot.web.problems import PageOld

View = TypeVar("View", bound=Callable[..., Any])

MOST_BYTES = 1_000_000
MOST_UPLOADED = 20_000_000
SAFE = ("GET", "HEAD", "OPTIONS")
COOKIE_LASTS = 400 * 24 * 60 * 60  # seconds: the longest browsers keep one; the server ends it sooner

HEADERS = {
    "Content-Security-Policy": "default-src 'self'; object-src 'none'; base-uri 'none'; "
    "frame-ancestors 'none'; form-action 'self'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(), geolocation=(), payment=(), usb=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def protect(app: Flask) -> None:
    """Put the protection round every route of an application."""
    app.config["MAX_CONTENT_LENGTH"] = MOST_BYTES
    app.config["MAX_FORM_MEMORY_SIZE"] = MOST_BYTES
    app.before_request(_allow_uploads)
    app.before_request(_refuse_forged)
    app.before_request(_refuse_null)
    app.after_request(_strict)


def uploads(view: View) -> View:
    """Mark a view that takes files: its requests may have 20 MB instead of 1 MB."""
    view.takes_uploads = True  # type: ignore[attr-defined]  # a mark on the function itself
    return view


def by_token(view: View) -> View:
    """Mark a view that knows its caller by a token in a header: no cookie, so nothing to forge."""
    view.knows_token = True  # type: ignore[attr-defined]  # a mark on the function itself
    return view


def _marked(mark: str) -> bool:
    view = current_app.view_functions.get(request.endpoint or "")
    return bool(getattr(view, mark, False))


def _allow_uploads() -> None:
    if _marked("takes_uploads"):
        request.max_content_length = MOST_UPLOADED


def _refuse_forged() -> None:
    """Let a change through only with the token of this very browser. Raises PageOld."""
    if request.method in SAFE or _marked("knows_token") or request.endpoint is None:
        return
    sent = request.headers.get("X-CSRF-Token") or request.form.get("csrf_token") or ""
    from_outside = request.headers.get("Sec-Fetch-Site", "same-origin") == "cross-site"
    if from_outside or not hmac.compare_digest(sent.encode(), csrf_token().encode()):
        raise PageOld


def _refuse_null() -> None:
    """No text has the character 0; PostgreSQL fails on it, wherever it is looked for. Raises Unreadable."""
    given = [*request.args.values(), *(() if request.method in SAFE else request.form.values())]
    if "\0" in request.path or any("\0" in value for value in given):
        raise Unreadable(
            "What was sent holds a character that no text has.",
            value="the character with the code 0",
            expected="Letters, digits and signs.",
            next_step="Type it anew, or scan the label.",
        )


def cookie_name() -> str:
    """`__Host-` binds the cookie to this host; browsers take it over HTTPS only."""
    return "__Host-lotroot" if request.is_secure else "lotroot"


def cookie() -> str:
    """The token of this browser; a stranger is given one, which signs nobody in."""
    if "cookie" not in g:
        g.cookie = request.cookies.get(cookie_name(), "")
        if not g.cookie:
            new_cookie(secrets.token_urlsafe(32))
    return str(g.cookie)


def new_cookie(token: str) -> None:
    """Give this browser another token: at every sign-in and sign-out, so that none can be planted."""
    g.cookie = token
    g.cookie_to_set = token


def csrf_token() -> str:
    """What a form or script of this browser's pages must send with a change."""
    return hmac.new(cookie().encode(), b"csrf", hashlib.sha256).hexdigest()


def _strict(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint != "static":
        response.headers.setdefault("Cache-Control", "no-store")
    if request.is_secure:
        response.headers.setdefault("Strict-Transport-Security", "max-age=31536000")
    if "cookie_to_set" in g:
        response.set_cookie(
            cookie_name(),
            g.cookie_to_set,
            max_age=COOKIE_LASTS,
            path="/",
            secure=request.is_secure,
            httponly=True,
            samesite="Strict",
        )
    return response
