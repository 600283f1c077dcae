"""Which of our numbers is this, and what does it stand for?"""

from lotroot.identity.commands import Command
from lotroot.identity.families import LOT_FAMILIES, Family
from lotroot.identity.numbers import (
    Badge,
    ItemNumber,
    Number,
    badge_from,
    is_carrier,
    is_case,
    is_lot,
    is_person,
    is_run,
    is_shipment,
    is_thing,
    item_from,
    make,
    number_from,
)
from lotroot.identity.reading import Read, find, read
from lotroot.identity.tags import Tag, read_tag

__all__ = [
    "LOT_FAMILIES",
    "Badge",
    "Command",
    "Family",
    "ItemNumber",
    "Number",
    "Read",
    "Tag",
    "badge_from",
    "find",
    "is_carrier",
    "is_case",
    "is_lot",
    "is_person",
    "is_run",
    "is_shipment",
    "is_thing",
    "item_from",
    "make",
    "number_from",
    "read",
    "read_tag",
]
