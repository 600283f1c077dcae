"""Which fields do several forms share, and on which published row does all steel rest?"""

from decimal import Decimal

from lotroot.reckoning.fields import Field
from lotroot.reckoning.form import Rested

D = Decimal
STEEL: Rested = ("constants", {"name": "steel density"})
GAUGE = "In mm such as 2.5, in inches such as 0.099 in, or a gauge with its system such as 12 BWG"
SHEET_GAUGE = "In mm such as 0.40, or a gauge with its system such as 26 MSG or 26 GSG"
LENGTH = "In m, such as 200, or 656 ft"

COIL_MASS = Field(
    "mass", "Mass of the coil", "amount", "kg", "Net; may be left empty", optional=True,
    expected=D(5_000), called=("coil mass", "length by mass"),
)  # fmt: skip


def wire_field(name: str, label: str, *called: str) -> Field:
    """A wire's diameter; theory calls it as `called`, else as its label."""
    return Field(name, label, "wire", hint=GAUGE, called=called or (label.lower(),))


def length_field(usual: str = "", *, label: str = "Length of a roll") -> Field:
    """The length of a roll or sheet, in m."""
    called = ("roll length", "length", "sheet length", "sheet across its cross wires")
    return Field("length", label, "amount", "m", LENGTH, usual, expected=D(usual or 100), called=called)


def thickness_field(label: str = "Sheet thickness") -> Field:
    """A sheet's thickness, in mm or a gauge of sheet."""
    called = ("sheet thickness",)
    return Field("thick", label, "sheet", "mm", SHEET_GAUGE, expected=D("0.5"), called=called)


def width_field(name: str, label: str, *called: str) -> Field:
    """The width of a coil, strip or blank, in mm."""
    return Field(name, label, "size", expected=D(1000), called=called)
