"""How does the story of a number stand in tables: where it is, what made it, what was checked?"""

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from markupsafe import Markup

from lotroot.quality.facts import FAIL, PASS
from lotroot.quality.judging import in_words
from lotroot.tracing.chapters import (
    CheckFacts,
    Content,
    HoldFacts,
    LabelFacts,
    Relative,
    Whereabouts,
)
from lotroot.tracing.telling import Told
from lotroot.tracing.words import Quantity, Words
from lotroot.web.cells import Column, Table, amounts, column, link, tag, together

VERDICTS = {PASS: ("pass", "good"), FAIL: ("fail", "stop")}
CONFIDENCE = {
    "memory": "from memory, not confirmed",
    "sourced": "published",
    "cross-checked": "published, two agree",
    "ours": "our own rule",
    "plant": "the plant's own",
}
"""How far limits are to be trusted, in words (DESIGN.md section 11)."""


def where_table(rows: Sequence[Whereabouts], words: Words) -> Table:
    """Where it is now."""
    standing = _column([one.amount for one in rows], words)
    items = any(one.items for one in rows)
    columns = [
        column("Where", "where"),
        *([column("Which", "items")] if items else []),
        column("Amount", "amount", standing.unit),
    ]
    cells = [
        {"where": place_of(one), "items": one.items or "all", "amount": text}
        for one, text in zip(rows, standing.texts, strict=True)
    ]
    return Table(
        "Where it is now", columns, cells, "It stands nowhere: it was used up, emptied or taken back."
    )


def place_of(one: Whereabouts) -> Markup:
    """Where goods are, with the carrier they are on and the shipment they left with."""
    parts: list[Markup | str] = []
    if one.carrier:
        parts.append(together(["on", link(one.carrier.number, one.carrier.name)]))
    if one.place:
        parts.append(one.place.name)
    if one.shipment and one.customer:
        left = "left with" if one.left else "on"
        parts.append(together([left, link(one.shipment.number), f"to {one.customer.name}"]))
    return together(parts, ", ") or Markup("")


def content_table(rows: Sequence[Content], caption: str, words: Words) -> Table:
    """What is on a carrier or shipment, or what a run made."""
    shown = _column([one.amount for one in rows], words)
    cells = [
        {
            "lot": link(one.lot.number),
            "product": one.product,
            "items": one.items or "all",
            "amount": text,
        }
        for one, text in zip(rows, shown.texts, strict=True)
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column("Which", "items"),
        column("Amount", "amount", shown.unit),
    ]
    return Table(caption, columns, cells, "Nothing.")


def relatives_table(rows: Sequence[Relative], words: Words, *, parents: bool) -> Table:
    """The links to what a lot was made of, or to what was made of it."""
    taken = _column([one.taken for one in rows], words)
    cells = [
        {
            "lot": together([link(one.lot.number), tag("doubted") if one.doubted else ""]),
            "product": together([one.product, f"(as {one.role})" if one.role else ""]),
            "taken": text,
            "stretch": one.stretch or "no known stretch",
            "made": one.made or "all",
            "basis": one.basis if one.taken.amount else f"{one.basis}: it may hold some",
            "run": link(one.run),
        }
        for one, text in zip(rows, taken.texts, strict=True)
    ]
    given, which, into = (
        ("Gave", "Which part of it", "Into which part of this")
        if parents
        else ("Took of this", "Which part of this", "Which part of it")
    )
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column(given, "taken", taken.unit),
        column(which, "stretch"),
        column(into, "made"),
        column("How it is known", "basis"),
        column("In run", "run"),
    ]
    caption = "Made from" if parents else "Made into"
    empty = "Nothing here: it came from outside." if parents else "Nothing was made of it yet."
    return Table(caption, columns, cells, empty)


def checks_table(rows: Sequence[CheckFacts]) -> Table:
    """Every check with its limits, where they are from and how far they are to be trusted."""
    columns = [
        column("Check", "what"),
        column("On", "subject"),
        column("Read", "read"),
        column("Verdict", "verdict"),
        column("Good is", "limits"),
        column("Limits from", "source"),
        column("By", "by"),
        column("When", "when"),
    ]
    return Table("Checks", columns, [check_cells(one) for one in rows], "No check is recorded.")


def brief_checks_table(rows: Sequence[CheckFacts], caption: str) -> Table:
    """The same for a hand-held: what was read, the verdict, and what it was judged by."""
    cells = [check_cells(one) for one in rows]
    for cell in cells:
        cell["judged"] = (
            together([cell["limits"], cell["source"]], ": ") if cell["source"] else cell["limits"]
        )
    columns = [
        column("Check", "what"),
        column("Read", "read"),
        column("Verdict", "verdict"),
        column("Good is", "judged"),
        column("When", "when"),
    ]
    return Table(caption, columns, cells, "No check is recorded.")


def check_cells(one: CheckFacts) -> dict[str, Any]:
    """One check as a row of cells."""
    look = VERDICTS.get(one.verdict, (one.verdict, "plain"))
    doubt = "" if one.confirmed else tag("limits not confirmed")
    with_what = f"with {one.instrument.name}" if one.instrument.name else ""
    limits = in_words(one.low or None, one.high or None, one.unit)
    return {
        "what": one.characteristic,
        "subject": link(one.subject.number, one.subject.name),
        "read": ", ".join(part for part in (reading(one), with_what, one.remark) if part),
        "verdict": together([tag(*look), doubt]),
        "limits": limits or "no limit given",
        "source": trust(one) if limits else "",
        "by": one.person.name,
        "when": one.at.shown,
    }


def trust(one: CheckFacts) -> str:
    """Where limits are from, and how far they are to be trusted."""
    words = one.stood or CONFIDENCE.get(one.confidence, one.confidence)
    if "memory" in one.source and not one.confirmed:
        words = "not confirmed"
    return f"{one.source} ({words})" if one.source else words


def reading(one: CheckFacts) -> str:
    """What was read, or how many of how many were not good."""
    if one.count:
        return f"{one.found} of {one.count} not good"
    mean = f" (mean {_mean(one.readings)})" if len(one.readings) > 1 else ""
    return f"{'; '.join(one.readings)} {one.unit}{mean}".strip()


def _mean(readings: Sequence[str]) -> str:
    """The mean of some readings, with one decimal more than the finest of them."""
    try:
        values = [Decimal(text) for text in readings]
    except InvalidOperation:
        return "?"
    places = max(-int(value.as_tuple().exponent) for value in values) + 1
    return f"{sum(values) / Decimal(len(values)):.{max(places, 0)}f}"


def holds_table(rows: Sequence[HoldFacts]) -> Table:
    """The holds that reach it, and where each comes from."""
    cells = [
        {
            "kind": tag(one.words, "stop"),
            "reason": one.reason,
            "lot": link(one.lot.number),
            "root": one.items or ("itself" if one.root.number == one.lot.number else link(one.root.number)),
            "at": one.at.shown,
        }
        for one in rows
    ]
    columns = [
        column("It is", "kind"),
        column("Why", "reason"),
        column("What is held", "lot"),
        column("Held through", "root"),
        column("Since", "at"),
    ]
    return Table("Holds", columns, cells, "No hold reaches it.")


def labels_table(rows: Sequence[LabelFacts]) -> Table:
    """Every label that was printed, and whether it was seen on the goods."""
    cells = [
        {
            "at": one.at.shown,
            "which": one.items or "its own",
            "copy": str(one.copy),
            "seen": tag(f"seen {one.proved.shown}", "good") if one.proved else tag("not scanned yet"),
        }
        for one in rows
    ]
    columns = [
        column("Printed", "at"),
        column("Label", "which"),
        column("Copy", "copy", ""),
        column("On the goods", "seen"),
    ]
    return Table("Labels", columns, cells, "No label was printed yet.")


def history_table(rows: Sequence[Told], caption: str) -> Table:
    """What happened, oldest first, in plain sentences."""
    cells = [
        {
            "when": one.when.shown,
            "what": together([one.sentence, *_marks(one)]),
            "who": _who(one),
            "station": one.station.name,
        }
        for one in rows
    ]
    columns = [
        column("When", "when"),
        column("What happened", "what"),
        column("Who", "who"),
        column("Where", "station"),
    ]
    return Table(caption, columns, cells, "Nothing is recorded.")


def _marks(one: Told) -> list[Markup | str]:
    late = tag(f"entered {one.basis}") if one.basis != "at once" else ""
    why = f"Reason: {one.reason}." if one.reason else ""
    return [tag("correction") if one.correction else "", late, why]


def _who(one: Told) -> str:
    if not one.person.name:
        return "the house itself"
    return f"{one.person.name}, with {one.supervisor.name}" if one.supervisor.name else one.person.name


def _column(some: Sequence[Quantity], words: Words) -> Column:
    return amounts([(one.amount, one.unit) for one in some], words.plant)
