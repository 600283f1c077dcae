"""Which goods does a command mean where it names an emergency label that was stuck on them?"""

import dataclasses
from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection

from lotroot.reserved import stands_for


def as_meant(connection: Connection, command: Any, labels: Collection[str] = ()) -> Any:
    """A command with the goods that are meant wherever it names an emergency label that is on them.

    Fields in `labels` name such a label itself.
    """
    changed: dict[str, Any] = {}
    for field in dataclasses.fields(command):
        value = getattr(command, field.name)
        if field.name not in labels and isinstance(value, str | tuple):
            meant = _meant(connection, value)
            if meant != value:
                changed[field.name] = meant
    return dataclasses.replace(command, **changed) if changed else command


def _meant(connection: Connection, value: Any) -> Any:
    if isinstance(value, tuple):
        return tuple(_meant(connection, one) if isinstance(one, str) else one for one in value)
    return stands_for(connection, value)
