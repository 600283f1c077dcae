"""What does the letter at the head of a number stand for?

The letters are taken from those that sit on the same key of QWERTY, QWERTZ and AZERTY keyboards, so a
reader set to the wrong layout cannot turn one into another. A letter once given is never bound to
anything else; B, E, J and V are still free.
"""

from enum import StrEnum


class Family(StrEnum):
    """The fixed families of numbered things. The value is the letter on the number."""

    COIL = "C"
    STRIP = "S"
    STRIPPER = "R"
    WIRE_GOODS = "G"
    NAIL_LOT = "N"
    ROOFING = "F"
    LUMBER = "L"
    SOLUTION = "K"
    RUN = "U"
    CARRIER = "P"
    SHIPMENT = "D"
    PERSON = "H"
    THING = "T"
    CASE = "X"

    @property
    def word(self) -> str:
        """What people call one of this family."""
        return _WORDS.get(self, self.name.lower().replace("_", " "))


_WORDS = {Family.SOLUTION: "solution or consumable"}

LAYOUT_SAFE_LETTERS = "BCDEFGHJKLNPRSTUVX"

LETTERS = frozenset(family.value for family in Family)

LOT_FAMILIES = frozenset(
    {
        Family.COIL,
        Family.STRIP,
        Family.STRIPPER,
        Family.WIRE_GOODS,
        Family.NAIL_LOT,
        Family.ROOFING,
        Family.LUMBER,
        Family.SOLUTION,
    }
)
