"""What are people, firms and things called?

Names stand outside the chain: they may be corrected or erased without touching history, which knows
people only by number.
"""

from sqlalchemy import Column, Connection, Table, Text, delete, insert, select

from lotroot.database import metadata

name = Table(
    "name",
    metadata,
    Column("of", Text, primary_key=True),
    Column("text", Text, nullable=False),
    info={"layer": "operational"},
)


def give_name(connection: Connection, of: str, text: str) -> None:
    """Name a number or code; an older name is replaced."""
    connection.execute(delete(name).where(name.c.of == of))
    connection.execute(insert(name), [{"of": of, "text": text}])


def name_of(connection: Connection, of: str) -> str:
    """The name of a number or code, or the code itself where it has none."""
    return str(connection.scalar(select(name.c.text).where(name.c.of == of)) or of)


def names_of(connection: Connection) -> dict[str, str]:
    """All names, by number or code."""
    return {row.of: row.text for row in connection.execute(select(name))}
