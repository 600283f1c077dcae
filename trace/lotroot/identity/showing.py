"""How is a canonical number written for people?"""

from lotroot.errors import Unreadable
from lotroot.identity.numbers import item_from, number_from

_LOT_LENGTH, _ITEM_LENGTH = 11, 17


def shown(text: str) -> str:
    """R2600012383 as R26-000123-83; anything that is no number of ours as it is."""
    try:
        if len(text) == _LOT_LENGTH:
            return number_from(text).shown
        if len(text) == _ITEM_LENGTH:
            return item_from(text).shown
    except Unreadable:
        return text
    return text
