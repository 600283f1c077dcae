"""Is what was told about goods from outside fit to be kept, and which names do they go by?"""

import dataclasses
import re
from collections.abc import Iterable
from typing import Any
from unicodedata import category, normalize

from sqlalchemy import Connection, Row, select

from lotroot.errors import Unreadable
from lotroot.genealogy.events import AliasGiven, AliasTaken
from lotroot.genealogy.known_above import PAINT_BATCH
from lotroot.genealogy.lots import as_alias
from lotroot.holds.facts import hold, hold_root
from lotroot.holds.handling import catch, matches
from lotroot.identity.showing import shown
from lotroot.ledger.book import kept_file
from lotroot.plant.adopted import find_party
from lotroot.processes.definition import Kind
from lotroot.quantities import MOST_AMOUNT, MOST_OF_A_LOT, show_amount
from lotroot.receiving.commands import Told
from lotroot.receiving.facts import (
    DELIVERY,
    HEAT,
    NOT_ON_TAG,
    SUPPLIER,
    SUPPLIER_NUMBER,
    TEXTS,
    TO_FOLLOW,
    Details,
)
from lotroot.work import Work

LONGEST, LONGEST_REMARK, LONGEST_BATCH = 90, 500, 40
"""A field of a supplier's tag has at most 90 characters (MH10.8.2); remarks may be some sentences, and a
paint batch is read out in questions (40: ours)."""

MOST_HEATS = 8
_PEOPLES_UNIT = {"g": "kg", "mm": "m", "ml": "l", "cm3": "m3", "pcs": "pcs"}
"""Two heats on a coil are met with, more hardly ever (common practice, no source)."""

COIL = "C"
"""The family whose lots come from a heat."""

NOTHING = Details()
"""What is known of goods before anybody told anything."""

_SHA = re.compile("[0-9a-f]{64}")
_APART = re.compile(r"[;\n]| [+&] ")


def told(work: Work, command: Told, before: Details = NOTHING) -> Details:
    """The details before, with what a command tells laid over them. Raises Unreadable or Unknown."""
    new = {name: tidy(name, getattr(command, name)) for name in TEXTS}
    if new["supplier"]:
        find_party(work.connection, new["supplier"], "supplier")
    files = {"certificate": command.certificate, "photo": command.photo}
    for name, value in files.items():
        if value and not (name == "certificate" and value == TO_FOLLOW):
            check_file(work.connection, value)
    told_now: dict[str, Any] = {**new, **files, "heats": tidy_heats(command.heats)}
    told_now["mass_theirs"] = checked_amount("mass_theirs", command.mass_theirs)
    return dataclasses.replace(before, **{name: value for name, value in told_now.items() if value})


def require_complete(details: Details, kind: Kind) -> None:
    """Raise Unreadable where a receipt lacks what a complaint will be traced by."""
    if not details.supplier:
        raise lacking("supplier", "Who sent it")
    if kind.letter == COIL and not details.heats:
        raise lacking("heat", f"The heat on the tag, or: {NOT_ON_TAG}")


def tidy(name: str, text: str) -> str:
    """A text on one line without signs that no tag carries. Raises Unreadable where it is too long."""
    most = longest(name)
    core = normalize("NFC", " ".join(text.split()))
    if len(core) > most or any(category(sign) in ("Cc", "Cs") for sign in core):
        raise Unreadable(
            f"The {name.replace('_', ' ')} cannot be kept as it is.",
            value="".join(sign if sign.isprintable() else "·" for sign in core[:40]),
            expected=f"One line of at most {most} characters.",
            next_step="Type what matters of it.",
        )
    return core


def longest(name: str) -> int:
    """How many characters a text of a tag may have, by its name."""
    return {"remark": LONGEST_REMARK, "paint_batch": LONGEST_BATCH}.get(name, LONGEST)


def tidy_heats(heats: Iterable[str]) -> tuple[str, ...]:
    """Heats one by one, each once; NOT_ON_TAG only alone. Raises Unreadable."""
    given = tuple(tidy("heat", heat) for heat in heats_in(heats))
    silent = [heat for heat in given if heat.casefold() == NOT_ON_TAG]
    if (silent and len(given) > 1) or len(given) > MOST_HEATS:
        raise Unreadable(
            "These heats do not go together.",
            value="; ".join(given),
            expected=f"One heat, two, at most {MOST_HEATS}, or: {NOT_ON_TAG}.",
            next_step="Look at the tag again.",
        )
    return (NOT_ON_TAG,) if silent else given


def heats_in(texts: Iterable[str]) -> tuple[str, ...]:
    """The heats in texts that may name several, each once: "H1; H2", "H1 + H2"."""
    found: dict[str, str] = {}
    for text in texts:
        for part in _APART.split(text):
            if part.strip():
                found.setdefault(as_alias(part), part.strip())
    return tuple(found.values())


def checked_amount(name: str, amount: int, unit: str = "g") -> int:
    """An amount in base units that a lot may be of. Raises Unreadable."""
    most, people = MOST_OF_A_LOT[unit], _PEOPLES_UNIT[unit]
    if not 0 <= amount <= most:
        met = show_amount(amount, unit, people) if 0 < amount <= MOST_AMOUNT else f"{amount} {unit}"
        raise Unreadable(
            f"The {name.replace('_', ' ')} cannot be {met}.",
            value=str(amount),
            expected=f"From 0 to {show_amount(most, unit, people)}.",
            next_step="Type it again.",
        )
    return amount


def check_file(connection: Connection, digest: str) -> str:
    """The name of a kept file. Raises Unreadable where no such file is kept."""
    row = kept_file(connection, digest) if _SHA.fullmatch(digest) else None
    if row is None:
        raise Unreadable(
            "This file is not kept here.",
            value=digest[:12],
            expected="A file that was uploaded before.",
            next_step="Upload the file, then record it.",
        )
    return str(row.name)


def follow(work: Work, number: str, before: Details, now: Details) -> None:
    """Let a lot's aliases follow its details, and every hold that now means it catch it (RULES 19).

    A lot that a hold no longer means stays its root and is put in question, until QA frees it.
    """
    old, new = _aliases(before), _aliases(now)
    for scheme, value in sorted(old - new):
        work.record(AliasTaken(scheme, value, number))
    for scheme, value in sorted(new - old):
        work.record(AliasGiven(scheme, value, number))
    for row in _holds_on(work.connection, number):
        if matches(row, **_named(before)) and not matches(row, **_named(now)):
            work.put_in_question(
                number,
                f"Hold {row.id} ({row.reason}) no longer means {shown(number)}: held until QA frees it.",
            )
    catch(work, number, **_named(now))


def _named(details: Details) -> dict[str, Any]:
    heats = tuple(heat for heat in details.heats if heat != NOT_ON_TAG)
    return {"heats": heats, "delivery": details.delivery, "supplier": details.supplier}


def _aliases(details: Details) -> set[tuple[str, str]]:
    named = _named(details)
    pairs = [
        (SUPPLIER, details.supplier),
        (SUPPLIER_NUMBER, details.supplier_number),
        (DELIVERY, details.delivery),
        (PAINT_BATCH, details.paint_batch),
        *((HEAT, heat) for heat in named["heats"]),
    ]
    return {(scheme, as_alias(value)) for scheme, value in pairs if value}


def _holds_on(connection: Connection, number: str) -> list[Row[Any]]:
    roots = select(hold_root.c.hold).where(hold_root.c.lot == number)
    return list(connection.execute(select(hold).where(hold.c.id.in_(roots)).order_by(hold.c.id)))


def lacking(what: str, expected: str) -> Unreadable:
    """The error of a receipt without a detail that it needs."""
    return Unreadable(
        f"The receipt lacks the {what}.",
        expected=f"{expected}.",
        next_step="Enter it, or receive in an emergency: the number now, the rest later.",
    )
