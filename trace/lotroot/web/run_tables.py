"""What went into a run, what came out, and what happened in it: how does that stand in tables?"""

from collections.abc import Sequence

from lotroot.balance.reconciling import percent, permille
from lotroot.tracing.chapters import Loaded, Mark, Output, RunFacts, Scrap, Used
from lotroot.tracing.words import Moment, Words
from lotroot.web.balance_tables import SCRAP_KNOWN, balance_tables
from lotroot.web.cells import Table, amounts, column, link

STILL = "still on"


def run_pairs(run: RunFacts) -> list[tuple[str, object]]:
    """The facts of a run in a few words each."""
    pairs: list[tuple[str, object]] = [
        ("Run", link(run.run.number)),
        ("Process", run.process),
        ("For", run.product),
        ("Machine", run.station.name),
        ("Shift", run.shift),
        ("Opened", run.opened.shown),
        ("Closed", "taken back" if run.voided else run.closed.shown if run.closed else "still open"),
        ("Net uptake", run.uptake),
        ("Yield", "" if run.voided or run.closed is None else _yield(run)),
        ("People", ", ".join(person.name for person in run.people)),
        ("Tools", ", ".join(dict.fromkeys(use.thing.name for use in run.resources))),
        ("Weighed one by one", run.weighed),
    ]
    return [(name, value) for name, value in pairs if value]


def _yield(run: RunFacts) -> str:
    """How much of what each input used up is in what was made, input by input where there are several."""
    found = {}
    for role in dict.fromkeys(one.role for one in run.inputs):
        rows = [one for one in run.inputs if one.role == role]
        lots = {one.lot.number for one in rows}
        made = sum(one.taken.amount for one in rows)
        lost = sum(one.difference.amount for one in rows)
        lost += sum(one.amount.amount for one in run.scrap if one.lot.number in lots)
        if made + lost > 0:
            found[role] = f"{percent(permille(made, made + lost))} %"
    return next(iter(found.values())) if len(found) == 1 else ", ".join(map(" ".join, found.items()))


def run_tables(run: RunFacts, words: Words) -> list[Table]:
    """Everything that happened in a run; tables of what did not happen are left out."""
    found = [
        _inputs(run.inputs, words),
        _outputs(run.outputs, words),
        *balance_tables(run.balances, run.rests, words),
        _scrap(run.scrap, words),
        _marks(run.marks),
        _tools(run.resources),
    ]
    return [table for place, table in enumerate(found) if table.rows or place < 2]


def _inputs(rows: Sequence[Loaded], words: Words) -> Table:
    loaded = amounts([(one.amount.amount, one.amount.unit) for one in rows], words.plant)
    taken = amounts([(one.taken.amount, one.taken.unit) for one in rows], words.plant)
    missing = amounts([(one.difference.amount, one.difference.unit) for one in rows], words.plant)
    cells = [
        {
            "load": str(one.load),
            "lot": link(one.lot.number),
            "role": one.role,
            "payoff": one.payoff,
            "loaded": put_on,
            "taken": used,
            "difference": lost,
            "at": one.at.shown,
            "off": _off(one.ended, one.unloaded),
        }
        for one, put_on, used, lost in zip(rows, loaded.texts, taken.texts, missing.texts, strict=True)
    ]
    columns = [
        column("Load", "load", ""),
        column("Lot", "lot"),
        column("As", "role"),
        column("Payoff", "payoff"),
        column("Loaded", "loaded", loaded.unit),
        column("Used", "taken", taken.unit),
        column("Difference", "difference", missing.unit),
        column("Put on", "at"),
        column("Came off", "off"),
    ]
    return Table("What went in", columns, cells, "Nothing was loaded.")


def _off(ended: Moment | None, unloaded: Moment | None) -> str:
    if ended:
        return f"ran out {ended.shown}"
    return f"taken off {unloaded.shown}" if unloaded else STILL


def _outputs(rows: Sequence[Output], words: Words) -> Table:
    made = amounts([(one.amount.amount, one.amount.unit) for one in rows], words.plant)
    cells = [
        {
            "lot": link(one.lot.number),
            "items": one.items or "all",
            "amount": text,
            "basis": one.basis,
            "cuts": one.cuts,
            "began": one.began.shown,
            "ended": one.ended.shown,
            "person": one.person.name,
        }
        for one, text in zip(rows, made.texts, strict=True)
    ]
    cut = [column("Cut list", "cuts")] if any(one.cuts for one in rows) else []
    columns = [
        column("Lot", "lot"),
        column("Which", "items"),
        column("Amount", "amount", made.unit),
        *cut,
        column("How it is known", "basis"),
        column("From", "began"),
        column("To", "ended"),
        column("By", "person"),
    ]
    return Table("What came out", columns, cells, "Nothing was made yet.")


def _scrap(rows: Sequence[Scrap], words: Words) -> Table:
    lost = amounts([(one.amount.amount, one.amount.unit) for one in rows], words.plant)
    cells = [
        {
            "lot": link(one.lot.number),
            "amount": text,
            "known": _scrap_known(one),
            "reason": one.reason,
            "at": one.at.shown,
        }
        for one, text in zip(rows, lost.texts, strict=True)
    ]
    columns = [
        column("Of lot", "lot"),
        column("Scrap", "amount", lost.unit),
        column("How it is known", "known"),
        column("Why", "reason"),
        column("When", "at"),
    ]
    return Table("Scrap", columns, cells)


def _scrap_known(one: Scrap) -> str:
    if one.how != "weighed":
        return SCRAP_KNOWN.get(one.how, one.how)
    return f"weighed, {one.typed}" if one.typed else "weighed"


def _marks(rows: Sequence[Mark]) -> Table:
    cells = [
        {"at": one.at.shown, "what": one.words, "payoff": one.payoff, "person": one.person.name}
        for one in rows
    ]
    columns = [
        column("When", "at"),
        column("What", "what"),
        column("Payoff", "payoff"),
        column("By", "person"),
    ]
    return Table("What happened in it", columns, cells)


def _tools(rows: Sequence[Used]) -> Table:
    cells = [
        {
            "tool": one.thing.name,
            "since": one.since.shown,
            "until": one.until.shown if one.until else "to the end",
        }
        for one in rows
    ]
    columns = [column("Tool", "tool"), column("From", "since"), column("Until", "until")]
    return Table("Tools that were in", columns, cells)
