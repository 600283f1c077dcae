"""What if an act that was refused has happened already (RULES 13)?

Acts that decide can be stated to have happened: with a supervisor's badge and PIN, counted, never on one's
own entry. What they touch is then held or in question. The page offers it once, after the refusal.
"""

from typing import Any

from lotroot.dispatch.handling import LoadShipment
from lotroot.errors import Refused
from lotroot.moving.pallets import PutOn
from lotroot.production.loading import LoadInput
from lotroot.web.desk import Pending, desk
from lotroot.work import Envelope

DECIDING: tuple[type, ...] = (LoadInput, PutOn, LoadShipment)
"""Commands whose refusals a supervisor may answer with: it has happened already."""


def offer(command: Any, envelope: Envelope, signin: str, refused: tuple[str, Refused]) -> str:
    """Keep a refused act for a supervisor; returns the address that takes badge and PIN, or nothing."""
    page, error = refused
    if not isinstance(command, DECIDING) or error.word == "already":
        return ""
    pending = Pending(signin, command, envelope, f"/{page}", error.what, desk().now(), override=True)
    return f"/pin/{desk().waiting.keep(pending)}"
