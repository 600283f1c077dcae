"""Which number does a pallet go by outside the plant, and is it never given to another?

The SSCC of a plant with a GS1 company prefix. Its serial reference follows from the pallet's own number: as
many numbers as the years before it gave, and its place in its own year. So a pallet has one SSCC for good,
and no other pallet gets it, for a restore skips numbers and never goes back (RULES 22).
"""

from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.genealogy.events import AliasGiven
from lotroot.genealogy.lots import aliases_of, lots_with
from lotroot.identity import Number, gs1, number_from
from lotroot.ledger.numbering import levels
from lotroot.processes.parts import Gs1
from lotroot.work import Work

SSCC = "SSCC"
"""The scheme of the alias."""

CENTURY = 2000


def sscc_of(connection: Connection, carrier: str) -> str:
    """The SSCC a carrier was given; empty for one without."""
    return next((str(row.value) for row in aliases_of(connection, carrier) if row.scheme == SSCC), "")


def give_sscc(work: Work, carrier: str) -> str:
    """Give a pallet its SSCC where the plant has a company prefix; what the person is told of it.

    A pallet that was closed before keeps the one it has. Closing states what is, so it is never refused:
    where no number is left, the pallet is in question.
    """
    licence = work.plant.gs1
    if licence is None or sscc_of(work.connection, carrier):
        return ""
    try:
        number = _next(work.connection, licence, number_from(carrier))
    except Unreadable as fault:
        work.put_in_question(carrier, f"It got no SSCC: {fault}")
        return " It got no SSCC: tell the administrator."
    if lots_with(work.connection, SSCC, number) - {carrier}:
        work.put_in_question(carrier, f"It got no SSCC: {number} is another pallet's.")
        return " It got no SSCC: tell the administrator."
    work.record(AliasGiven(SSCC, number, carrier))
    return ""


def _next(connection: Connection, licence: Gs1, number: Number) -> str:
    """A full series under one extension digit goes on under the next. Raises Unreadable after the last."""
    before = sum(
        last
        for (letter, year), last in levels(connection).items()
        if letter == number.letter and year < CENTURY + number.year
    )
    room = 10 ** (16 - len(licence.prefix)) - 1  # serial 0 is never given
    further, serial = divmod(before + number.running - 1, room)
    if licence.extension + further > 9:
        raise Unreadable(
            "No number is left under this company prefix.",
            value=licence.prefix,
            expected=f"At most {room:,} pallets an extension digit.",
            next_step="Ask the GS1 organisation for a further prefix.",
        )
    return gs1.sscc(licence.prefix, licence.extension + further, serial + 1)
