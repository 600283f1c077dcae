"""How does a closed run add up, line by line, and how is each figure known?"""

from collections.abc import Iterator

from lotroot.balance.reconciling import percent, permille
from lotroot.quantities import MINUS
from lotroot.reconciliation.facts import StreamBalance
from lotroot.reconciliation.sides import THEORY
from lotroot.tracing.chapters import Rests
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


def balance_tables(balances: tuple[StreamBalance, ...], rests: Rests, words: Words) -> list[Table]:
    """One table a stream of which anything was used or made; `rests` says whose figures they are."""
    return [_table(one, rests, words) for one in balances if one.loaded != one.returned or one.difference]


def _table(one: StreamBalance, rests: Rests, words: Words) -> Table:
    used = one.loaded - one.returned
    lines = list(_lines(one, rests, words))
    shown = amounts([(amount, one.unit) for _, amount, _ in lines], words.plant)
    rows = [
        {"line": line, "amount": text, "part": _part(amount, used), "known": known}
        for (line, amount, known), text in zip(lines, shown.texts, strict=True)
    ]
    columns = [
        column("What", "line"),
        column("Amount", "amount", shown.unit),
        column("Of what was used", "part", "%"),
        column("How it is known", "known"),
    ]
    return Table(f"How it adds up: {one.stream}", columns, rows, note=_note(one, rests, words))


def _lines(one: StreamBalance, rests: Rests, words: Words) -> Iterator[tuple[str, int, str]]:
    yield "Loaded", one.loaded, ""
    if one.returned:
        yield "Came off again", -one.returned, _remainder(one, words)
    yield "Goods", one.good, KNOWN_BY.get(one.basis, one.basis)
    if one.by_product:
        yield "By-products", one.by_product, ""
    for part in one.thrown:
        yield f"Scrap: {words.reason(part.reason)}", part.amount, SCRAP_KNOWN.get(part.how, part.how)
    if one.loss or (rests.loss_known and one.stream == rests.stream):
        yield f"Loss: {rests.loss or 'named'}", one.loss, rests.loss_known
    yield "Difference", one.difference, one.verdict


def _remainder(one: StreamBalance, words: Words) -> str:
    """What came off and was not weighed leaves no difference: it says so, lest the run look exact."""
    if one.reckoned == one.returned:
        return "reckoned, not weighed: so nothing can be missing"
    part = words.amount(one.reckoned, one.unit)
    return f"weighed, but for {part} that was reckoned" if one.reckoned else "weighed"


def _part(amount: int, used: int) -> str:
    if used <= 0:
        return ""
    return f"{MINUS if amount < 0 else ''}{percent(permille(abs(amount), used))}"


def _note(one: StreamBalance, rests: Rests, words: Words) -> str:
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
    theory = f" By theory is {rests.theory_known}." if rests.theory_known else ""
    return f"{said} {more}{theory}"
