"""What does the story page show of one number, and which acts does it offer to whom?"""

from typing import Any

from sqlalchemy import Connection, Row

from lotroot.errors import Unknown
from lotroot.genealogy.walks import lots_numbered
from lotroot.holds.handling import AWAITING, PlaceHold, ReleaseHold, SettleQuestion
from lotroot.identity.showing import shown
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.printed import labels_of
from lotroot.pads.handling import AnswerWithPad
from lotroot.production.correcting_inputs import ConfirmLinks
from lotroot.quality.handling import RecordCheck
from lotroot.receiving.commands import AddCertificate
from lotroot.receiving.facts import SUPPLIER, TO_FOLLOW
from lotroot.tracing import Asked, Story, trace
from lotroot.tracing.spans import ALL
from lotroot.tracing.words import Words, items
from lotroot.web import bound_columns, cautions, files, known, lineage_tables, story_tables
from lotroot.web.cells import Table
from lotroot.web.corrections import may_correct
from lotroot.web.emergency_words import emergency_pairs
from lotroot.web.frame import Who
from lotroot.web.run_tables import run_pairs, run_tables
from lotroot.web.told import in_words
from lotroot.web.tray import REPRINT

RECENT = 100
"""So many events are told; a tank that is years old has thousands."""
PICTURES = 2

CONTENT = {
    "carrier": "What is on it",
    "carrier was": "What was on it last",
    "run": "What it made",
    "shipment": "What is on it",
}

Pairs = list[tuple[str, Any]]


def values_of(connection: Connection, found: Who, told: Story) -> dict[str, Any]:
    """Everything the page shows."""
    words = Words(connection)
    words.learn([told.number.number[:11], *(part.lot.number for part in told.content)])
    lineage = _lineage(connection, told, words)
    return {
        "story": told,
        "number": told.number.number,
        "shown": shown(told.number.number),
        **_tables(told, words),
        **lineage,
        **_acts(found, told, lineage["goods"]),
        "tags": _tags(told),
        "facts": _facts(told, words) + emergency_pairs(connection, told.number.number),
        "source": _source(connection, told),
        "pictures": _pictures(connection, told),
        "cautions": cautions.sentences(_cautions(connection, told)),
    }


def _tables(told: Story, words: Words) -> dict[str, Any]:
    content = CONTENT.get(told.kind if told.content_now else f"{told.kind} was", "")
    made_here = told.lot is not None and not told.lot.source
    corrections = [one for one in told.told if one.correction]
    where = story_tables.where_table(told.where, words) if told.kind != "run" else None
    if where and told.source and told.source.due:
        where = where._replace(empty="It was not weighed or counted yet. Where it was put stands at the end.")
    return {
        "where": where,
        "content": story_tables.content_table(told.content, content, words) if content else None,
        "holds": story_tables.holds_table(told.holds),
        "made_from": story_tables.relatives_table(told.made_from, words, parents=True) if made_here else None,
        "made_into": story_tables.relatives_table(told.made_into, words, parents=False) if told.lot else None,
        "checks": story_tables.checks_table(told.checks),
        "labels": story_tables.labels_table(told.labels),
        "history": story_tables.history_table(told.told[-RECENT:], "Everything that happened to it"),
        "older": max(len(told.told) - RECENT, 0),
        "corrections": story_tables.history_table(corrections, "Put right later") if corrections else None,
        "runs": _runs(told, words),
    }


def _runs(told: Story, words: Words) -> list[dict[str, Any]]:
    """The run itself in full, or in short the runs that made it and that it went through."""
    if told.run is None and not told.through:
        return []
    if told.kind == "run" and told.run:
        return [{"title": "The run", "pairs": run_pairs(told.run)[1:], "tables": run_tables(told.run, words)}]
    made = [("The run that made it", told.run)] if told.run else []
    through = [("A run that it went through", run) for run in told.through]
    return [{"title": title, "pairs": run_pairs(run), "tables": []} for title, run in (*made, *through)]


def _lineage(connection: Connection, told: Story, words: Words) -> dict[str, Any]:
    """Sources and what became of it; nothing for what never was."""
    try:
        up, down = (trace(connection, told.number.number, way) for way in ("up", "down"))
    except Unknown:
        return {"lineage": None, "goods": []}
    above, below = in_words(connection, up, words), in_words(connection, down, words)
    tables: dict[str, Table] = {
        "sources": lineage_tables.sources_table(connection, above),
        "on_hand": lineage_tables.on_hand_table(below),
        "shipped": lineage_tables.shipped_table(below),
        "made": lineage_tables.made_table(below),
    }
    bases = [one.basis for one in (*up.lots, *down.lots)]
    bases += [one.basis for one in (*told.made_from, *told.made_into)]
    return {
        "lineage": {
            **tables,
            "above": any(one.depth for one in up.lots),
            "bounds_above": bound_columns.explained(one.bounds for one in up.lots if one.source or one.gap),
            "bounds_below": bound_columns.explained(
                [
                    *(one.bounds for one in down.lots),
                    *(one.bounds for one in down.on_hand),
                    *(one.bounds for one in down.shipments),
                ]
            ),
            "summary": lineage_tables.summary(up, down, words),
            "known": known.explained(bases),
        },
        "goods": _goods(told, up.asked),
    }


def _goods(told: Story, asked: Asked) -> list[tuple[str, str]]:
    """What an act on this page can be about: the code its form sends, and what it is called."""
    found = []
    for part in asked.parts:
        spans = [] if part.spans == (ALL,) else part.spans
        found += [
            (f"{part.lot.number}:{first}:{last}", _called(part.lot, first, last)) for first, last in spans
        ]
        if told.lot or not spans:
            found.append((f"{part.lot.number}:0:0", _called(part.lot, 0, 0)))
    return found


def _called(lot: Row[Any], first: int, last: int) -> str:
    return f"{items(first, last)} of {shown(lot.number)}" if first else f"all of {shown(lot.number)}"


def _acts(found: Who, told: Story, goods: Pairs) -> dict[str, Any]:
    """Which acts are offered, to this person and for what this is."""
    plant, is_lot = found.plant, told.lot is not None
    standing = not (told.lot and told.lot.voided)
    open_questions = [(str(one.question), one.reason) for one in told.questions if not one.settled]
    held = [
        (f"{one.hold}/{code}", f"{one.words}: {one.reason} ({one.items or called})")
        for one in told.holds
        for code, called in goods
        if code.startswith(one.lot.number)
    ]
    waiting = {one.lot.number for one in told.holds if one.kind in AWAITING}
    if told.kind == "run" and len(waiting) > 1:
        held.insert(0, (f"0/{told.number.number}", f"awaiting checks: all {len(waiting)} of this run"))
    return {
        "may": {
            "hold": standing and found.may(PlaceHold),
            "release": bool(held) and found.may(ReleaseHold),
            "check": standing and found.may(RecordCheck) and told.kind != "shipment",
            "correct": may_correct(found, told.kind),
            "settle": bool(open_questions) and found.may(SettleQuestion),
            "confirm": any(one.doubted for one in told.made_from) and found.may(ConfirmLinks),
            "print": standing and found.may(PrintAgain),
            "pad": standing and told.kind in ("lot", "item", "carrier") and found.may(AnswerWithPad),
            "certificate": told.source is not None and found.may(AddCertificate),
        },
        "held": held,
        "open_questions": open_questions,
        "ranges": is_lot and told.kind == "lot" and told.lot is not None and told.lot.items > 0,
        "hold_reasons": [(one.code, one.words) for one in plant.reasons_of("hold")] if plant else [],
        "release_reasons": [(one.code, one.words) for one in plant.reasons_of("release")] if plant else [],
        "reprint_reasons": [(one, one) for one in REPRINT],
    }


def _tags(told: Story) -> list[tuple[str, str]]:
    """How it stands, in one or two adjectives."""
    if told.lot and told.lot.voided:
        return [("taken back", "stop")]
    found = [(one.words, "stop") for one in told.holds[:1]]
    if any(not one.settled for one in told.questions):
        found.append(("in question", "plain"))
    gone = told.lot is not None and not told.where
    left = bool(told.where) and all(one.left for one in told.where)
    if told.source and told.source.due:
        return [*found, ("details due", "plain")]
    return found + ([("used up", "plain")] if gone else [("shipped", "plain")] if left else [])


def _facts(told: Story, words: Words) -> Pairs:
    lot = told.lot
    known = [f"{value} ({scheme})" for scheme, value in told.aliases if scheme != SUPPLIER]
    if lot is None:
        return [("Also known as", ", ".join(known))] if known else []
    is_item = told.kind == "item"
    whole, mass = ("The whole lot", "Mass of the whole lot") if is_item else ("Amount", "Mass")
    untold = told.source is not None and told.source.product_due
    unweighed = told.source is not None and told.source.due and not lot.amount.amount
    known_by = f"{lot.how}{words.typed(lot.typed_by)}"
    pairs: Pairs = [
        ("Kind", "" if untold else lot.kind),
        ("Product", "" if untold else lot.product),
        (whole, "" if unweighed else f"{lot.amount.shown}, {known_by}"),
        (mass, lot.mass.shown if lot.mass else ""),
        ("Weighs", told.weighs),
        ("Items", str(lot.items) if lot.items else ""),
        ("Cut list", told.cuts),
        ("Came to be", f"{lot.born.shown}, {lot.station.name}" if lot.station.name else lot.born.shown),
        ("Also known as", ", ".join(known)),
        ("From", {"received": "received", "before": "here before the system"}.get(lot.source, "")),
    ]
    return [(name, value) for name, value in pairs if value]


def _source(connection: Connection, told: Story) -> dict[str, Any] | None:
    """What the supplier's tag and papers say, and the files that were kept."""
    source = told.source
    if source is None:
        return None
    certificate = source.certificate
    kept = {
        digest: files.described(connection, digest)
        for digest in (certificate, source.photo)
        if len(digest) == 64
    }
    pairs: Pairs = [
        ("Supplier", source.supplier.name),
        ("Supplier's number", source.supplier_number),
        ("Heat", ", ".join(source.heats)),
        ("Grade", source.grade),
        ("Size", source.size),
        ("Paint batch", source.paint_batch),
        ("Their weight", source.mass_theirs.shown if source.mass_theirs else ""),
        ("Our order", source.order_number),
        ("Their delivery", source.delivery),
        ("Remark", source.remark),
        ("Details", "still to be told" if source.due else ""),
        ("Certificate", "to follow" if certificate == TO_FOLLOW else "" if certificate else "none"),
    ]
    return {
        "pairs": [(name, value) for name, value in pairs if value],
        "certificate": kept.get(certificate),
        "photo": kept.get(source.photo),
    }


def _pictures(connection: Connection, told: Story) -> list[dict[str, Any]]:
    """The labels printed last, as they look."""
    number = told.number.number
    serial = int(number[11:15]) if told.kind == "item" else 0
    rows = [
        row for row in labels_of(connection, number[:11]) if not serial or row.first <= serial <= row.last
    ]
    return [
        {
            "url": f"/labels/{row.event}.png?serial={serial or row.first}",
            "pdf": f"/labels/{row.event}.pdf",
            "words": items(serial or row.first, serial or row.first) or "its label",
        }
        for row in rows[: -PICTURES - 1 : -1]
    ]


def _cautions(connection: Connection, told: Story) -> list[str]:
    """The keys of the cautions that this page must show."""
    numbers = [told.number.number[:11]] if told.lot else [part.lot.number for part in told.content]
    run = told.run if told.kind == "run" else None
    fed = lots_numbered(connection, [one.lot.number for one in run.inputs]).values() if run else []
    keys = cautions.of_lots(lots_numbered(connection, numbers).values())
    if any(cautions.is_solution(lot) for lot in fed):
        keys += [*cautions.SOLUTION, cautions.CHARGE]
    if any(not one.confirmed for one in told.checks):
        keys.append(cautions.UNCONFIRMED)
    return keys
