"""Which printers are there, how is each, which station prints where, and do their labels scan?"""

import re
import zlib
from typing import Any

from flask import Blueprint, Response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import LotrootError, Unreadable
from lotroot.labelling.device import Device
from lotroot.labelling.equipping import PrintAt, SetPrinter, TryPrinter
from lotroot.labelling.printers import Printer, chosen_for, find_printer, print_alone, printers, seen
from lotroot.labelling.waiting import Proofs, proofs
from lotroot.plant.adopted import things
from lotroot.processes.definition import Plant
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.desk import desk
from lotroot.web.frame import Who, frame, signed_in, somebody, when
from lotroot.work import MICROSECONDS

blueprint = Blueprint("printers", __name__)
NAV = (("Printers", "printers.page"),)

WEEK = 7 * 24 * 3600 * MICROSECONDS
HOUR = 3600 * MICROSECONDS
"""A label gets its first scan within the hour, or is worth a look (our own choice)."""

_NO_LETTER = re.compile(r"[^a-z0-9]+")
_OFFSET = re.compile(r"([+-]?)(\d{1,2})(?:[.,](\d{1,2}))?", re.ASCII)


@blueprint.get("/printers")
def page() -> str:
    """Every printer, and the printer of each station."""
    return _page()


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    now = desk().now()
    with desk().house.reading() as connection:
        known = printers(connection)
        states = seen(connection)
        fared = proofs(connection, now - WEEK, now - HOUR)
        stations = _stations(connection, found.plant) if found.plant else []
        minutes = print_alone(found.plant)
    rows = [_row(found, one, states.get(one.code), fared.get(one.code)) for one in known.values()]
    values: dict[str, Any] = {
        "printers": rows,
        "stations": stations,
        "choices": [("", "the label tray")] + [(one.code, one.name) for one in known.values()],
        "takers": [("", "the next one with an address")] + [(one.code, one.name) for one in known.values()],
        "minutes": minutes,
        "may_set": found.may(SetPrinter),
        "typed": request.form if errors else {},
        "typed_at": request.form.get("code", "") or "new" if errors else "",
    }
    return render_template("printers.html", **frame(errors=errors or [], **values))


def _row(found: Who, one: Printer, state: Any, fared: Proofs | None) -> dict[str, Any]:
    return {
        "code": one.code,
        "name": one.name,
        "address": one.address,
        "dpi": one.dpi,
        "across": _millimetres(one.across),
        "along": _millimetres(one.along),
        "stock": one.stock,
        "instead": one.instead,
        "certificate": one.certificate,
        "how": _how(one, state),
        "well": bool(one.address and state is not None and not state.trouble),
        "asked": when(found.plant, state.at) if state is not None else "",
        "model": state.model if state is not None else "",
        "offers": state.resolutions if state is not None else "",
        "fared": fared,
    }


def _how(one: Printer, state: Any) -> str:
    """How a printer is, in words that follow its name."""
    if not one.address:
        return "has no address: its labels lie in the label tray"
    if state is None:
        return "has not been asked yet"
    return str(state.trouble or state.remark or "is ready")


def _stations(connection: Connection, plant: Plant) -> list[dict[str, str]]:
    rows = [row for row in things(connection) if row.kind == "station" and row.code in plant.stations]
    return [
        {
            "number": row.number,
            "name": plant.stations[row.code].name,
            "printer": chosen_for(connection, plant, row.number),
        }
        for row in rows
    ]


@blueprint.post("/printers")
def put() -> Response:
    """Add a printer, or set one."""
    form = request.form
    try:
        command = SetPrinter(
            code=form.get("code", "") or _code_from(form.get("name", "")),
            added=not form.get("code"),
            name=form.get("name", ""),
            address=form.get("location", ""),
            dpi=int(dpi) if re.fullmatch(r"[0-9]{1,4}", dpi := form.get("dpi", "0")) else -1,
            across=_hundredths(form.get("across", "0")),
            along=_hundredths(form.get("along", "0")),
            stock=form.get("stock", ""),
            instead=form.get("instead", ""),
            certificate=form.get("certificate", ""),
        )
    except LotrootError as error:
        return shown_again(error, _page, "form")
    return record(command, url_for("printers.page"), again=_page, field="form")


@blueprint.post("/printers/<code>/try")
def try_it(code: str) -> Response:
    """Print its own label."""
    return record(TryPrinter(code), url_for("printers.page"))


@blueprint.post("/printers/stations/<number>")
def give(number: str) -> Response:
    """Give a station its printer."""
    return record(PrintAt(number, request.form.get("printer", "")), url_for("printers.page"))


@blueprint.get("/printers/<code>/certificate")
def certificate(code: str) -> Response:
    """The fingerprint of the certificate a printer shows, to be compared at the printer."""
    somebody()
    with desk().house.reading() as connection:
        printer = find_printer(connection, code)
    if not printer.address.startswith("ipps:"):
        raise Unreadable(
            f"{printer.name} shows no certificate.",
            value=printer.address,
            expected="An address that begins with ipps://.",
            next_step="Nothing to compare.",
        )
    return Response(f"{Device(printer).fingerprint()}\n", mimetype="text/plain")


def _code_from(name: str) -> str:
    """A code from what people call it: Gate printer 2 is gate_printer_2."""
    code = _NO_LETTER.sub("_", name.strip().lower()).strip("_")[:24]
    if not code:  # a name in another script: the same name gives the same code
        code = f"{zlib.crc32(name.strip().encode()):08x}"
    return code if code[0].isalpha() else f"no_{code}"


def _hundredths(text: str) -> int:
    """Millimetres as typed, in hundredths. Raises Unreadable."""
    found = _OFFSET.fullmatch(text.strip() or "0")
    if found is None:
        raise Unreadable(
            "The offset cannot be read.",
            value=text[:20],
            expected="Millimetres with at most two decimals: 1.5 or -0.25.",
            next_step="Correct it and send it again.",
        )
    sign, whole, part = found.groups()
    amount = int(whole) * 100 + int((part or "").ljust(2, "0"))
    return -amount if sign == "-" else amount


def _millimetres(hundredths: int) -> str:
    sign = "-" if hundredths < 0 else ""
    whole, part = divmod(abs(hundredths), 100)
    return f"{sign}{whole}.{part:02d}".rstrip("0").rstrip(".")
