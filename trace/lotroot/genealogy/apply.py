"""How do the facts of genealogy become its tables?"""

from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, bindparam, delete, func, insert, select, update

from lotroot.genealogy import item_apply
from lotroot.genealogy.events import (
    AliasGiven,
    AliasTaken,
    AmountCorrected,
    LinksConfirmed,
    LinksWritten,
    LotBorn,
    LotGrew,
    LotLink,
    LotShrunk,
    LotVoided,
    ProductCorrected,
    RanksRaised,
)
from lotroot.genealogy.tables import DOUBTED, LIVE, alias, edge, lot
from lotroot.ledger.codec import encode
from lotroot.ledger.events import Recorded

_LINK_FIELDS = tuple(LotLink.__dataclass_fields__)
_id_of = select(lot.c.id).where(lot.c.number == bindparam("number"))
_edges_of = select(edge).where(edge.c.child == bindparam("child")).order_by(edge.c.seq)


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the genealogy's tables; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not a fact of genealogy."""


@_apply.register
def _(event: LotBorn, connection: Connection, recorded: Recorded) -> None:
    row = {"mass": event.mass, "mass_how": event.mass_how, **encode(event)}
    defaults = {"axis": "amount", "items": 0, "run": "", "source": "", "typed_by": ""}
    facts = {
        "id": recorded.id,
        "born_at": recorded.posting.happened,
        "station": recorded.posting.station,
        "sealed": 0,
        "voided": 0,
    }
    connection.execute(insert(lot), [{**defaults, **row, **facts}])
    item_apply.born(event, connection)


@_apply.register
def _(event: LotGrew, connection: Connection, _recorded: Recorded) -> None:
    values: dict[str, Any] = {"amount": lot.c.amount + event.amount}
    if event.mass is not None:
        values["mass"] = func.coalesce(lot.c.mass, 0) + event.mass
    if event.last:
        values["items"] = event.last
    connection.execute(_lot(event.number).values(values))
    item_apply.grew(event, connection)


@_apply.register
def _(event: LotShrunk, connection: Connection, _recorded: Recorded) -> None:
    values: dict[str, Any] = {"amount": lot.c.amount - event.amount}
    if event.items:  # items packed under labels of a block leave the serials that were given
        values["items"] = event.items
    if event.mass is not None:
        values["mass"] = func.coalesce(lot.c.mass, 0) - event.mass
    connection.execute(_lot(event.number).values(values))
    item_apply.shrank(event, connection)


@_apply.register
def _(event: AmountCorrected, connection: Connection, _recorded: Recorded) -> None:
    item_apply.corrected(event, connection)
    values: dict[str, Any] = {"amount": event.amount, "how": event.how, "typed_by": event.typed_by}
    if event.mass is not None:
        values["mass"] = event.mass
        values["mass_how"] = event.mass_how or lot.c.mass_how
    connection.execute(_lot(event.number).values(values))


@_apply.register
def _(event: ProductCorrected, connection: Connection, _recorded: Recorded) -> None:
    values = {"product": event.product, **({"kind": event.kind} if event.kind else {})}
    connection.execute(_lot(event.number).values(values))


@_apply.register
def _(event: LotVoided, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(_lot(event.number).values(voided=1))


@_apply.register
def _(event: LinksWritten, connection: Connection, _recorded: Recorded) -> None:
    child = connection.scalar(_id_of, {"number": event.child})
    before = connection.execute(_edges_of, {"child": child}).all()
    ids = {link.parent: connection.scalar(_id_of, {"number": link.parent}) for link in event.links}
    rows = [
        _row(link, {"child": child, "parent": ids[link.parent], "run": event.run, "state": LIVE})
        for link in event.links
    ]
    named = set(ids.values())
    for old in before:
        if (old.state == DOUBTED or event.doubted) and old.parent not in named:
            rows.append({**old._mapping, "state": DOUBTED})
    connection.execute(delete(edge).where(edge.c.child == child))
    if rows:
        connection.execute(insert(edge), [{**row, "seq": seq} for seq, row in enumerate(rows, 1)])
        connection.execute(update(lot).where(lot.c.id.in_(named)).values(sealed=1))


@_apply.register
def _(event: LinksConfirmed, connection: Connection, _recorded: Recorded) -> None:
    child = connection.scalar(_id_of, {"number": event.child})
    connection.execute(delete(edge).where(edge.c.child == child, edge.c.state == DOUBTED))


@_apply.register
def _(event: RanksRaised, connection: Connection, _recorded: Recorded) -> None:
    for new in event.ranks:
        connection.execute(_lot(new.number).values(rank=new.rank))


@_apply.register
def _(event: AliasGiven, connection: Connection, _recorded: Recorded) -> None:
    row = encode(event)
    where = (alias.c.scheme == event.scheme, alias.c.value == event.value, alias.c.number == event.number)
    if connection.execute(select(alias.c.number).where(*where)).first() is None:
        connection.execute(insert(alias), [row])


@_apply.register
def _(event: AliasTaken, connection: Connection, _recorded: Recorded) -> None:
    where = (alias.c.scheme == event.scheme, alias.c.value == event.value, alias.c.number == event.number)
    connection.execute(delete(alias).where(*where))


def _lot(number: str) -> Any:
    return update(lot).where(lot.c.number == number)


def _row(link: LotLink, facts: dict[str, Any]) -> dict[str, Any]:
    return {**{name: getattr(link, name) for name in _LINK_FIELDS if name != "parent"}, **facts}
