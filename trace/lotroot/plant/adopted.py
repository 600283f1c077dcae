"""Which version of the plant is in force, and which was in force for an old run?"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, or_, select

from lotroot.database import Statement
from lotroot.errors import Refused, Unknown
from lotroot.plant.facts import adopted, customer_item, party, thing
from lotroot.processes.definition import Plant
from lotroot.processes.reading import parse

_latest = Statement("SELECT hash FROM plant ORDER BY event DESC LIMIT 1")
_of_hash = select(adopted).where(adopted.c.hash == bindparam("hash")).limit(1)
_things = select(thing).order_by(thing.c.kind, thing.c.code, thing.c.owner)
_thing = select(thing).where(thing.c.number == bindparam("number"))
_coded = select(thing.c.number).where(
    thing.c.kind == bindparam("kind"), thing.c.code == bindparam("code"), thing.c.owner == bindparam("owner")
)
_parties = select(party).order_by(party.c.kind, party.c.code)
_party = select(party).where(or_(party.c.code == bindparam("code")))

_items_of = (
    select(customer_item)
    .where(customer_item.c.customer == bindparam("customer"))
    .order_by(customer_item.c.product)
)

_read: dict[str, Plant] = {}
"""Versions of plants by the hash of their text: 40 kB are not read and compared anew at each scan."""


def plant_or_none(connection: Connection) -> Plant | None:
    """The plant as adopted last, or None before the first adoption."""
    digest = _latest.value(connection, {})
    return None if digest is None else plant_of(connection, digest)


def current_plant(connection: Connection) -> Plant:
    """The plant as adopted last. Raises Refused before the first adoption."""
    plant = plant_or_none(connection)
    if plant is None:
        raise Refused(
            "No plant is set up here yet.",
            expected="A plant.toml that was adopted.",
            next_step="Run: lotroot init --plant plant.toml",
        )
    return plant


def plant_of(connection: Connection, digest: str) -> Plant:
    """The version of the plant with this hash: old runs are judged by the one they ran under."""
    if digest not in _read:
        row = connection.execute(_of_hash, {"hash": digest}).first()
        if row is None:
            return current_plant(connection)
        _read[digest] = parse(row.text)
    return _read[digest]


def things(connection: Connection) -> Sequence[Row[Any]]:
    """Every numbered thing of the plant: rows of number, kind, code, owner."""
    return connection.execute(_things).all()


def thing_or_none(connection: Connection, number: str) -> Row[Any] | None:
    """The thing with this number."""
    return connection.execute(_thing, {"number": number}).first()


def number_of(connection: Connection, kind: str, code: str, owner: str = "") -> str:
    """The number on the label of a thing. Raises Unknown."""
    number = connection.scalar(_coded, {"kind": kind, "code": code, "owner": owner})
    if number is None:
        raise Unknown(
            f"The plant has no {kind} {code}.",
            value=code,
            expected=f"A {kind} of the adopted plant.",
            next_step="Check plant.toml and adopt it again.",
        )
    return str(number)


def code_of(connection: Connection, number: str, kind: str) -> str:
    """The plant code of a thing of one kind, from the number on its label. Raises Unknown."""
    row = thing_or_none(connection, number)
    if row is None or row.kind != kind:
        named = f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"
        raise Unknown(
            f"{number} is not {named} of this plant." if row is None else f"{row.code} is a {row.kind}.",
            value=number,
            expected=f"The label of {named}.",
            next_step=f"Scan the label of the {kind}.",
        )
    return str(row.code)


def parties(connection: Connection, kind: str = "") -> list[Row[Any]]:
    """Suppliers and customers, or those of one kind."""
    return [row for row in connection.execute(_parties) if kind in ("", row.kind)]


def party_or_none(connection: Connection, code: str) -> Row[Any] | None:
    """A supplier or customer by its code: a row of code, kind, country, market, language."""
    return connection.execute(_party, {"code": code}).first()


def customer_items(connection: Connection, customer: str) -> Sequence[Row[Any]]:
    """What a customer calls our products: rows of customer, product, item."""
    return connection.execute(_items_of, {"customer": customer}).all()


def find_customer_item(connection: Connection, customer: str, product: str) -> str:
    """A customer's code for a product; empty where there is none."""
    return next((row.item for row in customer_items(connection, customer) if row.product == product), "")


def find_party(connection: Connection, code: str, kind: str) -> Row[Any]:
    """A supplier or customer by its code. Raises Unknown."""
    row = party_or_none(connection, code)
    if row is None or row.kind != kind:
        known = ", ".join(one.code for one in parties(connection, kind)) or "none yet"
        raise Unknown(
            f"No {kind} {code} is known here.",
            value=code,
            expected=f"One of: {known}.",
            next_step=f"Choose one, or have an administrator add the {kind}.",
        )
    return row
