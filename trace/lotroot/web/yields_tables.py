"""How do yields stand in tables: a line a value, units and streams apart, each figure leading to its runs?"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any

from markupsafe import Markup

from lotroot.balance.reconciling import percent, permille
from lotroot.quantities import MINUS
from lotroot.reconciliation.sums import OF_SOURCES, Figures
from lotroot.reconciliation.yields import Line
from lotroot.tracing.words import Words
from lotroot.web.answers import count
from lotroot.web.cells import Row, Table, amounts, column
from lotroot.web.yields_asked import NAMES, Question, address, narrowed, value_words

RUNS = "/yields/runs"
MOST = 60
"""Lines of a table; the files have all."""
MEANING = (
    "Yield is goods and by-products of what was used; used is what went in and did not come off again as it "
    "was. A difference above zero is missing, below zero too much. Beyond: runs whose difference is beyond "
    "tolerance."
)
STEPS = "All adds up every step: wire that is drawn and then made into nails is used twice."
OF_PARTS = (
    "By supplier and heat: what was made of theirs, by-products among it, by the loads of each run; a loss "
    "that the process names is still in the difference here."
)
_AMOUNTS = ("used", "good", "by_product", "scrap", "loss", "difference")
_HEADS = ("Used", "Goods", "By-products", "Scrap", "Loss", "Difference")
ALL = "All"
ARROW = " → "
MAY_LACK = ("by_product", "scrap", "loss", "beyond", "stream")


def linked(text: str, to: str) -> Markup | str:
    """A figure that leads somewhere; nothing stays nothing."""
    return Markup('<a href="{}">{}</a>').format(to, text) if text else ""


def part(amount: int, whole: int) -> str:
    """A signed part in tenths of a percent; nothing of nothing."""
    return f"{MINUS if amount < 0 else ''}{percent(permille(abs(amount), whole))}" if whole > 0 else ""


def yield_of(figures: Figures) -> str:
    """What was made of what was used, in percent."""
    return part(figures.good + figures.by_product, figures.used)


def yield_tables(found: Sequence[Line], asked: Question, words: Words) -> list[Table]:
    """One table for each stream and unit."""
    sorts = [list(lines) for _, lines in groupby(found, key=_apart)]
    sorts.sort(key=lambda lines: -sum(one.figures.runs for one in lines))
    tables = [_table(lines, asked, words) for lines in sorts]
    empty = Table(f"Yield by {NAMES[asked.by].lower()}", [], [], "No run was closed in this time.")
    last = (tables or [empty])[-1]
    steps = STEPS if len(found) > 1 and "process" not in asked.asked.only else ""
    notes = (last.note, MEANING, OF_PARTS if asked.by in OF_SOURCES else "", steps)
    return [*tables[:-1], last._replace(note=" ".join(filter(None, notes)))]


def _apart(one: Line) -> tuple[str, str]:
    return one.unit, one.stream


def _table(lines: list[Line], asked: Question, words: Words) -> Table:
    shown = lines[:MOST]
    total = _total(one.figures for one in lines)
    rows = [one.figures for one in shown] + ([total] if len(lines) > 1 else [])
    unit = lines[0].unit
    texts = {name: amounts([(getattr(one, name), unit) for one in rows], words.plant) for name in _AMOUNTS}
    cells = [
        _cells(one.figures, {name: texts[name].texts[place] for name in _AMOUNTS}, asked, one.value)
        | {"value": linked(value_words(words, asked.by, one.value), _closer(asked, one.value))}
        for place, one in enumerate(shown)
    ]
    if len(lines) > 1:
        last = {name: texts[name].texts[-1] for name in _AMOUNTS}
        cells.append(_cells(total, last, asked, None) | {"value": ALL})
    heads = [column(head, name, texts[name].unit) for head, name in zip(_HEADS, _AMOUNTS, strict=True)]
    more = f"{count(len(lines) - MOST, 'further line')} in the file." if len(lines) > MOST else ""
    columns = [
        column(NAMES[asked.by], "value"),
        column("Runs", "runs", ""),
        *heads,
        column("Yield", "yield", "%"),
        column("Difference", "off", "%"),
        column("Beyond", "beyond", ""),
    ]
    title = f"Yield by {NAMES[asked.by].lower()}: {lines[0].stream}"
    return Table(title, with_something(columns, cells), cells, note=more)


def with_something(columns: Sequence[Mapping[str, Any]], rows: Sequence[Row]) -> list[Mapping[str, Any]]:
    """The columns without those of by-products, scrap, loss and the like in which there is nothing."""
    return [one for one in columns if one["key"] not in MAY_LACK or any(row[one["key"]] for row in rows)]


def _total(some: Iterable[Figures]) -> Figures:
    found = Figures()
    for one in some:
        found = found.plus(one)
    return found


def _closer(asked: Question, value: str) -> str:
    """A process by product, anything else by process: the next thing one wants to know of it."""
    by = {"process": "product", "heat": "process"}.get(asked.by, "process")
    return narrowed("/yields", asked, asked.by, value, by=by)


def _cells(figures: Figures, texts: dict[str, str], asked: Question, value: str | None) -> dict[str, Any]:
    """A row's figures; a run that is of several heats counts once for each, so there all runs are no sum."""
    runs = address(RUNS, asked) if value is None else narrowed(RUNS, asked, asked.by, value)
    counted = value is not None or asked.by not in OF_SOURCES
    beyond = str(figures.beyond) if figures.beyond and counted else ""
    return {
        "runs": linked(str(figures.runs) if counted else "", runs),
        **{name: linked(texts[name], runs) if getattr(figures, name) else "" for name in _AMOUNTS},
        "yield": yield_of(figures),
        "off": part(figures.difference, figures.used),
        "beyond": linked(beyond, f"{runs}&beyond=1"),
    }


def changed_tables(then: Sequence[Line], now: Sequence[Line], asked: Question, words: Words) -> list[Table]:
    """What each value came to as known then, and what now, where they differ."""
    before = {(one.value, one.stream, one.unit): one.figures for one in then}
    after = {(one.value, one.stream, one.unit): one.figures for one in now}
    keys = [key for key in {**before, **after} if before.get(key) != after.get(key)]
    rows = [
        _changed(key, (before.get(key, Figures()), after.get(key, Figures())), asked, words)
        for key in keys[:MOST]
    ]
    heads = [column(NAMES[asked.by], "value"), column("Of", "stream")]
    pairs = (
        ("Runs", "runs"),
        ("Used", "used"),
        ("Made", "made"),
        ("Scrap", "scrap"),
        ("Difference", "difference"),
        ("Yield, %", "yield"),
    )
    heads += [
        column(f"{head}: then → now", name, "")
        for head, name in pairs
        if name in ("used", "yield") or any(ARROW in row[name] for row in rows)
    ]
    note = "" if not rows else "Made is goods and by-products. A figure that did not change stands once."
    return [Table("What has changed since", heads, rows, "Nothing has changed since.", note)]


def _changed(
    key: tuple[str, str, str], both: tuple[Figures, Figures], asked: Question, words: Words
) -> dict[str, Any]:
    value, stream, unit = key
    to = narrowed("/yields/changes", asked, asked.by, value) if asked.known else ""

    def pair(name: str) -> str:
        then, now = (_amount(one, name) for one in both)
        return _two(words.amount(then, unit), words.amount(now, unit))

    return {
        "value": linked(value_words(words, asked.by, value), to)
        if to
        else value_words(words, asked.by, value),
        "stream": stream,
        "runs": _two(str(both[0].runs), str(both[1].runs)),
        **{name: pair(name) for name in ("used", "made", "scrap", "difference")},
        "yield": _two(*(yield_of(one) for one in both)),
    }


def _amount(figures: Figures, name: str) -> int:
    return figures.good + figures.by_product if name == "made" else int(getattr(figures, name))


def _two(then: str, now: str) -> str:
    """Both below each other where they differ: side by side, five pairs are wider than a page."""
    if then == now:
        return now
    return Markup("{}{}<br>{}").format(then or "none", ARROW, now or "none")
