"""How does a closed run add up, line by line, and how is each figure known?"""

from collections.abc import Iterator

from lotroot.balance.reconciling import percent, permille
from lotroot.quantities import MINUS
from lotroot.reconciliation.facts import StreamBalance
from lotroot.reconciliation.sides import THEORY
from lotroot.tracing.words import Words
from lotroot.web.cells import Table, amounts, column

KNOWN_BY = {
    "weighed": "weighed",
    "counted": "counted, each at its nominal weight",
    "calculated": "counted, by theory",
    THEORY: "by theory, which is off by less than the scale here",
    "recorded": "as recorded",
}
SCRAP_KNOWN = {"apportioned": "apportioned from a bin"}
OTHER = "Also {amount} {which}, which may be off by {off}."


def balance_tables(balances: tuple[StreamBalance, ...], loss: str, words: Words) -> list[Table]:
    """One table a stream of which anything was used; `loss` is what the process calls its named loss."""
    return [_table(one, loss, words) for one in balances if one.loaded != one.returned]


def _table(one: StreamBalance, loss: str, words: Words) -> Table:
    used = one.loaded - one.returned
    lines = list(_lines(one, loss, words))
    shown = amounts([(amount, one.unit) for _, amount, _ in lines], words.plant)
    rows = [
        {"line": line, "amount": text, "part": _part(amount, used), "known": known}
        for (line, amount, known), text in zip(lines, shown.texts, strict=True)
    ]
    columns = [
        column("", "line"),
        column("Amount", "amount", shown.unit),
        column("Of what was used", "part", "%"),
        column("How it is known", "known"),
    ]
    return Table(f"How it adds up: {one.stream}", columns, rows, note=_note(one, words))


def _lines(one: StreamBalance, loss: str, words: Words) -> Iterator[tuple[str, int, str]]:
    yield "Loaded", one.loaded, ""
    if one.returned:
        yield "Came off again", -one.returned, ""
    yield "Goods", one.good, KNOWN_BY.get(one.basis, one.basis)
    if one.by_product:
        yield "By-products", one.by_product, ""
    for part in one.thrown:
        yield f"Scrap: {words.reason(part.reason)}", part.amount, SCRAP_KNOWN.get(part.how, part.how)
    if one.loss:
        yield f"Loss: {loss or 'named'}", one.loss, "the plant's own figure"
    yield "Difference", one.difference, one.verdict


def _part(amount: int, used: int) -> str:
    if used <= 0:
        return ""
    return f"{MINUS if amount < 0 else ''}{percent(permille(abs(amount), used))}"


def _note(one: StreamBalance, words: Words) -> str:
    off, accepted = (words.amount(amount, one.unit) for amount in (one.spread, one.tolerance))
    said = f"May be off by {off}; the plant accepts {accepted}."
    if not one.other_good:
        return said
    which = "by the record" if one.basis == THEORY else "by theory"
    more = OTHER.format(
        amount=words.amount(one.other_good, one.unit),
        which=which,
        off=words.amount(one.other_spread, one.unit),
    )
    return f"{said} {more}"
