"""How is a bin of scrap weighed at a station: its label, why where it is for any scrap, then its weight?

Any station will do, also one that works no process: the bin is taken to whichever scale is near.
"""

from typing import Any

from lotroot.errors import Unreadable
from lotroot.identity import Command, Number, is_thing
from lotroot.plant.adopted import number_of, thing_or_none
from lotroot.processes.bins import Bin
from lotroot.production.bins import WeighBin
from lotroot.web.scene import Act, Say, Scanned, Scene

WEIGHS = "bin"
"""What the page's context says it waits for."""


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A bin's label, or its weight after that; None for all else."""
    if isinstance(scanned.value, Number) and is_thing(scanned.value):
        found = bin_of(scene, str(scanned.value))
        return _on_the_scale(scene, str(scanned.value), found) if found else None
    if scene.context.get("do") != WEIGHS:
        return None
    if scanned.value is Command.UNDO:
        return Say("The bin is forgotten; nothing had been recorded of it.", context={})
    return _weight(scene, scanned.text.strip()) if scanned.value is None else None


def bin_of(scene: Scene, number: str) -> Bin | None:
    """The bin with a label of this number, if it is one."""
    row = thing_or_none(scene.connection, number)
    return scene.plant.bins.get(row.code) if row is not None and row.kind == "bin" else None


def next_step(scene: Scene) -> str:
    """What is expected once a bin was scanned; nothing where none was."""
    found = bin_of(scene, str(scene.context.get("bin", "")))
    if scene.context.get("do") != WEIGHS or found is None:
        return ""
    return f"{found.name}: type {shows(found)}, {scene.plant.units.get('g', 'g')}"


def buttons(scene: Scene) -> list[dict[str, Any]]:
    """The bins of the scene's station, each with the number on its label."""
    if scene.at is None:
        return []
    mine = scene.plant.bins_at(scene.at.code)
    return [{"name": one.name, "number": number_of(scene.connection, "bin", one.code)} for one in mine]


def shows(found: Bin) -> str:
    """What is typed of a bin: gross where its own weight is known."""
    return "what the scale shows with the bin on it" if found.tare_g else "the weight of the scrap"


def reason_of(scene: Scene, found: Bin) -> str:
    """Why it is scrap: what the bin is for, else what is answered."""
    if found.reason is not None:
        return found.reason
    choices = {one.code: one.words for one in scene.plant.reasons_of("scrap")}
    return scene.ask("scrap", f"{found.name}: why is it scrap?", choices)


def _on_the_scale(scene: Scene, number: str, found: Bin) -> Say:
    reason = reason_of(scene, found)
    words = scene.plant.reason(reason).words
    tare = f" The bin's own {scene.amount(found.tare_g, 'g')} are taken off." if found.tare_g else ""
    said = f"{found.name}, {words}. Type {shows(found)}."
    context = {"do": WEIGHS, "bin": number, "reason": reason}
    return Say(said, word="Then", detail=f"Weigh it as it is emptied.{tare}", context=context)


def _weight(scene: Scene, text: str) -> Act:
    if not text[:1].isdigit() and text[:1] not in ".,":
        raise Unreadable(
            "This is no weight.",
            value=text,
            expected="The number on the scale.",
            next_step="Type it, or scan UNDO if no bin is to be weighed.",
        )
    number, reason = (str(scene.context.get(name, "")) for name in ("bin", "reason"))
    return Act(WeighBin(number, scene.typed(text, "g"), reason, scene.typed_by))
