"""What does a picture of mass say: in each node, of each node, and of each band?"""

from collections.abc import Iterable
from typing import NamedTuple

from lotroot.tracing.mass_flow import (
    BACK,
    END,
    EXCESS,
    GONE,
    GOODS,
    LOSS,
    MISSING,
    PALLET,
    RECEIVED,
    SCRAP,
    SHIPPED,
    SOURCE,
    STEP,
    STOCK,
    Band,
    Flow,
    Node,
)
from lotroot.tracing.words import Words

FROM = {RECEIVED: "received", STOCK: "from stock"}
NOW = {SHIPPED: "shipped", PALLET: "on a pallet", STOCK: "in stock", GONE: "used or gone since"}


class Line(NamedTuple):
    """A line of words, bold where it names a step or goods."""

    text: str
    bold: bool = False


def name_of(node: Node, words: Words) -> str:
    """What a node is called by itself: Wire drawing; Rod coil, from stock; Missing at wire drawing."""
    if node.part == STEP:
        return words.process(node.code)
    if node.part in (GOODS, SOURCE, END, BACK):
        kind = words.kind(node.code) if node.code else ""
        return ", ".join(text for text in (kind, _note(node)) if text)
    what = _loose(node, words)
    return f"{what[0].upper()}{what[1:]}, {words.process(node.at)}"


def lines_of(node: Node, found: Flow, words: Words) -> list[Line]:
    """What is written at a node: its name, its amount, and amounts that no other node tells."""
    amounts = found.amounts()
    amount = Line(words.amount(amounts[node.key], found.unit))
    if node.part == STEP:
        named = [Line(words.process(node.code), bold=True)]
    elif node.part in (GOODS, SOURCE) and node.code:
        named = [Line(words.kind(node.code), bold=True)]
        named += [Line(_note(node))] if node.part == SOURCE else []
    else:
        several = node.part == BACK and sum((one.part, one.at) == (BACK, node.at) for one in found.nodes) > 1
        named = [Line(f"{words.kind(node.code)} {_loose(node, words)}" if several else _loose(node, words))]
    return [*named, amount, *(_untold(node, found, words))]


def said_of(node: Node, found: Flow, words: Words) -> str:
    """All that the picture knows of a node, in one sentence."""
    amount = words.amount(found.amounts()[node.key], found.unit)
    nodes = {one.key: one for one in found.nodes}
    comes = [(nodes[band.start], band.amount) for band in found.bands if band.end == node.key]
    goes = [(nodes[band.end], band.amount) for band in found.bands if band.start == node.key]
    text = f"{name_of(node, words)}: {amount}"
    for way, some in (("from", comes), ("to", goes)):
        told = [f"{_short(one, words)} {words.amount(each, found.unit)}" for one, each in some]
        text += f"; {way} {', '.join(told)}" if told else ""
    return text


def said_of_band(band: Band, found: Flow, words: Words) -> str:
    """From what to what, and how much."""
    called = {one.key: name_of(one, words) for one in found.nodes}
    return f"{called[band.start]} to {called[band.end]}: {words.amount(band.amount, found.unit)}"


def _short(node: Node, words: Words) -> str:
    """A node named beside the one it hangs on."""
    named = node.part in (STEP, GOODS) or (node.part == SOURCE and node.code)
    return name_of(node, words) if named else _loose(node, words)


def _note(node: Node) -> str:
    """Where it comes from or stands, in words; how many are gathered."""
    if node.part == BACK:
        return "back to stock"
    return {SOURCE: FROM, END: NOW}.get(node.part, {}).get(node.note, node.note)


def _loose(node: Node, words: Words) -> str:
    """What hangs on a step or on goods, in the fewest words."""
    if node.part in (END, BACK):
        return _note(node)
    if node.part == SCRAP:
        return f"scrap: {words.reason(node.code)}" if node.code else f"scrap: {node.note}"
    if node.part == LOSS:
        process = words.plant.processes.get(node.code) if words.plant else None
        return f"loss: {process.loss}" if process and process.loss else "named loss"
    return {MISSING: "missing", EXCESS: "too much", SOURCE: node.note}[node.part]


def _untold(node: Node, found: Flow, words: Words) -> Iterable[Line]:
    """Bands that come in where the amount is told at neither end."""
    comes = [band for band in found.bands if band.end == node.key]
    goes = [band.start for band in found.bands]
    if len(comes) < 2:
        return
    nodes = {one.key: one for one in found.nodes}
    for band in comes:
        if goes.count(band.start) > 1:
            start = nodes[band.start]
            name = words.process(start.code) if start.part == STEP else words.kind(start.code)
            yield Line(f"of {name}: {words.amount(band.amount, found.unit)}")
