"""What text does `AdoptPlant` store, so that history does not depend on the program's own files?

A plant.toml may take a process from the catalogue, `[process.CODE]` with `from = "catalogue:NAME"`, and
change it key by key. `resolve` writes such a text in full: one text, one hash, readable for ever.
"""

import unicodedata
from collections.abc import Mapping
from importlib.resources import files

from lotroot.processes.tables import Table, toml
from lotroot.processes.writing import written

PREFIX = "catalogue:"
_FOLDER = files("lotroot.processes") / "catalogue"
_HEAD = "# A plant's text in full: what it took from the catalogue is written out.\n"


def catalogue() -> tuple[str, ...]:
    """The names of the processes a plant can take over, sorted."""
    names = (one.name for one in _FOLDER.iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


def resolve(text: str) -> str:
    """The same plant with every catalogue table written in full; resolving that again changes nothing.

    Raises `Unreadable` where the text is not TOML, or names what the catalogue does not hold.
    """
    plant = toml(unicodedata.normalize("NFC", text))
    processes = plant.get("process")
    if isinstance(processes, dict):
        plant["process"] = {code: _in_full(code, table) for code, table in processes.items()}
    return unicodedata.normalize("NFC", _HEAD + written(plant))


def _in_full(code: str, table: object) -> object:
    if not isinstance(table, dict) or "from" not in table:
        return table
    return _merged(_from_catalogue(code, table), {key: table[key] for key in table if key != "from"})


def _from_catalogue(code: str, table: Mapping[str, object]) -> dict[str, object]:
    name = table["from"]
    known = {PREFIX + one: one for one in catalogue()}
    if not isinstance(name, str) or name not in known:
        place = Table(f"process.{code}", table)
        raise place.refuse("from", name, "one of " + ", ".join(known))
    return toml((_FOLDER / f"{known[name]}.toml").read_text(encoding="utf-8"))


def _merged(base: Mapping[str, object], changes: Mapping[str, object]) -> dict[str, object]:
    merged = dict(base)
    for key, value in changes.items():
        known = merged.get(key)
        if isinstance(known, dict) and isinstance(value, dict):
            merged[key] = _merged(known, value)
        else:
            merged[key] = value
    return merged
