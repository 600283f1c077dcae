"""What went into a closed run and what became of it, one stream at a time, as its balance wants it?"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.balance.happenings import Happening, Load, Made, Scrapped, Unloaded
from lotroot.balance.reconciling import Known, Sides, chosen, combined
from lotroot.factors.standing import metre_mg
from lotroot.genealogy.walks import lots_numbered
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Plant, Process, Product
from lotroot.production.history import Streams, streams_of
from lotroot.production.runs import Run
from lotroot.reconciliation.facts import ScrapBalance, SourceBalance
from lotroot.reconciliation.origins import origin_of
from lotroot.reconciliation.spreads import WEIGHED, Reading, spread

THEORY = "theory"
RECKONED = "calculated"
"""How a remainder is known that nobody weighed: what was loaded less what was taken and scrapped."""


class Told(NamedTuple):
    """One stream of a run: its sides with the goods by the better way of knowing, and its parts.

    `reckoned` of what came off again was not weighed; `unseen` is what was used of those loads: it adds up by
    itself, whatever was lost of it.
    """

    sides: Sides
    reckoned: int
    unseen: int
    spread: int
    best: Known
    other: Known | None
    sources: tuple[SourceBalance, ...]
    thrown: tuple[ScrapBalance, ...]


class _Asked(NamedTuple):
    """One stream of one run, with what reading it takes."""

    connection: Connection
    run: Run
    plant: Plant
    process: Process
    stream: str
    made: dict[int, int]
    code: Callable[[str], str]
    lots: Mapping[str, Row[Any]]
    metre: Callable[[Product], int]

    @property
    def unit(self) -> str:
        return self.process.streams[self.stream]

    @property
    def loads(self) -> list[Row[Any]]:
        return [one for one in self.run.inputs if one.stream == self.stream]

    def outputs(self, *, by_product: bool) -> list[Row[Any]]:
        mine = [one for one in self.run.outputs if one.seq in self.made]
        return [one for one in mine if _is_by_product(self.process, one.output) == by_product]


def told(connection: Connection, run: Run) -> tuple[Streams, dict[str, Told]]:
    """A run and every stream of it that was loaded or made in, by the plant it was opened under."""
    streams = streams_of(connection, run)
    code, metre = _codes(connection), _metres(connection)
    # All of them at once: a run of 400 outputs would look up 400 lots one by one.
    lots = lots_numbered(connection, [one.lot for one in (*run.inputs, *run.outputs)])
    found = {}
    for stream, happenings in streams.happenings.items():
        if any(isinstance(one, Load) or (isinstance(one, Made) and one.amount) for one in happenings):
            made = {one.seq: one.amount for one in happenings if isinstance(one, Made)}
            asked = _Asked(connection, run, streams.plant, streams.process, stream, made, code, lots, metre)
            found[stream] = _told(asked, happenings)
    return streams, found


def _told(asked: _Asked, happenings: Sequence[Happening]) -> Told:
    best, other = _ways(asked)
    sides = Sides(
        loaded=sum(one.amount for one in happenings if isinstance(one, Load)),
        returned=sum(one.remainder for one in happenings if isinstance(one, Unloaded)),
        good=best.amount,
        by_product=sum(asked.made[one.seq] for one in asked.outputs(by_product=True)),
        scrap=sum(one.amount for one in happenings if isinstance(one, Scrapped)),
    )
    readings = [*_loaded(asked), *(_reading(asked, one) for one in asked.outputs(by_product=True))]
    off = combined([(1, spread(asked.plant, asked.unit, readings)), (1, best.spread)], ())
    guessed = [one for one in asked.loads if one.left_how == RECKONED]
    reckoned = sum(one.remainder for one in guessed)
    unseen = sum(one.amount for one in guessed) - reckoned
    return Told(sides, reckoned, unseen, off, best, other, _sources(asked), _thrown(asked))


def _codes(connection: Connection) -> Callable[[str], str]:
    known: dict[str, str] = {"": ""}

    def code(station: str) -> str:
        if station not in known:
            row = thing_or_none(connection, station)
            known[station] = str(row.code) if row else ""
        return known[station]

    return code


def _metres(connection: Connection) -> Callable[[Product], int]:
    """What a metre of a product weighs in mg, asked once a product: a run may have hundreds of outputs."""
    known: dict[str, int] = {}

    def metre(product: Product) -> int:
        if product.code not in known:
            known[product.code] = metre_mg(connection, product.code, product.mass_per_metre_mg)
        return known[product.code]

    return metre


def _is_by_product(process: Process, output: str) -> bool:
    found = process.output(output)
    return found is not None and found.by_product


def _loaded(asked: _Asked) -> Iterator[Reading]:
    """What went in, as the lots tell it, less what came off again: the part that stayed is off as much."""
    for load in asked.loads:
        row = asked.lots[load.lot]
        yield Reading(load.amount, row.how, asked.code(row.station))
        if load.unloaded_at is not None and load.remainder:
            yield Reading(0, WEIGHED, asked.code(asked.run.row.station))


def _reading(asked: _Asked, output: Row[Any]) -> Reading:
    found = asked.process.output(output.output)
    one_by_one = found is not None and found.as_ == "item" and "weight" in found.asks
    times = output.last - output.first + 1 if one_by_one and output.first else 1
    return Reading(asked.made[output.seq], output.basis, asked.code(asked.run.row.station), times)


def _ways(asked: _Asked) -> tuple[Known, Known | None]:
    """What was made, by the record and, where every output has one, by theory; the better one first."""
    goods = asked.outputs(by_product=False)
    readings = [_reading(asked, one) for one in goods]
    hows = {one.how for one in readings}
    recorded = Known(
        hows.pop() if len(hows) == 1 else "recorded",
        sum(one.amount for one in readings),
        spread(asked.plant, asked.unit, readings),
    )
    theory = [_theory(asked, one) for one in goods]
    if not goods or None in theory or recorded.basis == "calculated":
        return recorded, None
    total = sum(amount for amount in theory if amount is not None)
    reckoned = Known(THEORY, total, spread(asked.plant, asked.unit, [Reading(total, "calculated", "")]))
    best = chosen((recorded, reckoned))
    return best, reckoned if best is recorded else recorded


def _theory(asked: _Asked, output: Row[Any]) -> int | None:
    """What an output should weigh in g by its pieces or its length; None where nothing says."""
    lot = asked.lots[output.lot]
    product = asked.plant.products.get(lot.product)
    if product is None or asked.unit != "g" or product.parts_permille:
        return None
    if lot.unit == "pcs" and product.mass_per_piece_mg:
        return int(output.own * product.mass_per_piece_mg // 1000)
    items = output.last - output.first + 1 if output.first else 0
    if items and product.length_mm and product.mass_per_metre_mg:
        return int(items * product.length_mm * asked.metre(product) // 1_000_000)
    return None


def _sources(asked: _Asked) -> tuple[SourceBalance, ...]:
    """What each role used up by supplier and heat, in the stream's unit, in the order they were loaded.

    What was made with nothing loaded is of no known one.
    """
    if not asked.loads:
        made = sum(asked.made[one.seq] for one in asked.run.outputs if one.seq in asked.made)
        return (SourceBalance("", "", "", 0, taken=made, difference=-made),)
    found: dict[tuple[str, str, str], Counter[str]] = {}
    for load in asked.loads:
        origin = origin_of(asked.connection, load.lot, asked.stream)
        parts = found.setdefault((load.role, *origin), Counter())
        scrap = sum(one.amount for one in asked.run.scrap if one.load == load.load)
        gone = _in_stream(load, load.taken)
        remainder = load.remainder if load.unloaded_at is not None else 0
        parts["loaded"] += load.amount
        parts["returned"] += remainder
        parts["taken"] += gone
        parts["scrap"] += scrap
        parts["difference"] += load.amount - remainder - gone - scrap
    names = ("loaded", "returned", "taken", "scrap", "difference")
    return tuple(SourceBalance(*of, *(parts[name] for name in names)) for of, parts in found.items())


def _in_stream(load: Row[Any], own: int) -> int:
    """An amount in the lot's own unit in that of the stream, to the nearest."""
    if load.amount == load.own or not load.own:
        return own
    return int((2 * own * load.amount + load.own) // (2 * load.own))


def _thrown(asked: _Asked) -> tuple[ScrapBalance, ...]:
    mine = {one.load for one in asked.loads}
    found: Counter[tuple[str, str]] = Counter()
    for one in asked.run.scrap:
        if one.load in mine:
            found[one.reason, one.how] += one.amount
    return tuple(ScrapBalance(*by, amount) for by, amount in sorted(found.items()))
