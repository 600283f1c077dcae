"""How does a file that was kept come back, byte for byte: a certificate, a photo, a page?

Files come from outside: each is sent as an attachment under a policy that lets nothing in it run. Only what
proves to be a picture by its first bytes is shown in the page.
"""

import re
from typing import Any
from urllib.parse import quote

from flask import Blueprint, Response, make_response, request
from sqlalchemy import Connection

from lotroot.errors import Unknown
from lotroot.ledger.book import kept_file
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in

blueprint = Blueprint("files", __name__)

PICTURES = {
    "image/png": re.compile(rb"\x89PNG\r\n\x1a\n"),
    "image/jpeg": re.compile(rb"\xff\xd8\xff"),
    "image/gif": re.compile(rb"GIF8[79]a"),
    "image/webp": re.compile(rb"RIFF....WEBP", re.DOTALL),
}
"""The first bytes of each kind (IANA media types; PNG 3rd edition 5.2, JFIF, GIF89a, RFC 9649)."""

POLICY = "default-src 'none'; sandbox"


@blueprint.get("/files/<digest>")
def file(digest: str) -> Response:
    """A kept file; ?show=1 shows a picture instead of saving it."""
    signed_in()
    with desk().house.reading() as connection:
        row = _kept(connection, digest)
    kind = picture_kind(row.bytes)
    shows = bool(request.args.get("show") and kind)
    answer = make_response(row.bytes)
    answer.headers["Content-Type"] = kind if shows else "application/octet-stream"
    answer.headers["Content-Disposition"] = f"{'inline' if shows else 'attachment'}; {_named(row.name)}"
    answer.headers["Content-Security-Policy"] = POLICY
    answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


def picture_kind(content: bytes) -> str:
    """The media type of a picture, by its first bytes; empty for anything else."""
    return next((kind for kind, head in PICTURES.items() if head.match(content)), "")


def described(connection: Connection, digest: str) -> dict[str, Any]:
    """What a page says of a kept file: name, address, and whether it is a picture. Raises Unknown."""
    row = _kept(connection, digest)
    return {"name": row.name, "url": f"/files/{digest}", "picture": bool(picture_kind(row.bytes))}


def _kept(connection: Connection, digest: str) -> Any:
    row = kept_file(connection, digest) if re.fullmatch("[0-9a-f]{64}", digest) else None
    if row is None:
        raise Unknown(
            "No such file was kept here.",
            value=digest[:12],
            expected="A file of a lot or a complaint.",
            next_step="Open it from its page.",
        )
    return row


def _named(name: str) -> str:
    """The file's own name, as RFC 6266 wants it: plain letters, and all of it beside that."""
    plain = re.sub(r"[^A-Za-z0-9._-]+", "_", name) or "file"
    return f"filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
