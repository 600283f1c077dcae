"""Which field does a column of a packing list fill, by what stands above it?"""

import re
import tomllib
from collections.abc import Mapping, Sequence
from importlib.resources import files
from itertools import pairwise
from typing import NamedTuple
from unicodedata import combining, normalize

_TABLE = tomllib.loads((files("lotroot.receiving") / "headings.toml").read_text(encoding="utf-8"))
_UNITS: dict[str, str] = {word: unit for unit, words in _TABLE.pop("units").items() for word in words}
_TOTALS: tuple[str, ...] = tuple(_TABLE.pop("totals")["words"])
FIELDS: Mapping[str, Sequence[str]] = _TABLE
"""The wordings of each field, the better first."""

_SIGNS = re.compile(r"[^a-z0-9]+")
_LETTERS = str.maketrans({"ø": "o", "æ": "ae", "ß": "ss", "ł": "l", "œ": "oe", "º": " ", "°": " "})


class Columns(NamedTuple):
    """Where each field stands: its column by field, and the unit its mass column tells, if any."""

    at: dict[str, int]
    unit: str

    @property
    def usable(self) -> bool:
        """Whether a row of these columns can say which piece it is, and how much of it."""
        return "supplier_number" in self.at and bool({"mass", "pieces"} & set(self.at))


def plain(text: str) -> str:
    """A heading without case, accents and signs."""
    bare = normalize("NFKD", text.translate(_LETTERS).casefold().translate(_LETTERS))
    return _SIGNS.sub(" ", "".join(sign for sign in bare if not combining(sign))).strip()


def unit_of(text: str) -> str:
    """The unit a word or words name: kg, t, lb or nothing."""
    return _UNITS.get(plain(text), "")


def is_total(text: str) -> bool:
    """Whether a cell says that its row sums up the others."""
    core = plain(text)
    return any(core == word or core.startswith(f"{word} ") for word in _TOTALS)


def columns(cells: Sequence[str], chosen: Mapping[str, str]) -> Columns:
    """What the headings in a row say. `chosen` names the field of a heading, and goes first."""
    ranked: dict[str, tuple[int, int]] = {}
    picked = {plain(heading): field for heading, field in chosen.items()}
    for place, cell in enumerate(cells):
        field, rank = (picked[plain(cell)], -1) if plain(cell) in picked else _field(plain(cell))
        if field and (field not in ranked or rank < ranked[field][0]):
            ranked[field] = (rank, place)
    at = {field: place for field, (_, place) in ranked.items()}
    return Columns(at, _unit_in(cells[at["mass"]]) if "mass" in at else "")


def _field(heading: str) -> tuple[str, int]:
    """The field a heading names, and how far down its wordings: exactly, else with words around it."""
    bare = _without_unit(heading)
    for exact in (heading, bare):
        for field, wordings in FIELDS.items():
            if exact in wordings:
                return field, wordings.index(exact)
    inside = [
        (-len(wording), field, len(wordings) + rank)
        for field, wordings in FIELDS.items()
        for rank, wording in enumerate(wordings)
        if f" {wording} " in f" {bare} "
    ]
    return (min(inside)[1], min(inside)[2]) if inside else ("", 0)


def _unit_in(heading: str) -> str:
    words = plain(heading).split()
    pairs = [" ".join(pair) for pair in pairwise(words)]
    units = {_UNITS[word] for word in [*pairs, *words] if word in _UNITS}
    return units.pop() if len(units) == 1 else ""


def _without_unit(bare: str) -> str:
    words = bare.split()
    kept = [word for word in words if word not in _UNITS and word not in ("in", "mm", "m")]
    return " ".join(kept) or bare
