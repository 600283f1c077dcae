"""Which one question is asked about a number that came in, and what is kept of the answer?

At most one question a scan: hands are gloved and the next pan is full. Where the scan has to ask something
else, a doubt is put in question unasked. The question's name holds the value: an answer goes for it alone.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

from lotroot.factors.standing import metre_mg
from lotroot.processes.definition import Kind, Output, Process, Product
from lotroot.production import plausible
from lotroot.production.amounts import Amounts
from lotroot.production.cut_facts import Cut
from lotroot.production.cut_lists import length_of
from lotroot.production.deficiency import deficiency_in_force
from lotroot.production.facts import RunMarked
from lotroot.production.filling import shows_others
from lotroot.production.opening import station_of
from lotroot.production.runs import Run, find_run, latest_runs
from lotroot.quantities import UNITS
from lotroot.work import Work

LATEST = 5
"""Outputs before, by which one is judged: the last few, for sizes change (our own choice)."""
_KM, _SHORT = 1_000_000, 10
_MINUTE = 60_000_000


class Doubt(NamedTuple):
    """Why a number is implausible: what is asked, and what is kept of it.

    `settled` doubts are noted in the run where they are agreed to, and put nothing in question. `asks` is
    what the person answers with yes.
    """

    name: str
    words: str
    settled: bool = False
    asks: str = "Is the number right?"

    def of(self, first: int, last: int) -> "Doubt":
        """The same, told of items by their serials, so that a supervisor knows which to look at."""
        which = f"Item {first}" if first == last else f"Items {first} to {last}"
        return self._replace(words=f"{which}: {self.words}") if first else self


class Given(NamedTuple):
    """What came in, of which process, output and product, and how much that is."""

    process: Process
    output: Output
    product: Product
    kind: Kind
    amounts: Amounts
    weights: tuple[int, ...]
    counter: int | None
    cuts: tuple[Cut, ...] = ()

    @property
    def mass(self) -> int:
        """Grams that were weighed; 0 where the amount is known in another way."""
        if self.amounts.basis != "weighed":
            return 0
        return self.amounts.own if self.kind.unit == "g" else self.amounts.mass or 0


def doubted(work: Work, run: Run, given: Given, carrier: str, growing: str) -> Doubt | None:
    """The first doubt there is, after it was asked about: what is to be kept of it."""
    found = next(_doubts(work, run, given), None)
    if found is None:
        return None
    if not (carrier and shows_others(work, growing, carrier)):  # that will be asked about
        work.ask(found.name, f"{found.words} {found.asks}", {"yes": "Yes, record it"})
    return found


def keep(work: Work, run: Run, doubt: Doubt | None, lot: str) -> None:
    """Keep what was agreed to: a note in the run, or the lot in question."""
    if doubt is None:
        return
    if doubt.settled:
        work.record(RunMarked(run.number, "note", words=f"agreed to: {doubt.words}"))
    else:
        work.put_in_question(lot, doubt.words)


def _doubts(work: Work, run: Run, given: Given) -> Iterator[Doubt]:
    yield from _packages(work, given)
    yield from _by_length(work, given)
    yield from _by_counter(work, run, given)
    yield from _unlike_others(work, run, given)
    yield from _in_a_hurry(work, run, given)
    yield from _too_soon(work, run, given)


def _packages(work: Work, given: Given) -> Iterator[Doubt]:
    """Packages sold by their weight, outside twice the tolerable deficiency (OIML R 87)."""
    nominal = given.product.item_amount
    if not nominal or given.kind.unit != "g" or given.product.length_mm:
        return
    if not given.weights:
        return
    tolerable = deficiency_in_force(work.connection, nominal)
    lacking = [one for one in given.weights if plausible.light(one, nominal, tolerable)]
    over = [one for one in given.weights if plausible.heavy(one, nominal, tolerable)]
    for odd, word in ((lacking, "less"), (over, "more")):
        if odd:
            worst = max(odd, key=lambda one: abs(one - nominal))
            much = f"{work.show(abs(worst - nominal), 'g')} {word} than its {work.show(nominal, 'g')}"
            more = f" ({len(odd)} of {len(given.weights)} like it)" if len(odd) > 1 else ""
            limit = work.show(int(tolerable), "g")
            words = f"{work.show(worst, 'g')} is {much}{more}, tolerable {limit}."
            yield Doubt(f"package-{len(odd)}-{sum(odd)}-{worst}", words, settled=word == "more")


def _by_length(work: Work, given: Given) -> Iterator[Doubt]:
    """What the weight of sheets comes to, against their cut list, or against the pieces of a fixed length."""
    product = given.product
    if given.kind.unit != "pcs" or not given.mass:
        return
    permille = given.process.tolerance_permille + _sheet_permille(work, given)
    pieces, come = given.amounts.own, _metres(work, given)
    there = (length_of(given.cuts) or pieces * (product.length_mm or 0)) if come else 0
    if there:
        come_to, told = _length(work, come), _length(work, there)
        said = f"the cut list says {told}" if given.cuts else f"{work.show(pieces, 'pcs')} are {told}"
    elif product.mass_per_piece_mg:
        come, there = plausible.pieces_of(given.mass, product.mass_per_piece_mg), pieces
        come_to, said = work.show(come, "pcs"), f"{work.show(pieces, 'pcs')} were counted"
    if there and plausible.apart(come, there, permille):
        yield Doubt(f"length-{given.mass}-{there}", f"{_what(work, given)} is {come_to}; {said}.")


def _sheet_permille(work: Work, given: Given) -> Decimal:
    """What the limits of thickness and coat allow, of the product and of what the process checks."""
    codes = dict.fromkeys((*given.process.checks, *given.product.limits))
    units = {code: work.plant.characteristic(code).unit for code in codes}
    limits = {code: work.plant.limits(code, given.product.code) for code in codes}
    thick, coats = ([limits[code] for code in codes if units[code] == unit] for unit in ("mm", "g/m2"))
    return plausible.sheet_permille(given.product.thickness_mm, thick, coats)


def _by_counter(work: Work, run: Run, given: Given) -> Iterator[Doubt]:
    """What the weight comes to in metres or pieces, against what the machine counted."""
    unit = station_of(work).counter
    counted = _counted(work, run, given)
    if unit is None or counted is None:
        return
    limits = [
        one for code, one in given.product.limits.items() if work.plant.characteristic(code).unit == "mm"
    ]
    permille = given.process.tolerance_permille + plausible.wire_permille(given.product.wire_mm, limits)
    if unit == "pcs":
        counted_as, came_to = work.show(counted, "pcs"), _pieces(given)
    else:
        counted = int(Decimal(counted) * UNITS[unit].size)
        counted_as, came_to = _length(work, counted), _metres(work, given)
    if came_to and plausible.apart(came_to, counted, permille):
        much = work.show(came_to, "pcs") if unit == "pcs" else _length(work, came_to)
        words = f"{_what(work, given)} is {much}; the counter says {counted_as}."
        yield Doubt(f"counter-{given.mass}-{counted}", words)


def _counted(work: Work, run: Run, given: Given) -> int | None:
    """What the counter counted for this output, in its own unit; None where that is not known."""
    if given.counter is None or station_of(work).counter_starts_anew:
        return given.counter
    before = [one.counter_to for one in run.outputs if one.output == given.output.code]
    if not before or before[-1] is None or before[-1] >= given.counter:
        return None
    return given.counter - int(before[-1])


def _unlike_others(work: Work, run: Run, given: Given) -> Iterator[Doubt]:
    """A weight beyond three times, or below a third of, what the others of this run or product weighed."""
    if given.counter is not None and station_of(work).counter:
        return  # the counter is the better judge
    weight = given.mass // max(given.amounts.items, 1)
    usual = plausible.usual_of(_others(work, run, given)[-LATEST:])
    if not weight or not plausible.far_off(weight, usual) or _is_the_end(run, given, usual):
        return
    words = f"{_what(work, given)}{_comes_to(work, given)}; the others weighed about {work.show(usual, 'g')}."
    yield Doubt(f"unlike-{given.mass}", words)


def _others(work: Work, run: Run, given: Given) -> list[int]:
    """What the outputs before weighed, oldest first: of this run, and the run before where they are few."""
    mine = _weights(run, given)
    if len(mine) >= plausible.SOME or given.kind.unit != "g":
        return mine
    for row in latest_runs(work.connection, run.row.station, run.row.process):
        if row.number != run.number and row.product == run.row.product:
            return [*_weights(find_run(work.connection, row.number), given), *mine]
    return mine


def _weights(run: Run, given: Given) -> list[int]:
    alike = [one for one in run.outputs if one.output == given.output.code and one.basis == "weighed"]
    if given.kind.unit != "g":
        return []
    return [one.own // (one.last - one.first + 1 if one.first else 1) for one in alike]


def _is_the_end(run: Run, given: Given, usual: int) -> bool:
    """Whether a light one is the last of its coil: hardly anything is left after it."""
    loads = [one for one in run.loaded if one.stream == given.output.stream]
    left = sum(one.amount - one.taken for one in loads) - given.amounts.amount
    return given.mass < usual and left * plausible.FAR <= usual


def _in_a_hurry(work: Work, run: Run, given: Given) -> Iterator[Doubt]:
    """More pieces than the machine can have made since the last output, and in the whole run."""
    most = given.product.pieces_per_minute
    if not most or work.posting.basis != "at once":
        return
    pieces = _pieces(given)
    before = [one for one in run.outputs if one.output == given.output.code and one.ended <= work.happened]
    since = max([one.ended for one in before] + [run.row.opened])
    all_of_run = pieces + sum(_pieces_of(given, one.own) for one in before)
    if plausible.too_fast(pieces, most, work.happened - since) and plausible.too_fast(
        all_of_run, most, work.happened - run.row.opened
    ):
        minutes = (work.happened - since) // _MINUTE
        words = f"{work.show(pieces, 'pcs')} in {minutes} min; the machine makes at most {most} a minute."
        yield Doubt(f"hurry-{pieces}", words)


def _too_soon(work: Work, run: Run, given: Given) -> Iterator[Doubt]:
    """Something comes out before what was loaded last was worked as long as is usual; asked once a load."""
    least = given.process.least_minutes
    if not least or given.output.by_product or not run.loaded or work.posting.basis != "at once":
        return
    last = max(run.loaded, key=lambda one: (one.at, one.load))
    minutes = (work.happened - last.at) // _MINUTE
    asked = any(one.output == given.output.code and one.ended >= last.at for one in run.outputs)
    if minutes < least and not asked:
        words = f"{given.process.name}: {max(minutes, 0)} min since the last load; {least} are usual."
        yield Doubt(f"soon-{last.load}", words, settled=True, asks="Is it done?")


def _pieces(given: Given) -> int:
    return _pieces_of(given, given.amounts.own)


def _pieces_of(given: Given, own: int) -> int:
    if given.kind.unit == "pcs":
        return own
    each = given.product.mass_per_piece_mg
    return plausible.pieces_of(own, each) if each and given.kind.unit == "g" else 0


def _metres(work: Work, given: Given) -> int:
    """By theory and the plant's own factor on it."""
    product = given.product
    each = metre_mg(work.connection, product.code, product.mass_per_metre_mg) if given.mass else 0
    return plausible.length_of(given.mass, each) if each and given.mass else 0


def _what(work: Work, given: Given) -> str:
    return f"{work.show(given.mass, 'g')} of {given.product.name}"


def _comes_to(work: Work, given: Given) -> str:
    length = _metres(work, given)
    if length:
        return f" is {_length(work, length)}"
    pieces = _pieces(given)
    return f" is {work.show(pieces, 'pcs')}" if pieces and given.kind.unit == "g" else ""


def _length(work: Work, length: int) -> str:
    """A length as people say it: 12.5 km, 1.25 km, else as the plant shows metres."""
    if length < _KM or work.plant.units.get("mm", "mm") not in ("m", "mm"):
        return work.show(length, "mm")
    places = Decimal("0.1") if length >= _SHORT * _KM else Decimal("0.01")
    return f"{(Decimal(length) / _KM).quantize(places)} km"
