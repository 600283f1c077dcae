"""What are people, firms and things called?

Names stand outside the chain: they may be corrected or erased without touching history, which knows
people only by number.
"""

import re

from sqlalchemy import Column, Connection, Table, Text, delete, insert, select

from lotroot.database import Statement, metadata

name = Table(
    "name",
    metadata,
    Column("of", Text, primary_key=True),
    Column("text", Text, nullable=False),
    info={"layer": "operational"},
)

_name_of = Statement('SELECT "text" FROM name WHERE "of" = :of')
_PERSON = re.compile(r"\bH\d\d-\d{6}-\d\d\b")


def give_name(connection: Connection, of: str, text: str) -> None:
    """Name a number or code; an older name is replaced."""
    connection.execute(delete(name).where(name.c.of == of))
    connection.execute(insert(name), [{"of": of, "text": text}])


def name_of(connection: Connection, of: str) -> str:
    """The name of a number or code, or the code itself where it has none."""
    return str(_name_of.value(connection, {"of": of}) or of)


def names_of(connection: Connection) -> dict[str, str]:
    """All names, by number or code."""
    return {row.of: row.text for row in connection.execute(select(name))}


def with_names(connection: Connection, text: str) -> str:
    """A recorded answer as people read it: it names people by number, and here by their names."""
    if not _PERSON.search(text):
        return text
    names = names_of(connection)
    return _PERSON.sub(lambda met: names.get(met[0].replace("-", ""), met[0]), text)
