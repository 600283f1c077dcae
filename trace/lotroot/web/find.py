"""Who only knows a part of it: a number, a heat, an order, a customer; what can it be?

The scan field of this page stands on the office's other pages too: a label leads to its story, anything
else to the list of what it may be. Looking something up is no scan on the goods, so no label is proved by it.
"""

from typing import Any, NamedTuple
from urllib.parse import quote

from flask import Blueprint, Response, make_response, redirect, render_template, request
from sqlalchemy import Connection

from lotroot.complaints.cases import cases
from lotroot.dispatch.shipments import shipments_like
from lotroot.errors import LotrootError, Unreadable
from lotroot.identity import Badge, Command, Family, ItemNumber, Number, is_case, is_person, is_thing, read
from lotroot.identity.showing import shown
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import current_plant, parties
from lotroot.receiving.receipts import received_on_order
from lotroot.tracing import Candidate, find
from lotroot.tracing.finding import MOST, of_products
from lotroot.tracing.outside import number_in
from lotroot.web.cells import Table, column, link
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in
from lotroot.web.problems import kind_of
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown
from lotroot.web.wording import described

blueprint = Blueprint("find", __name__)
NAV = (("Search", "find.page"),)

SHORTEST, LONGEST = 2, 80
"""A single character is part of almost everything."""
NUMBER, BODY = 11, 9
"""Characters of a number, and those before its check pair: what is looked for when that does not fit."""


class Hits(NamedTuple):
    """What a text may mean: numbers, shipments of an order or customer, lots of an order, complaints,
    and lots of a product."""

    numbers: list[Candidate]
    shipments: list[Any]
    ordered: list[Any]
    complaints: list[Any]
    products: list[Candidate]

    @property
    def only(self) -> str:
        """The one number that can be meant, else empty."""
        found = [one.number for one in self.numbers] + [row.number for row in self.shipments]
        found += [row.lot for row in self.ordered] + [row.number for row in self.complaints]
        found += [one.number for one in self.products]
        return found[0] if len(set(found)) == 1 else ""


NOTHING = Hits([], [], [], [], [])


@blueprint.get("/find")
def page() -> Response:
    """Look for a text; the one thing that it can mean is opened at once."""
    signed_in()
    asked = request.args.get("q", "").strip()[:LONGEST]
    if not asked or is_badge(asked):
        return make_response(_page("", NOTHING))
    with desk().house.reading() as connection:
        outside = number_in(connection, asked)
        hits = NOTHING if outside else look_for(connection, asked)
    if outside:
        return make_response(redirect(address(outside), 303))
    if hits.only:
        return make_response(redirect(address(hits.only), 303))
    return make_response(_page(asked, hits))


def instead(asked: str, error: LotrootError) -> Response:
    """In place of a page that cannot be: why, and what else may be meant."""
    asked = "" if is_badge(asked) else asked
    with desk().house.reading() as connection:
        hits = look_for(connection, asked)
    return make_response(_page(asked, hits, error), kind_of(error).status)


def address(number: str) -> str:
    """The page of a number."""
    return f"/complaints/{number}" if number.startswith("X") else f"/lots/{number}"


def look_for(connection: Connection, asked: str) -> Hits:
    """Everything that a text may mean."""
    if len(asked) < SHORTEST:
        return NOTHING
    names = names_of(connection)
    firms = [row.code for row in parties(connection) if asked.lower() in names.get(row.code, "").lower()]
    numbers = _numbers(connection, asked)
    for code in firms:
        numbers += [one for one in _numbers(connection, code) if one not in numbers]
    plain = _digits(asked)
    return Hits(
        numbers,
        list(shipments_like(connection, asked, firms)),
        list(received_on_order(connection, asked)),
        [row for row in cases(connection) if row.customer in firms or (plain and plain in row.number)],
        of_products(connection, _products(connection, asked)),
    )


def _products(connection: Connection, asked: str) -> list[str]:
    """The products that have a word in their name: some digits alone are of a number."""
    if not any(sign.isalpha() for sign in asked) or len(asked) <= SHORTEST:
        return []
    plant = current_plant(connection)
    return [one.code for one in plant.products.values() if asked.casefold() in one.name.casefold()]


def _numbers(connection: Connection, asked: str) -> list[Candidate]:
    """What a text may be; where that is nothing, what it may be but for its check digits."""
    plain = _digits(asked)
    for part in [asked, plain[:BODY]] if len(plain) > BODY and plain[1:].isdecimal() else [asked]:
        try:
            found = find(connection, part)
        except Unreadable:
            continue
        if found:
            return found
    return []


def _digits(asked: str) -> str:
    return "".join(asked.upper().replace("-", " ").split())


def is_badge(asked: str) -> bool:
    """Whether a text is a badge, or most of one: a secret, which is not looked for and stands on no page."""
    plain = _digits(asked)
    try:
        return isinstance(read(asked).value, Badge)
    except Unreadable:
        return plain[:1] == Family.PERSON and len(plain) > NUMBER and plain[1:].isdecimal()


def _page(asked: str, hits: Hits, error: LotrootError | None = None) -> str:
    with desk().house.reading() as connection:
        names = names_of(connection)
    tables = [
        Table("Numbers", NUMBERS, [_number(one) for one in hits.numbers], "", _latest(hits.numbers)),
        Table("Shipments", SHIPMENTS, [_shipment(row, names) for row in hits.shipments]),
        Table("Received on that order", ORDERED, [_ordered(row) for row in hits.ordered]),
        Table("Complaints", COMPLAINTS, [_complaint(row, names) for row in hits.complaints]),
        Table("Lots of it", LOTS, [_number(one) for one in hits.products], "", _latest(hits.products)),
    ]
    values: dict[str, Any] = {"asked": asked, "error": error, "tables": [one for one in tables if one.rows]}
    return render_template("find.html", **scan_frame(PAGE, kind="office", **values))


NUMBERS = [column("Number", "number"), column("What it is", "what"), column("Also known as", "known")]
SHIPMENTS = [
    column("Shipment", "number"),
    column("Customer", "customer"),
    column("Order", "order"),
    column("State", "state"),
]
ORDERED = [column("Lot", "number"), column("Our order", "order"), column("Supplier's number", "supplied")]
COMPLAINTS = [
    column("Complaint", "number"),
    column("Customer", "customer"),
    column("In their words", "words"),
]


LOTS = [column("Lot", "number"), column("Product", "what")]


def _latest(found: list[Candidate]) -> str:
    """What is not listed, in words."""
    return f"The latest {MOST}. For others type more of it." if len(found) >= MOST else ""


def _number(one: Candidate) -> dict[str, Any]:
    what = one.what.removeprefix(shown(one.number)).removeprefix(": ")
    return {"number": link(one.number), "what": what or one.family, "known": one.known_as}


def _shipment(row: Any, names: dict[str, str]) -> dict[str, Any]:
    customer = names.get(row.customer, row.customer)
    return {"number": link(row.number), "customer": customer, "order": row.order_number, "state": row.state}


def _ordered(row: Any) -> dict[str, Any]:
    return {"number": link(row.lot), "order": row.order_number, "supplied": row.supplier_number}


def _complaint(row: Any, names: dict[str, str]) -> dict[str, Any]:
    customer = names.get(row.customer, row.customer)
    return {"number": link(row.number), "customer": customer, "words": row.words}


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A number opens its story, any other text is looked for."""
    value = scanned.value
    if isinstance(value, Command):
        return None
    if isinstance(value, Number | ItemNumber):
        return _opened(scene, value)
    if len(scanned.text.strip()) < SHORTEST or is_badge(scanned.text):
        return None
    return Say(
        "Looking for it.", "already", "Search", goto=f"/find?q={quote(scanned.text.strip()[:LONGEST])}"
    )


def _opened(scene: Scene, value: Number | ItemNumber) -> Say | None:
    if isinstance(value, Number) and (is_thing(value) or is_person(value)):
        return None
    number = str(value)
    if isinstance(value, Number) and is_case(value):
        return Say(f"Complaint {shown(number)}.", "already", goto=address(number))
    said = described(scene, value)
    return Say(said.say, said.verdict, said.word, said.detail, goto=address(number))


def show(_scene: Scene) -> Shown:
    """Nothing of this page changes without going to another."""
    return Shown("Scan or type any number, or part of one")


PAGE = Page(
    "find",
    meaning,
    show,
    "Scan any label, or type a number or part of one, a heat, an order, a customer or a product.",
    proves=False,
)
