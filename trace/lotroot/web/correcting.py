"""Which correcting command does a filled-in form say, and what does the form begin with?

Each reader takes the number of the page and gives one command; what it cannot use it refuses in words.
"""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.dispatch.handling import CorrectShipment
from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.plant.adopted import number_of
from lotroot.production.correcting_inputs import CorrectInput, CorrectMark
from lotroot.production.correcting_outputs import CorrectOutput, CorrectTime, CorrectUse, output_of
from lotroot.production.correcting_remainders import WEIGHED
from lotroot.production.runs import find_run
from lotroot.receiving.commands import CorrectAmount, CorrectReceipt
from lotroot.receiving.facts import TEXTS
from lotroot.receiving.receipts import details_of, source_of
from lotroot.stock.typed import HAND
from lotroot.voiding.handling import Void
from lotroot.web import filled
from lotroot.web.cells import plain
from lotroot.web.frame import signed_in

Read = Callable[[Connection, str], Any]

NOBODY = "none"
"""What a choice sends for no tool at all; an empty choice is none made."""


def amount(connection: Connection, number: str) -> CorrectAmount:
    """A lot's own amount was wrong."""
    lot = find_lot(connection, number)
    why = filled.chosen(signed_in().plant, "amount_why", "amount_words") or "Found out later"
    mass = filled.amount("amount_mass", "g", lot.mass) if filled.words("amount_mass") else 0
    now = filled.amount("amount", lot.unit, lot.amount)
    return CorrectAmount(
        lot=number, amount=now, why=why, mass=mass, how=filled.words("amount_how") or "weighed", typed_by=HAND
    )


def receipt(connection: Connection, number: str) -> CorrectReceipt:
    """What the tag and papers said was recorded wrongly; what was left as it is stays."""
    source, lot = source_of(connection, number), find_lot(connection, number)
    if source is None:
        raise Unreadable(
            "It did not come from outside.",
            value=number,
            expected="A received lot.",
            next_step="Scan it again.",
        )
    before = details_of(source)
    changed: dict[str, Any] = {}
    empty = []
    for name in TEXTS:
        told = filled.words(f"receipt_{name}")
        if told and told != getattr(before, name):
            changed[name] = told
        if not told and getattr(before, name):
            empty.append(name)
    heats = tuple(heat.strip() for heat in filled.words("receipt_heats").split(",") if heat.strip())
    if heats and heats != before.heats:
        changed["heats"] = heats
    if not heats and before.heats:
        empty.append("heats")
    if filled.words("receipt_mass_theirs") != _mass(before.mass_theirs):
        mass = filled.amount("receipt_mass_theirs", "g", before.mass_theirs or None)
        changed |= {"mass_theirs": mass} if mass else {}
        empty += [] if mass else ["mass_theirs"]
    product = filled.words("receipt_product")
    product = "" if product == lot.product else product
    return CorrectReceipt(lot=number, product=product, empty=tuple(empty), **changed)


def output(connection: Connection, number: str) -> CorrectOutput:
    """An output of a run amounted to something else."""
    made = output_of(find_run(connection, number), filled.whole("output"))
    lot = find_lot(connection, made.lot)
    mass = filled.amount("output_mass", "g", made.amount) if filled.words("output_mass") else 0
    return CorrectOutput(number, made.seq, filled.amount("output_own", lot.unit, made.own), mass, HAND)


def loaded(connection: Connection, number: str) -> CorrectInput:
    """Another lot was on the machine."""
    right = filled.number(connection, "input_lot")
    if not right:
        raise Unreadable(
            "The lot that was really on the machine is missing.",
            expected="Its number, or another name of it.",
            next_step="Scan its label, also where it is used up: its page has it.",
        )
    return CorrectInput(number, filled.whole("input_load"), right)


def left(connection: Connection, number: str) -> CorrectInput:
    """Something else was left of a load that came off."""
    load = find_run(connection, number).load(filled.whole("remainder_load"))
    if not filled.words("remainder"):
        raise Unreadable(
            "What was really left is missing.",
            expected="An amount, 0 for nothing.",
            next_step="Enter it.",
        )
    own = filled.amount("remainder", find_lot(connection, load.lot).unit)
    how = filled.words("remainder_how") or WEIGHED
    return CorrectInput(number, load.load, remainder=own, how=how, typed_by=HAND if how == WEIGHED else "")


def ended(_connection: Connection, number: str) -> CorrectMark:
    """A coil ended at another time, or did not end."""
    load = filled.whole("mark_load")
    if filled.words("mark_ended") == "no":
        return CorrectMark(number, load, 0)
    return CorrectMark(number, load, filled.time("mark_at"), filled.whole("mark_next"))


def timed(_connection: Connection, number: str) -> CorrectTime:
    """An output was finished, or an input put on, at another time."""
    what, _, which = filled.words("time_of").partition("-")
    at = filled.time("time_at")
    seq = int(which) if which.isdecimal() else 0
    return CorrectTime(number, at, output=seq) if what == "output" else CorrectTime(number, at, load=seq)


def tool(connection: Connection, number: str) -> CorrectUse:
    """Another die set, mould or set of knives worked the run."""
    code, was = filled.words("tool_now"), filled.words("tool_was")
    thing = "" if code in ("", NOBODY) else number_of(connection, "resource", code)
    if not was and not thing:
        raise Unreadable(
            "Nothing would change.",
            expected="The tool that was in, or the one that was not.",
            next_step="Choose one.",
        )
    return CorrectUse(number, was=was, thing=thing)


def worker(_connection: Connection, number: str) -> CorrectUse:
    """Another person worked the run."""
    return CorrectUse(number, worker=filled.words("worker"))


def customer(_connection: Connection, number: str) -> CorrectShipment:
    """The shipment went to another customer, or under another order."""
    return CorrectShipment(number, filled.words("customer"), filled.words("customer_order"))


def void(_connection: Connection, _number: str) -> Void:
    """A whole posting is taken back."""
    return Void(filled.whole("void"))


READERS: dict[str, tuple[Read, type, str]] = {
    "amount": (amount, CorrectAmount, "amount"),
    "receipt": (receipt, CorrectReceipt, "receipt_product"),
    "output": (output, CorrectOutput, "output_own"),
    "input": (loaded, CorrectInput, "input_lot"),
    "remainder": (left, CorrectInput, "remainder"),
    "mark": (ended, CorrectMark, "mark_at"),
    "time": (timed, CorrectTime, "time_at"),
    "tool": (tool, CorrectUse, "tool_now"),
    "worker": (worker, CorrectUse, "worker"),
    "customer": (customer, CorrectShipment, "customer"),
    "void": (void, Void, "void"),
}
"""What each form is read by, the command that comes of it, and the field an error stands at."""

OF_KIND = {
    "lot": ("amount", "receipt", "void"),
    "item": (),
    "run": ("input", "remainder", "output", "mark", "time", "tool", "worker", "void"),
    "carrier": ("void",),
    "shipment": ("customer", "void"),
}
"""Which forms there are for which kind of number."""


def beginning(row: Row[Any] | None) -> dict[str, str]:
    """What the form of a receipt begins with: what is recorded now."""
    if row is None:
        return {}
    before = details_of(row)
    told = {f"receipt_{name}": str(getattr(before, name)) for name in TEXTS}
    more = {"receipt_heats": ", ".join(before.heats), "receipt_mass_theirs": _mass(before.mass_theirs)}
    return {**told, **more}


def _mass(grams: int) -> str:
    return plain(grams, "g", signed_in().plant) if grams else ""
