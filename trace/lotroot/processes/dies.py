"""How are the dies of a set, and what the plant allows a draft, read from their tables?"""

from decimal import ROUND_FLOOR, Decimal

from lotroot.errors import Unreadable
from lotroot.processes.tables import DECIMAL, Table
from lotroot.processes.working import WORN_PERCENT, Drafts
from lotroot.theory.drawing import MOST_DIES, heaviest_percent
from lotroot.theory.sizes import LEAST
from lotroot.theory.wire import diameter

MOST_IN_ALL = Decimal("99.9")
MOST_WORN = Decimal(20)  # a gauge and more; with as much a set would stand for its neighbour's wire
EACH_MM = 'sizes in mm in quotes from entry to finish, as ["4.90", "4.36"]'


def dies_of(table: Table) -> tuple[str, ...]:
    """`dies_mm` of [resource.CODE]; empty where it is not told. Each is smaller than the one before it."""
    dies = table.words("dies_mm", DECIMAL, EACH_MM)
    if len(dies) > MOST_DIES:
        raise table.refuse("dies_mm", f"{len(dies)} dies", f"at most {MOST_DIES}")
    before = ""
    for die in dies:
        try:
            diameter(Decimal(die), "die")
        except Unreadable as fault:
            fits = fault.expected.removeprefix("Expected ").rstrip(".")
            raise table.refuse("dies_mm", die, fits) from fault
        if before and Decimal(die) >= Decimal(before):
            raise table.refuse("dies_mm", die, f"less than the die before it, {before} mm")
        before = die
    return dies


def drafts_of(table: Table) -> Drafts | None:
    """[process.CODE.drafts], None where the plant sets no limits."""
    if not table.entries():
        return None
    ceiling = heaviest_percent().quantize(Decimal("0.1"), ROUND_FLOOR)
    most = _percent(table, "most_percent", LEAST, ceiling)
    if not most:
        raise table.refuse("most_percent", "", 'the most that one draft may reduce, as "30"')
    found = Drafts(
        most_percent=most,
        least_percent=_percent(table, "least_percent", Decimal(0), Decimal(most)) or "0",
        total_most_percent=_percent(table, "total_most_percent", Decimal(most), MOST_IN_ALL)
        or str(MOST_IN_ALL),
        checked=table.text("checked", ""),
        worn_percent=_percent(table, "worn_percent", LEAST, MOST_WORN) or WORN_PERCENT,
    )
    table.done()
    return found


def _percent(table: Table, key: str, low: Decimal, high: Decimal) -> str:
    """A percentage of the section from `low` to `high`; "" where the key is absent."""
    text = table.decimal(key) or ""
    if text and not low <= Decimal(text) <= high:
        raise table.refuse(key, text, f"from {low} to {high} %")
    return text
