"""Under which number are the words of a lot or link kept?

Sets of words are numbered as they are first said, event by event, so that a rebuild numbers them alike.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select

from lotroot.database import Statement
from lotroot.genealogy.tables import link_words, lot_words

Row = dict[str, Any]


def words_in(table: Table) -> tuple[str, ...]:
    """Which words a set of a table has."""
    return tuple(column.name for column in table.c if column.name != "id")


def _find(table: Table) -> Statement:
    said = " AND ".join(f'"{word}" = :{word}' for word in words_in(table))
    return Statement(" ".join(("SELECT id FROM", table.name, "WHERE", said)))


_FOUND = {table.name: _find(table) for table in (lot_words, link_words)}
_NEXT = {table.name: select(func.coalesce(func.max(table.c.id), 0) + 1) for table in (lot_words, link_words)}


def in_numbers(connection: Connection, table: Table, rows: Iterable[Row]) -> list[Row]:
    """Rows of lots or links with the number of their words in place of these."""
    words, known = words_in(table), dict[tuple[str, ...], int]()
    found = []
    for row in rows:
        said = tuple(row[word] for word in words)
        if said not in known:
            known[said] = key_of(connection, table, dict(zip(words, said, strict=True)))
        found.append({name: value for name, value in row.items() if name not in words})
        found[-1]["words"] = known[said]
    return found


def key_of(connection: Connection, table: Table, words: Mapping[str, str]) -> int:
    """The number of a set of words; a set that was never said before gets the next one."""
    found = _FOUND[table.name].value(connection, words)
    if found is None:
        found = connection.scalar(_NEXT[table.name])
        connection.execute(insert(table), [{"id": found, **words}])
    return int(found)
