"""What was received, and what of it is still open?

Rows of lots from outside carry the lot's own number, kind, product, unit, amount, how, mass and born_at
beside the columns of `source`; lots that were taken back are left out.
"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, func, select

from lotroot.database import anywhere
from lotroot.genealogy.lots import as_alias
from lotroot.genealogy.tables import alias, lot
from lotroot.receiving.apply import HEATS_APART
from lotroot.receiving.facts import DELIVERY, SUPPLIER_NUMBER, TEXTS, TO_FOLLOW, Details
from lotroot.receiving.tables import source

_LOT = (lot.c.id, lot.c.kind, lot.c.product, lot.c.unit, lot.c.amount, lot.c.how, lot.c.mass, lot.c.born_at)
_known_as = select(alias.c.number).where(
    alias.c.scheme == bindparam("scheme"), alias.c.value == bindparam("value")
)
_all = (
    select(source, lot.c.source.label("origin"), *_LOT)
    .join(lot, lot.c.number == source.c.lot)
    .where(lot.c.voided == 0)
)
_source = select(source).where(source.c.lot == bindparam("lot"))
_due = _all.where(source.c.details_due == 1).order_by(lot.c.id)
_awaited = _all.where(source.c.certificate == TO_FOLLOW).order_by(lot.c.id)
_latest = _all.where(lot.c.id < bindparam("before")).order_by(lot.c.id.desc()).limit(bindparam("limit"))
LATEST = 2_000
"""Receipts that are looked through for what a product usually weighs: a month of a large plant (ours)."""
_lately = (
    select(lot.c.id, lot.c.product, source.c.mass_theirs)
    .join(lot, lot.c.number == source.c.lot)
    .where(lot.c.voided == 0, source.c.mass_theirs > 0)
    .order_by(lot.c.id.desc())
    .limit(LATEST)
    .subquery("lately")
)
_masses = (
    select(_lately.c.mass_theirs)
    .where(_lately.c.product == bindparam("product"))
    .order_by(_lately.c.id.desc())
    .limit(21)
)
_ordered = (
    _all.where(func.lower(source.c.order_number).like(bindparam("like"), escape="\\"))
    .order_by(lot.c.id.desc())
    .limit(bindparam("limit"))
)
_of_supplier = _all.where(source.c.lot.in_(_known_as), source.c.supplier == bindparam("supplier")).order_by(
    lot.c.id
)


def source_of(connection: Connection, number: str) -> Row[Any] | None:
    """Where a lot came from; None for one that was made here."""
    return connection.execute(_source, {"lot": number}).first()


def details_of(row: Row[Any]) -> Details:
    """The details in a row of `source`, as they were recorded."""
    plain = {name: getattr(row, name) for name in ("mass_theirs", *TEXTS, "certificate", "photo")}
    heats = tuple(row.heats.split(HEATS_APART)) if row.heats else ()
    due, product_due = bool(row.details_due), bool(row.product_due)
    return Details(**plain, heats=heats, due=due, product_due=product_due)


def details_due(connection: Connection) -> Sequence[Row[Any]]:
    """Emergency receipts whose details are still to be told, oldest first."""
    return connection.execute(_due).all()


def certificates_awaited(connection: Connection) -> Sequence[Row[Any]]:
    """Lots whose certificate is to follow, oldest first."""
    return connection.execute(_awaited).all()


def latest_receipts(connection: Connection, limit: int = 20, before: int = 2**62) -> Sequence[Row[Any]]:
    """Lots from outside, latest first; `before` is the `id` of the last one seen, to page on."""
    return connection.execute(_latest, {"limit": limit, "before": before}).all()


def lots_of_delivery(connection: Connection, supplier: str, delivery: str) -> Sequence[Row[Any]]:
    """What came with a supplier's delivery, in the order it was received."""
    return _found(connection, DELIVERY, delivery, supplier)


def received_as(connection: Connection, supplier: str, supplier_number: str) -> Sequence[Row[Any]]:
    """The lots a supplier sent under a number of theirs, in the order they were received."""
    return _found(connection, SUPPLIER_NUMBER, supplier_number, supplier)


def received_on_order(connection: Connection, order: str, limit: int = 20) -> Sequence[Row[Any]]:
    """Lots that came on an order of ours with this text in its number, latest first."""
    return connection.execute(_ordered, {"like": anywhere(order.lower()), "limit": limit}).all()


def usual_mass(connection: Connection, product: str) -> int:
    """What one piece of a product weighs by its latest tags, in g: their middle one; 0 for none yet."""
    masses = sorted(row.mass_theirs for row in connection.execute(_masses, {"product": product}))
    return masses[len(masses) // 2] if masses else 0


def _found(connection: Connection, scheme: str, value: str, supplier: str) -> Sequence[Row[Any]]:
    query = {"scheme": scheme, "value": as_alias(value), "supplier": supplier}
    return connection.execute(_of_supplier, query).all()
