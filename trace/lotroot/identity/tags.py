"""What does a barcode on a supplier's tag say?

Steel and lumber tags carry Code 39 or Code 128 with a data identifier of ASC MH10 (ANSI MH10.8.2, listed
under ISO/IEC 15418) before the data: `1TH4711` is the supplier's lot or heat H4711. Not every tag follows
it, and a coil number may itself begin with S or T; so the whole text is kept beside the stripped value
and whoever receives sees both.
"""

import re
from dataclasses import dataclass

from lotroot.errors import Unreadable
from lotroot.identity.layouts import EDGES

LONGEST_TAG = 90  # MH10.8.2 allows 90 characters of data behind S, T and P.

# Meanings of P, Q, S, T, 1T, V, K, 1K, 2K, J and 4L as in public copies of the MH10.8.2 list; the others
# are from memory, and H for the heat is common practice of mills, no source (the list gives H to people).
DATA_IDENTIFIERS = {
    "P": "the customer's part number",
    "1P": "the supplier's part number",
    "Q": "quantity",
    "2Q": "weight",
    "7Q": "quantity with unit",
    "S": "the supplier's serial number",
    "1S": "the supplier's serial number",
    "3S": "the supplier's package number",
    "H": "heat",
    "T": "the customer's lot or heat number",
    "1T": "the supplier's lot or heat number",
    "2T": "a further lot or heat number",
    "V": "the supplier's code",
    "K": "the customer's order number",
    "1K": "the supplier's order number",
    "2K": "shipment number",
    "J": "licence plate",
    "1J": "licence plate",
    "4L": "country of origin",
}

_IDENTIFIED = re.compile("([0-9]{0,2}[A-Za-z])(.+)")
_SYMBOLOGY = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_SEPARATORS = re.compile("[\x1c-\x1f]")
_AMOUNT = re.compile("[0-9.,]+[A-Za-z]{0,2}")


@dataclass(frozen=True, slots=True)
class Tag:
    """One barcode of a supplier's tag: `text` whole, `value` without its data identifier.

    `identifier` is empty, and `value` is `text`, where no known identifier leads it.
    """

    text: str
    identifier: str
    value: str

    @property
    def meaning(self) -> str:
        """What the identifier says the value is; empty where there is none."""
        return DATA_IDENTIFIERS.get(self.identifier, "")


def read_tag(text: str) -> Tag:
    """What one barcode of a supplier's tag says. Raises Unreadable for nothing, or several fields."""
    core = _without_asterisks(_SYMBOLOGY.sub("", text.strip(EDGES), count=1).strip(EDGES))
    if not core or len(core) > LONGEST_TAG + 3 or not core.isprintable():
        raise _unusable(core)
    found = _IDENTIFIED.fullmatch(core)
    identifier = found[1].upper() if found else ""
    if found is None or identifier not in DATA_IDENTIFIERS:
        return Tag(core, "", core)
    value = found[2].strip()
    if not value or ("Q" in identifier and not _AMOUNT.fullmatch(value)):
        return Tag(core, "", core)
    return Tag(core, identifier, value)


def _without_asterisks(text: str) -> str:
    """Code 39 start and stop characters, which some readers send along."""
    return text[1:-1].strip() if len(text) > 2 and text[0] == text[-1] == "*" else text


def _unusable(core: str) -> Unreadable:
    if not core:
        what = "Nothing was read."
    elif _SEPARATORS.search(core):
        what = "This symbol holds several fields at once."
    else:
        what = "This is no barcode of a supplier's tag."
    return Unreadable(
        what,
        value="".join(character if character.isprintable() else "·" for character in core[:40]),
        expected=f"Expected one line of at most {LONGEST_TAG} characters.",
        next_step="Scan the single barcodes of the tag, or type what stands under one.",
    )
