"""What does the page of goods say of emergency labels: is one on them, is their number one's?"""

from sqlalchemy import Connection

from lotroot.goods import typed
from lotroot.identity import LOT_FAMILIES, Number
from lotroot.identity.showing import shown
from lotroot.plant.adopted import current_plant, thing_or_none
from lotroot.reserved import labels_standing_for, range_of


def emergency_pairs(connection: Connection, number: str) -> list[tuple[str, str]]:
    """Names and values for the story page of a number: its emergency labels, and whether it is one itself."""
    beside = labels_standing_for(connection, number)
    pairs = [("Emergency label on it", ", ".join(shown(one) for one in beside))] if beside else []
    value = typed(number)
    if isinstance(value, Number) and value.letter in LOT_FAMILIES:
        pad = range_of(connection, value)
        if pad is not None:
            pairs.append(("Its number", f"set aside beforehand, {keeper_words(connection, pad.station)}"))
    return pairs


def keeper_words(connection: Connection, station: str) -> str:
    """Where a pad is kept: the name of its station."""
    row = thing_or_none(connection, station) if station else None
    known = current_plant(connection).stations.get(row.code) if row is not None else None
    return f"kept at {known.name}" if known else "kept at no station"
