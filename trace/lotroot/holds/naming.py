"""What does a hold name, can it be placed so, and how is that said?"""

from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, select

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import as_alias, find_lot, lots_with
from lotroot.holds.facts import KINDS, hold, hold_release, hold_root
from lotroot.identity.showing import shown
from lotroot.work import Work

WORDS = {"hold": "on hold", "checks": "awaiting checks", "drip": "on the drip pad", "recall": "recalled"}
"""How a hold's kind is said to people (ours; *drip pad* is the trade's)."""


class Named(NamedTuple):
    """What a hold is to stop: a lot or part of it, or all lots of a heat, delivery and supplier."""

    kind: str
    reason: str
    lot: str
    span: tuple[int, int]
    heat: str
    delivery: str
    supplier: str

    @property
    def sources(self) -> list[tuple[str, str]]:
        """What it names from outside: scheme and value, as typed."""
        pairs = (("heat", self.heat), ("delivery", self.delivery), ("supplier", self.supplier))
        return [(scheme, value) for scheme, value in pairs if value]


def lots_named(connection: Connection, named: Named) -> list[str]:
    """The lots of now that a hold names, each once."""
    if named.lot:
        return [find_lot(connection, named.lot).number]
    sets = [lots_with(connection, scheme, value) for scheme, value in named.sources]
    return sorted(set.intersection(*sets)) if sets else []


def check_named(work: Work, named: Named) -> None:
    """Raises Unreadable where it names nothing that can be, Refused where it was placed before."""
    if named.kind not in KINDS or not named.reason.strip():
        raise Unreadable(
            "A hold needs a kind and a reason.",
            value=f"{named.kind} {named.reason}",
            expected=f"Kind: {', '.join(KINDS)}; reason: a few words.",
            next_step="Choose a reason.",
        )
    if not (named.lot or named.sources):
        raise Unreadable(
            "A hold must name what it stops.",
            expected="A lot, a heat, a delivery or a supplier.",
            next_step="Scan the lot, or enter the heat.",
        )
    if named.lot and named.sources:
        raise Unreadable(
            "A hold names goods, or where goods came from, not both.",
            value=f"{shown(named.lot)}, {_said(named.sources)}",
            expected="A lot or items alone, or a heat, delivery or supplier alone.",
            next_step="Empty one of the two; to stop both, place two holds.",
        )
    if named.lot:
        check_part(find_lot(work.connection, named.lot), *named.span)
    _refuse_twice(work, named)


def check_part(row: Row[Any], first: int, last: int) -> None:
    """Raises Unreadable for items a lot does not have, Refused for a lot that was taken back."""
    if row.voided:
        raise Refused(
            f"{shown(row.number)} was taken back: its label is to be destroyed.",
            value=row.number,
            expected="A lot that exists.",
            next_step="Scan the goods' new label.",
        )
    if last and row.axis == "serial" and not 0 < first <= last <= row.items:
        raise Unreadable(
            f"{shown(row.number)} has no items {first} to {last}.",
            value=f"{first} to {last}",
            expected=f"Items 1 to {row.items}, the lower one first." if row.items else "A lot of items.",
            next_step="Correct them, or name none for all of it.",
        )


def what_named(work: Work, named: Named, found: int) -> str:
    """The beginning of a sentence: L26-000015-22 is; Heat H71244, 3 lots here, is."""
    if named.lot:
        row = find_lot(work.connection, named.lot)
        return f"{shown(row.number)}{part_words(row, *named.span)} is"
    what = _said(named.sources)
    lots = "1 lot here" if found == 1 else f"{found} lots here"
    return f"{what[:1].upper()}{what[1:]}, {lots if found else 'no lot here yet'}, is"


def source_words(row: Row[Any]) -> str:
    """What a placed hold names from outside: heat H71244, supplier PINEMOOR; empty for named lots."""
    pairs = (("heat", row.heat), ("delivery", row.delivery), ("supplier", row.supplier))
    return _said([(scheme, value) for scheme, value in pairs if value])


def _said(sources: list[tuple[str, str]]) -> str:
    return ", ".join(f"{scheme} {value}" for scheme, value in sources)


def part_words(row: Row[Any], first: int, last: int) -> str:
    """Which part of a lot, with a comma before it; empty for all of it."""
    if not last:
        return ""
    if row.axis != "serial":
        return ", a stretch of it,"
    return f", item {first}," if first == last else f", items {first} to {last},"


def _refuse_twice(work: Work, named: Named) -> None:
    """The same hold placed again, by a second press or a second person, would need two releases."""
    first, last = named.span
    same = select(hold).where(hold.c.kind == named.kind, hold.c.reason == named.reason)
    for column, value in zip((hold.c.heat, hold.c.delivery, hold.c.supplier), named[-3:], strict=True):
        same = same.where(column == as_alias(value))
    for row in work.connection.execute(same.order_by(hold.c.id)).all():
        roots = select(hold_root).where(hold_root.c.hold == row.id)
        if named.lot:
            roots = roots.where(
                hold_root.c.lot == named.lot, hold_root.c.first == first, hold_root.c.last == last
            )
        freed = select(hold_release.c.event).where(hold_release.c.hold == row.id)
        standing = work.connection.execute(roots).first() is not None or not named.lot
        if standing and work.connection.execute(freed).first() is None:
            what = what_named(work, named, len(lots_named(work.connection, named)))
            since = f"since {work.local_time(row.at)} (hold {row.id})"
            raise Refused(
                f"{what} {WORDS[row.kind]} already: {row.reason}, {since}.",
                word="already",
                value=str(row.id),
                expected="Another reason, or something that is not held yet.",
                next_step="Nothing was recorded again.",
            )
