"""How do the facts of genealogy become its tables?"""

from collections.abc import Iterable
from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, bindparam, case, delete, func, insert, select, update

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
from lotroot.genealogy.tables import (
    DOUBTED,
    LIVE,
    alias,
    edge_table,
    highest_rank,
    link_words,
    lot,
    lot_table,
    lot_words,
)
from lotroot.genealogy.wording import in_numbers, key_of, words_in
from lotroot.identity.numbers import number_from
from lotroot.ledger.codec import encode
from lotroot.ledger.events import Recorded

_LINK_FIELDS = tuple(LotLink.__dataclass_fields__)
_id_of = select(lot_table.c.id).where(lot_table.c.number == bindparam("number"))
_words_of = select(*(lot.c[word] for word in words_in(lot_words))).where(lot.c.number == bindparam("number"))
_edges_of = select(edge_table).where(edge_table.c.child == bindparam("child")).order_by(edge_table.c.seq)
_new_rank = bindparam("new_rank", type_=highest_rank.c.rank.type)
_lift = update(highest_rank).values(
    rank=case((highest_rank.c.rank < _new_rank, _new_rank), else_=highest_rank.c.rank)
)


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the genealogy's tables; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not a fact of genealogy."""


@_apply.register
def _(event: LotBorn, connection: Connection, recorded: Recorded) -> None:
    row = {"mass": event.mass, "mass_how": event.mass_how, **encode(event)}
    defaults = {"axis": "amount", "items": 0, "source": "", "typed_by": ""}
    facts = {
        "id": recorded.id,
        "born_at": recorded.posting.happened,
        "run": str(number_from(event.run)) if event.run else "",  # kept by its figures: it must be proved
        "station": recorded.posting.station,
        "sealed": 0,
        "voided": 0,
    }
    known = {**defaults, **row, **facts}
    connection.execute(insert(lot_table), in_numbers(connection, lot_words, [known]))
    _rank_given(connection, [event.rank])
    item_apply.born(event, connection)


@_apply.register
def _(event: LotGrew, connection: Connection, _recorded: Recorded) -> None:
    values: dict[str, Any] = {"amount": lot_table.c.amount + event.amount}
    if event.mass is not None:
        values["mass"] = func.coalesce(lot_table.c.mass, 0) + event.mass
    if event.last:
        values["items"] = event.last
    connection.execute(_lot(event.number).values(values))
    item_apply.grew(event, connection)


@_apply.register
def _(event: LotShrunk, connection: Connection, _recorded: Recorded) -> None:
    values: dict[str, Any] = {"amount": lot_table.c.amount - event.amount}
    if event.items:  # items packed under labels of a block leave the serials that were given
        values["items"] = event.items
    if event.mass is not None:
        values["mass"] = func.coalesce(lot_table.c.mass, 0) - event.mass
    connection.execute(_lot(event.number).values(values))
    item_apply.shrank(event, connection)


@_apply.register
def _(event: AmountCorrected, connection: Connection, _recorded: Recorded) -> None:
    item_apply.corrected(event, connection)
    values: dict[str, Any] = {"amount": event.amount}
    words = {"how": event.how, "typed_by": event.typed_by}
    if event.mass is not None:
        values["mass"] = event.mass
        words |= {"mass_how": event.mass_how} if event.mass_how else {}
    connection.execute(_lot(event.number).values(values))
    _say(connection, event.number, words)


@_apply.register
def _(event: ProductCorrected, connection: Connection, _recorded: Recorded) -> None:
    words = {"product": event.product, **({"kind": event.kind} if event.kind else {})}
    _say(connection, event.number, words)


@_apply.register
def _(event: LotVoided, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(_lot(event.number).values(voided=1))


@_apply.register
def _(event: LinksWritten, connection: Connection, _recorded: Recorded) -> None:
    child = connection.scalar(_id_of, {"number": event.child})
    before = connection.execute(_edges_of, {"child": child}).all()
    ids = {link.parent: connection.scalar(_id_of, {"number": link.parent}) for link in event.links}
    links = [_row(link, {"child": child, "parent": ids[link.parent]}) for link in event.links]
    rows = in_numbers(connection, link_words, links)
    named = set(ids.values())
    for old in before:
        if (old.state == DOUBTED or event.doubted) and old.parent not in named:
            rows.append({**old._mapping, "state": DOUBTED})
    connection.execute(delete(edge_table).where(edge_table.c.child == child))
    if rows:
        connection.execute(insert(edge_table), [{**row, "seq": seq} for seq, row in enumerate(rows, 1)])
        connection.execute(update(lot_table).where(lot_table.c.id.in_(named)).values(sealed=1))


@_apply.register
def _(event: LinksConfirmed, connection: Connection, _recorded: Recorded) -> None:
    child = connection.scalar(_id_of, {"number": event.child})
    where = (edge_table.c.child == child, edge_table.c.state == DOUBTED)
    connection.execute(delete(edge_table).where(*where))


@_apply.register
def _(event: RanksRaised, connection: Connection, _recorded: Recorded) -> None:
    for new in event.ranks:
        connection.execute(_lot(new.number).values(rank=new.rank))
    _rank_given(connection, [new.rank for new in event.ranks])


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
    return update(lot_table).where(lot_table.c.number == number)


def _row(link: LotLink, ends: dict[str, Any]) -> dict[str, Any]:
    said = {name: getattr(link, name) for name in _LINK_FIELDS if name != "parent"}
    return {**said, **ends, "state": LIVE}


def _say(connection: Connection, number: str, words: dict[str, str]) -> None:
    """Describe a lot by other words than before."""
    before = connection.execute(_words_of, {"number": number}).mappings().first()
    if before is not None:
        said = key_of(connection, lot_words, {**before, **words})
        connection.execute(_lot(number).values(words=said))


def _rank_given(connection: Connection, ranks: Iterable[int]) -> None:
    for rank in ranks:
        if not connection.execute(_lift, {"new_rank": rank}).rowcount:
            connection.execute(insert(highest_rank), [{"rank": rank}])
