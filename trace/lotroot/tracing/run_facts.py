"""What happened in a run, as people read it?"""

from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.production.cuts import cut_and_sums, cuts_of_run
from lotroot.production.marking import MARKS
from lotroot.production.runs import Run
from lotroot.reconciliation.balances import known_balance
from lotroot.tracing.chapters import Loaded, Mark, Output, Rests, RunFacts, Scrap, Used
from lotroot.tracing.give_away import given_away
from lotroot.tracing.run_rests import rests_on
from lotroot.tracing.words import Moment, Quantity, Words, items


def run_in_full(connection: Connection, run: Run, words: Words) -> RunFacts:
    """A run as `run_facts` has it, what its items weigh, and how it adds up once it is closed."""
    balances = known_balance(connection, run.number)
    rests = rests_on(connection, run, words) if balances else Rests()
    told = run_facts(run, words)
    cuts = cuts_of_run(connection, run.number)
    said = {seq: cut_and_sums(lines, words.plant, run.row.product) for seq, lines in cuts.items()}
    pairs = zip(run.outputs, told.outputs, strict=True)
    outputs = tuple(replace(one, cuts=said.get(row.seq, "")) for row, one in pairs)
    weighed = given_away(connection, run, words)
    return replace(told, outputs=outputs, weighed=weighed, balances=balances, rests=rests)


def run_facts(run: Run, words: Words) -> RunFacts:
    """A run with its inputs, outputs, people, tools and marks."""
    row = run.row
    words.learn([one.lot for one in (*run.inputs, *run.outputs)])
    lots = {one.load: one.lot for one in run.inputs}
    return RunFacts(
        run=words.named(row.number),
        process=words.process(row.process),
        product=words.product(row.product) if row.product else "",
        station=words.named(row.station),
        shift=row.shift,
        opened=words.moment(row.opened),
        closed=_moment(row.closed, words),
        voided=bool(row.voided),
        people=tuple(words.named(person) for person in people_of(run)),
        resources=tuple(
            Used(words.named(one.thing), words.moment(one.since), _moment(one.until, words))
            for one in run.uses
        ),
        inputs=tuple(_loaded(one, words) for one in run.inputs),
        outputs=tuple(_output(one, words) for one in run.outputs),
        scrap=tuple(
            Scrap(
                words.named(lots[one.load]),
                _of(words, lots[one.load], one.own),
                words.reason(one.reason),
                words.moment(one.at),
                words.typed(one.typed_by).removeprefix(", "),
                one.how,
            )
            for one in run.scrap
            if one.load in lots
        ),
        marks=tuple(_mark(one, words) for one in run.marks),
        uptake=_uptake(run, words) if row.closed is not None else "",
    )


def _uptake(run: Run, words: Words) -> str:
    """Net uptake of a charge: solution in less solution drained back, per volume of the wood that came out
    (common practice, no source). An average, by the tank gauge; empty where there is no wood."""
    into = sum(one.amount - one.remainder for one in run.inputs if words.stream_unit(one.stream) == "ml")
    back = sum(one.amount for one in run.outputs if words.stream_unit(one.stream) == "ml")
    wood = sum(one.amount for one in run.outputs if words.stream_unit(one.stream) == "cm3")
    if not wood or not into:
        return ""
    each = (into - back) * 1000 // wood
    amounts = f"{words.amount(into - back, 'ml')} in {words.amount(wood, 'cm3')} of wood"
    return f"{amounts}, {each} l/m3, calculated by the tank gauge, drip included"


def people_of(run: Run) -> list[str]:
    """All who opened a run, made something in it or set a mark, in that order."""
    found = [run.row.person, *(one.person for one in run.outputs), *(one.person for one in run.marks)]
    return [person for person in dict.fromkeys(found) if person]


def _loaded(one: Row[Any], words: Words) -> Loaded:
    return Loaded(
        load=one.load,
        lot=words.named(one.lot),
        role=one.role,
        payoff=one.payoff,
        amount=_of(words, one.lot, one.own),
        taken=_of(words, one.lot, one.taken),
        difference=_of(words, one.lot, one.difference),
        at=words.moment(one.at),
        ended=_moment(one.ended_at, words),
        unloaded=_moment(one.unloaded_at, words),
    )


def _output(one: Row[Any], words: Words) -> Output:
    return Output(
        lot=words.named(one.lot),
        items=items(one.first, one.last),
        amount=_of(words, one.lot, one.own),
        basis=known(one, words),
        began=words.moment(one.began),
        ended=words.moment(one.ended),
        person=words.named(one.person),
        shift=one.shift,
    )


def known(one: Row[Any], words: Words) -> str:
    """How an output's amount is known: weighed, typed by hand; gross and tare where the scale showed both."""
    said = f"{one.basis}{words.typed(one.typed_by)}" if one.basis == "weighed" else str(one.basis)
    if not one.gross:
        return said
    return f"{said}, {words.amount(one.gross, 'g')} gross less {words.amount(one.tare, 'g')} tare"


def _mark(one: Row[Any], words: Words) -> Mark:
    said = f"{MARKS.get(one.kind, one.kind)}: {one.words}" if one.words else MARKS.get(one.kind, one.kind)
    return Mark(said, one.payoff, words.named(one.person), words.moment(one.at))


def _of(words: Words, lot: str, amount: int) -> Quantity:
    row = words.lot(lot)
    return words.quantity(amount, row.unit if row is not None else "g")


def _moment(at: int | None, words: Words) -> Moment | None:
    return None if at is None else words.moment(at)
