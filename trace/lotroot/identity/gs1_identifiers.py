"""Which GS1 application identifiers does a plant like this use, and what may stand behind each?

Formats and pairings as in the GS1 Barcode Syntax Dictionary.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Identifier:
    """What may stand behind an application identifier.

    `digits` or characters of set 82; exactly `longest` where `fixed`, which then needs no separator behind
    it; `key` says that a check digit ends it. `needs`: sets of identifiers, all of one of which must be
    there too; `never`: those that must not.
    """

    meaning: str
    longest: int
    fixed: bool = False
    digits: bool = False
    key: bool = False
    needs: tuple[frozenset[str], ...] = ()
    never: frozenset[str] = frozenset()


_ITEM = (frozenset({"01"}), frozenset({"02"}))
_UNIT = (frozenset({"00"}), frozenset({"01"}))


def _measure(meaning: str, needs: tuple[frozenset[str], ...]) -> Identifier:
    return Identifier(meaning, 6, fixed=True, digits=True, needs=needs)


IDENTIFIERS = {
    "00": Identifier("number of a logistic unit (SSCC)", 18, fixed=True, digits=True, key=True),
    "01": Identifier(
        "number of a trade item (GTIN)", 14, fixed=True, digits=True, key=True, never=frozenset({"02", "37"})
    ),
    "02": Identifier(
        "GTIN of what is inside",
        14,
        fixed=True,
        digits=True,
        key=True,
        needs=(frozenset({"37"}),),
        never=frozenset({"01"}),
    ),
    "11": Identifier("production date", 6, fixed=True, digits=True, needs=_ITEM),
    "410": Identifier("ship-to location (GLN)", 13, fixed=True, digits=True, key=True),
    "310": _measure("net weight in kg", _ITEM),
    "311": _measure("length in m", _ITEM),
    "314": _measure("area in m²", _ITEM),
    "316": _measure("net volume in m³", _ITEM),
    "330": _measure("gross weight in kg", _UNIT),
    "10": Identifier("lot", 20, needs=_ITEM),
    "21": Identifier("serial number", 20, needs=(frozenset({"01"}),)),
    "30": Identifier("count of a variable item", 8, digits=True, needs=_ITEM),
    "37": Identifier("count of what is inside", 8, digits=True, needs=(frozenset({"00", "02"}),)),
    "90": Identifier("agreed between partners", 30),
    **{str(ai): Identifier("for the company's own use", 90) for ai in range(91, 100)},
}
"""What this plant's labels use; measures by their first three digits, the fourth says how many decimals."""

MEASURES = ("310", "311", "314", "316", "330")
MOST_DECIMALS = 5
