"""What does a complaint's page show: the words, the origin of the goods, where the rest of that origin is?"""

from typing import Any

from sqlalchemy import Connection

from lotroot.complaints.cases import Case, find_case
from lotroot.complaints.handling import AddToComplaint, CloseComplaint
from lotroot.dispatch.shipments import left_to
from lotroot.errors import Unknown, Unreadable
from lotroot.holds.handling import PlaceHold
from lotroot.identity.showing import shown
from lotroot.tracing import Candidate, Lineage, find, origins, siblings, story
from lotroot.tracing.origins import Origins
from lotroot.tracing.words import Words
from lotroot.web import files, lineage_tables, story_tables
from lotroot.web.cells import Table, column, link, together
from lotroot.web.frame import Who, when
from lotroot.web.told import in_words

MOST_RUNS = 80


def values_of(connection: Connection, found: Who, number: str) -> dict[str, Any]:
    """Everything the page of one complaint shows. Raises Unknown."""
    case, words = find_case(connection, number), Words(connection)
    guesses = [] if case.numbers or not case.row.read else candidates(connection, case.row.read)
    return {
        "case": case.row,
        "number": case.row.number,
        "shown": shown(case.row.number),
        "pairs": _pairs(case, words),
        "goods": [goods_of(connection, row.number) for row in case.numbers],
        "went": None if case.numbers else _went(connection, case.row.customer, words),
        "guesses": [{"number": one.number, "words": one.what} for one in guesses],
        "entries": [_entry(connection, found, row, words) for row in case.entries],
        "may": {
            "hold": found.may(PlaceHold),
            "add": found.may(AddToComplaint),
            "close": found.may(CloseComplaint) and case.row.state == "open",
        },
    }


def candidates(connection: Connection, text: str) -> list[Candidate]:
    """The numbers that what was read of a label may be; nothing where it is like none."""
    try:
        return find(connection, text) if text else []
    except Unreadable:
        return []


def _went(connection: Connection, customer: str, words: Words) -> Table | None:
    """What left to the customer, where no label says which goods are meant."""
    rows = left_to(connection, customer) if customer else []
    cells = [
        {"number": link(row.number), "order": row.order_number, "left": words.time(row.left)} for row in rows
    ]
    columns = [column("Shipment", "number"), column("Order", "order"), column("Left", "left")]
    return Table(f"What left to {words.party(customer)}, the latest first", columns, cells) if rows else None


def _pairs(case: Case, words: Words) -> list[tuple[str, str]]:
    row = case.row
    pairs = [
        ("Customer", words.party(row.customer) if row.customer else "not known yet"),
        ("Whom to call back", case.contact),
        ("How much", row.quantity),
        ("Read off the label", row.read),
        ("Taken down", f"{words.time(row.opened)}, {words.called(row.person)}"),
        ("Answer", row.answer),
    ]
    return [(name, value) for name, value in pairs if value]


def _entry(connection: Connection, found: Who, row: Any, words: Words) -> dict[str, Any]:
    return {
        "words": row.words,
        "kind": {"opened": "The customer", "added": "Added", "closed": "The answer"}.get(row.kind, row.kind),
        "file": files.described(connection, row.file) if row.file else None,
        "by": words.called(row.person),
        "when": when(found.plant, row.at),
    }


def goods_of(connection: Connection, number: str) -> dict[str, Any]:
    """One complained-of number: its origin, what stood between, and what else came of the same sources."""
    words = Words(connection)
    try:
        came, others = origins(connection, number), siblings(connection, number)
    except (Unknown, Unreadable) as error:
        return {"number": number, "shown": shown(number), "trouble": str(error)}
    rest = Lineage(others.without, "down", others.lots, others.on_hand, others.shipments)
    below = in_words(connection, rest, words)._replace(part_words="Of these sources")
    above = in_words(connection, came.lineage, words)
    held = {one.lot.lot.number for one in came.sources if one.held}
    own = [part.lot.number for part in came.lineage.asked.parts]
    return {
        "number": number,
        "shown": shown(number),
        "what": story(connection, number).what,
        "sources": lineage_tables.sources_table(connection, above),
        "source_lots": [
            (one.lot.lot.number, shown(one.lot.lot.number)) for one in came.sources if not one.held
        ],
        "held_lots": [shown(one) for one in sorted(held)],
        "own_lots": [(one, shown(one)) for one in dict.fromkeys(own) if one not in held],
        "common": _common(came),
        "between": _between(came),
        "checks": story_tables.checks_table(came.checks),
        "on_hand": lineage_tables.on_hand_table(below),
        "shipped": lineage_tables.shipped_table(below),
        "others": " ".join(_others(rest, words)),
    }


def _others(rest: Lineage, words: Words) -> list[str]:
    lots = lineage_tables.made_of(rest)
    count = f"{lots} other lots are" if lots != 1 else "1 other lot is"
    return [f"{count} of the same sources.", *lineage_tables.went(rest, words)] if lots else []


def _common(came: Origins) -> list[tuple[str, str]]:
    pairs = [("Machines", came.machines), ("Tools", came.resources), ("People", came.people)]
    return [(name, ", ".join(one.name for one in some)) for name, some in pairs if some]


def _between(came: Origins) -> Table:
    """The runs from source to goods, oldest first."""
    rows = [
        {
            "run": link(one.run.run.number),
            "process": one.run.process,
            "machine": one.run.station.name,
            "shift": one.run.shift,
            "people": ", ".join(person.name for person in one.run.people),
            "tools": ", ".join(tool.name for tool in one.resources),
            "since": one.run.opened.shown,
            "made": together((link(lot.number) for lot in one.lots[:4]), ", "),
        }
        for one in came.between[:MOST_RUNS]
    ]
    columns = [
        column("Run", "run"),
        column("Process", "process"),
        column("Machine", "machine"),
        column("Shift", "shift"),
        column("People", "people"),
        column("Tools", "tools"),
        column("Since", "since"),
        column("Made of this", "made"),
    ]
    return Table("Runs from the source to these goods", columns, rows, "Nothing was done to it here.")
