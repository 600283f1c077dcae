"""How is a printer added, set, given to a station, and tried?"""

import re
from dataclasses import dataclass
from typing import Any

from lotroot_printing import ipp
from lotroot_printing.errors import AddressRefused
from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.labelling import outbox
from lotroot.labelling.facts import LabelAsked, PrinterSet, StationPrinterSet
from lotroot.labelling.printed import next_copy
from lotroot.labelling.printers import Printer, find_printer, printer_or_none, printers
from lotroot.plant.adopted import code_of, things
from lotroot.plant.facts import ThingNumbered
from lotroot.work import Answer, LabelRequest, Work

TRIAL = "Trial of the printer"
RESOLUTIONS = (0, 203, 300, 600)
MOST_OFFSET = 1000  # 10 mm; more is no offset, but the wrong labels in the printer

MOST_STOCK = 80

_CODE = re.compile(r"[a-z][a-z0-9_]{0,30}")
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class SetPrinter:
    """Add a printer, or set one: its name, its address on the network (empty: its labels lie in the label
    tray), its dots an inch (0: as it says), the offset of its labels to the right and down in hundredths of a
    millimetre, the labels and ribbon loaded, the printer that takes over, and the SHA-256 of its certificate.
    `added`: it is a new one, and no printer that is known already is meant.
    """

    code: str
    name: str
    address: str = ""
    dpi: int = 0
    across: int = 0
    along: int = 0
    stock: str = ""
    instead: str = ""
    certificate: str = ""
    added: bool = False


@dataclass(frozen=True)
class PrintAt:
    """The labels of a station (its number) are printed at this printer; empty: they lie in the label tray."""

    at: str
    printer: str


@dataclass(frozen=True)
class TryPrinter:
    """Print the printer's own label at it, to see that bars and letters are sharp and lie straight."""

    printer: str


def set_printer(work: Work, command: SetPrinter) -> Answer:
    """Record what the printer is from now on."""
    wanted = _checked(work, command)
    _alone(work, wanted, command.added)
    known = printer_or_none(work.connection, wanted.code)
    if known == wanted:
        raise Refused(
            f"{wanted.name} is set so already.",
            word="already",
            value=wanted.code,
            expected="Something that is different now.",
            next_step="Change a field, or leave it.",
        )
    if known is not None and known.address != wanted.address:
        _ask_of_no_other(work, known.code)
    work.record(PrinterSet(**vars(wanted)))
    numbered = any(row.kind == "printer" and row.code == wanted.code for row in things(work.connection))
    if not numbered:
        work.record(ThingNumbered(work.number("T"), "printer", wanted.code))
    if not wanted.address:
        return Answer(f"{wanted.name} has no address: the label tray keeps its labels.")
    return Answer(f"{wanted.name} prints at {wanted.address}.")


def _ask_of_no_other(work: Work, code: str) -> None:
    """What the printer at the old address had, or may have had, the one at the new address cannot know."""
    job = outbox.under_way(work.connection, code)
    if job is not None:
        reason = "Its printer's address was changed before it had said what became of it."
        outbox.change(work.connection, job.id, outbox.UNKNOWN, reason)


def print_at(work: Work, command: PrintAt) -> Answer:
    """Record which printer a station has."""
    station = work.plant.stations[code_of(work.connection, command.at, "station")]
    words = "The label tray keeps"
    if command.printer:
        words = f"{find_printer(work.connection, command.printer).name} prints"
    work.record(StationPrinterSet(command.at, command.printer))
    return Answer(f"{words} the labels of {station.name}.")


def try_printer(work: Work, command: TryPrinter) -> Answer:
    """Queue the printer's own label at the printer itself."""
    printer = find_printer(work.connection, command.printer)
    if not printer.address:
        raise Refused(
            f"{printer.name} has no address yet.",
            value=printer.code,
            expected="Its address on the network.",
            next_step="Enter the address first.",
        )
    row = _thing(work, printer.code)
    copy = next_copy(work.connection, row.number)
    work.record(LabelAsked(row.number, copy, TRIAL))
    work.label(LabelRequest(row.number, printer=printer.code))
    return Answer(f"{printer.name} prints its own label.", (row.number,))


def _thing(work: Work, code: str) -> Row[Any]:
    return next(row for row in things(work.connection) if row.kind == "printer" and row.code == code)


def _alone(work: Work, wanted: Printer, added: bool) -> None:
    """Two printers are told apart by what people call them. Raises Refused."""
    for one in printers(work.connection).values():
        if (one.code == wanted.code and added) or (
            one.code != wanted.code and one.name.casefold() == wanted.name.casefold()
        ):
            raise Refused(
                f"There is a printer called {one.name} already.",
                word="already",
                value=wanted.name,
                expected="A name that no other printer has.",
                next_step="Choose another name, or set that printer.",
            )


def _checked(work: Work, command: SetPrinter) -> Printer:
    """The printer as it shall be. Raises Unreadable."""
    code, name, stock = command.code.strip(), command.name.strip(), command.stock.strip()
    if not name or len(name) > 60:
        raise _odd("The printer's name", name[:80], "what people call it, 1 to 60 characters")
    if not _CODE.fullmatch(code):
        raise _odd("The printer's code", code[:80], "small letters, digits and _, at most 31: gate_2")
    if len(stock) > MOST_STOCK:
        raise _odd("What is loaded", f"{len(stock)} characters", f"labels and ribbon, at most {MOST_STOCK}")
    if command.dpi not in RESOLUTIONS:
        raise _odd("The resolution", str(command.dpi), "203, 300 or 600 dots an inch, or 0 for as it says")
    if max(abs(command.across), abs(command.along)) > MOST_OFFSET:
        raise _odd("The offset", f"{command.across}, {command.along}", "at most 10 mm to either side")
    certificate = command.certificate.replace(":", "").replace(" ", "").lower()
    if certificate and not _SHA256.fullmatch(certificate):
        raise _odd("The certificate's fingerprint", certificate[:80], "64 digits 0-9 a-f (SHA-256)")
    if command.instead and (command.instead == code or command.instead not in printers(work.connection)):
        raise _odd("The printer that takes over", command.instead[:80], "another printer of the plant")
    offset = (command.across, command.along)
    return Printer(code, name, _uri(command), command.dpi, *offset, stock, command.instead, certificate)


def _uri(command: SetPrinter) -> str:
    if not command.address.strip():
        return ""
    try:
        return ipp.address(command.address).uri
    except AddressRefused as error:
        raise Unreadable(
            error.what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error


def _odd(what: str, value: str, expected: str) -> Unreadable:
    return Unreadable(
        f"{what} cannot be used.",
        value=value,
        expected=f"{expected[0].upper()}{expected[1:]}.",
        next_step="Correct it and send it again.",
    )
