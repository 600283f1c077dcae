"""Labels of any layout for any number, as print jobs hold them, in words as long as layouts expect."""

import json
import random
import re
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from label_pictures import AT
from lotroot.identity import ItemNumber, make
from lotroot.labelling.rendering import Finished, Holder, finished
from lotroot_printing.layout import Layout
from stdnum.iso7064 import mod_97_10

LOTS = "CGNRFLSK"
LETTERS = {"run": "U", "shipment": "D", "pallet": "P", "pallet_gs1": "P", "pan_card": "P", "place": "T"}
DERIVED = {"number", "shown", "copy", "mark", "demo", "held", "extra", "caution", "day", "amount", "side"}
BADGE = 17


@dataclass(frozen=True)
class Meant:
    """A print job of one label, whose badge it is, and what bars, square and GS1 symbols must say."""

    facts: Any
    holder: Holder | None
    bars: str
    square: str
    elements: frozenset[str]


def a_label(chance: random.Random, key: tuple[str, int]) -> Meant:
    """A label at random of the layout and resolution `key`."""
    name, layout = key[0], AT[key]
    letter = LETTERS.get(name) or ("H" if name == "badge" else chance.choice(LOTS))
    number = make(letter, chance.randrange(20, 60), chance.randrange(1, 10**6))
    item = letter in LOTS and len(layout.sample["number"]) == BADGE and chance.random() < 0.5
    serial = chance.randrange(1, 10**4) if item else 0
    copy = chance.choice((1, 1, 1, 2, 9, 10, 99))
    text = str(ItemNumber(number, serial)) if serial else str(number)
    holder = None
    if letter == "H":
        digits = f"H{chance.randrange(10**14):014}"
        text = digits + mod_97_10.calc_check_digits(digits)
        holder = Holder(text, _varied(chance, layout.sample["name"]), ("operator",))
    fields = _fields(chance, layout)
    facts = SimpleNamespace(
        number=str(number), first=serial, last=serial, copy=copy, layout=name, fields=json.dumps(fields)
    )
    square = f"{text}K{copy}" if copy > 1 else text
    return Meant(facts, holder, text, square, frozenset(_elements(fields)))


def _elements(fields: dict[str, Any]) -> list[str]:
    """GS1 element strings without their brackets, which no scanner sends."""
    texts = [text for text in fields.values() if isinstance(text, str) and text.startswith("(")]
    return [text.replace("(", "").replace(")", "") for text in texts]


def _fields(chance: random.Random, layout: Layout) -> dict[str, Any]:
    """The sample's words with other digits; of what may be left out, about two thirds."""
    fields: dict[str, Any] = {
        name: _varied(chance, text)
        for name, text in layout.sample.items()
        if name not in DERIVED and (name in layout.required or chance.random() < 0.66)
    }
    fields.setdefault("kind", "Lot")
    for name, text in (("amount", layout.sample.get("amount", "")), ("held", "ON HOLD"), ("demo", "DEMO")):
        if chance.random() < 0.5 and name in layout.fields and text:
            fields[name] = _varied(chance, text)
    if chance.random() < 0.5 and "caution" in layout.fields:
        fields["cautions"] = [layout.sample["caution"]]
    return {**fields, "mark": chance.choice(("", "LABEL"))}


def _varied(chance: random.Random, text: str) -> str:
    """The text with every digit drawn anew, and sometimes less of it."""
    words = text.split(" ")
    kept = words[: chance.randrange(1, len(words) + 1)] if chance.random() < 0.3 else words
    # An application identifier of GS1 stays: with other digits it would be another kind of thing, or none.
    return re.sub(
        r"\(\d+\)|\d",
        lambda each: each[0] if each[0][0] == "(" else chance.choice("0123456789"),
        " ".join(kept),
    )


def drawn(meant: Meant, dpi: int) -> list[Finished]:
    """Its sides, as the print worker gets them."""
    return list(finished(meant.facts, meant.holder, dpi))
