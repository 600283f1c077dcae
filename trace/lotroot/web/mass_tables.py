"""How do the numbers of a day's mass stand in tables and files?"""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Row

from lotroot.tracing.mass_days import MOST_RUNS
from lotroot.tracing.mass_flow import Flow
from lotroot.tracing.words import Words
from lotroot.web.cells import Table, amounts, column, link
from lotroot.web.mass_words import name_of

HEADS = {
    "loaded": "Loaded",
    "returned": "Came off again",
    "good": "Goods",
    "by_product": "By-products",
    "scrap": "Scrap",
    "loss": "Loss",
    "difference": "Difference",
}
ALWAYS = ("loaded", "good", "difference")
"""Columns shown though they hold nothing."""


def band_table(found: Flow, title: str, words: Words) -> Table:
    """Every band of a picture: from what, to what, how much."""
    called = {node.key: name_of(node, words) for node in found.nodes}
    much = amounts([(band.amount, found.unit) for band in found.bands], words.plant)
    rows = [
        {"start": called[band.start], "end": called[band.end], "amount": amount}
        for band, amount in zip(found.bands, much.texts, strict=True)
    ]
    columns = [column("From", "start"), column("To", "end"), column("Amount", "amount", much.unit)]
    return Table(f"The same as a table, {title}", columns, rows)


def rows_of(found: Flow, words: Words) -> list[Mapping[str, Any]]:
    """Every band as a row of the file."""
    nodes = {node.key: node for node in found.nodes}
    return [
        {
            "unit": found.unit,
            "from": name_of(nodes[band.start], words),
            "to": name_of(nodes[band.end], words),
            "from_code": band.start,
            "to_code": band.end,
            "what": nodes[band.end].part,
            "amount": band.amount,
        }
        for band in found.bands
    ]


def run_table(name: str, some: Sequence[Row[Any]], words: Words) -> Table:
    """The runs behind a node, last closed first."""
    shown = some[:MOST_RUNS]
    figures = [one for one in HEADS if one in ALWAYS or any(getattr(row, one) for row in shown)]
    columns = [amounts([(getattr(row, one), row.unit) for row in shown], words.plant) for one in figures]
    rows = [
        {
            "run": link(row.run),
            "process": words.process(row.process),
            "product": words.product(row.product) if row.product else "",
            "station": words.called(row.station),
            "closed": words.time(row.closed),
            **{one: each.texts[place] for one, each in zip(figures, columns, strict=True)},
            "verdict": row.verdict,
        }
        for place, row in enumerate(shown)
    ]
    told = [
        column("Run", "run"),
        column("Step", "process"),
        column("For", "product"),
        column("Machine", "station"),
        column("Closed", "closed"),
        *(column(HEADS[one], one, each.unit) for one, each in zip(figures, columns, strict=True)),
        column("Judged", "verdict"),
    ]
    note = f"Only the last {MOST_RUNS} are shown; choose fewer days." if len(some) > MOST_RUNS else ""
    return Table(f"Runs behind: {name}", told, rows, "No run.", note)
