"""Do random days of work keep every promise: amounts closed, no circle, held means held, nothing twice?

A hypothesis state machine drives receive, load, make, mark, mix, box, palletise, re-stack, ship, return,
hold, release, correct, void and undo through the door, beside a slow obvious plant (tests/slow_plant.py).
"""

from contextlib import suppress
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from houses import a_house, rows_of
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, initialize, invariant, multiple, rule
from lotroot.dispatch.handling import LoadShipment, OpenShipment, ReturnGoods, SendShipment
from lotroot.errors import Question, Refused
from lotroot.genealogy.tables import edge, lot
from lotroot.holds.facts import hold, hold_root
from lotroot.holds.handling import PlaceHold, ReleaseHold
from lotroot.holds.reach import held_by
from lotroot.identity import ItemNumber, number_from
from lotroot.ledger.book import head
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn, Restack
from lotroot.moving.places import MoveGoods
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.correcting_outputs import CorrectOutput
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, MarkRun, ScrapInput
from lotroot.production.runs import find_run, open_runs_at
from lotroot.production.tables import run_input
from lotroot.receiving.commands import CorrectAmount, ReceiveLot
from lotroot.stock.standing import standings, totals
from lotroot.stock.tables import standing
from lotroot.verify import verify
from lotroot.voiding.handling import Undo
from slow_plant import SlowPlant, SlowRun, has_circle

KILOS = st.integers(min_value=20, max_value=700)
PRODUCTS = {"draw_1": "wire_25", "nail_1": "nail_25x50", "tumbler_1": "tumbled_25x50", "packing": "box_25x50"}


class DaysAtAPlant(RuleBasedStateMachine):
    """One plant, driven at random and asked after every act."""

    coils = Bundle("coils")
    strippers = Bundle("strippers")
    nails = Bundle("nails")
    boxes = Bundle("boxes")
    pallets = Bundle("pallets")
    sent = Bundle("sent")
    holds = Bundle("holds")

    def __init__(self) -> None:
        super().__init__()
        self.house = a_house(Path(mkdtemp()))
        self.house.clock.forward(hours=1)
        self.slow = SlowPlant()
        self.runs: dict[str, SlowRun] = {}
        self.posted: list[tuple[Any, str, dict[str, Any], Any]] = []

    def teardown(self) -> None:
        self.house.database.close()

    # ---- posting ----

    def post(self, command: Any, who: str, station: str = "", **more: Any) -> Any:
        """Post, answering every question with its first choice, and keep it for the replay."""
        envelope = {"key": f"days-{len(self.posted):016d}", **more}
        if station:
            envelope["station"] = self.house.thing("station", station)
        answers: dict[str, str] = {}
        for attempt in range(6):
            try:
                stated = {**envelope, "key": f"{envelope['key']}-{attempt}", "answers": dict(answers)}
                answer = self.house.post(command, who, **stated)
            except Question as question:
                answers[question.identifier] = next(iter(question.choices))
            else:
                self.posted.append((command, who, stated, answer))
                self.house.clock.forward(minutes=7)
                return answer
        raise AssertionError("six questions in a row")

    def refused(self, command: Any, who: str, station: str = "") -> bool:
        """Whether an act is refused; then nothing at all is recorded."""
        before = self.house.ask(head)
        try:
            self.post(command, who, station)
        except Refused:
            assert self.house.ask(head) == before
            return True
        return False

    def parents(self) -> dict[str, set[str]]:
        """Every lot's parents by live and doubted links, read row by row."""
        numbers = {row["id"]: row["number"] for row in self.house.rows(lot)}
        found: dict[str, set[str]] = {number: set() for number in numbers.values()}
        for row in self.house.rows(edge):
            found[numbers[row["child"]]].add(numbers[row["parent"]])
        return found

    def held(self, number: str) -> bool:
        return self.slow.is_held(number, self.parents())

    def run_at(self, station: str) -> SlowRun:
        return self.runs.setdefault(station, SlowRun(station))

    # ---- what people do ----

    @initialize(target=coils, kilos=st.lists(KILOS, min_size=2, max_size=2))
    def first_delivery(self, kilos: list[int]) -> Any:
        return multiple(*(self.receive(one) for one in kilos))

    @rule(target=coils, kilos=KILOS)
    def receives(self, kilos: int) -> str:
        return self.receive(kilos)

    def receive(self, kilos: int) -> str:
        number = f"S{len(self.slow.born)}"
        command = ReceiveLot(
            product="rod_55", supplier="bellmead", supplier_number=number, heats=("H7",), amount=kilos * 1000
        )
        coil = self.post(command, "receiver", "receiving").numbers[0]
        self.slow.bear(coil, kilos * 1000, set(), set())
        return coil

    def load(self, number: str, station: str) -> None:
        """Load a lot; a held one, a used one and one that is on already must be refused."""
        run = self.run_at(station)
        stands = sum(row.amount for row in self.house.ask(standings, number) if row.spot[0] not in "DU")
        wrong = self.held(number) or stands <= 0
        was_on = list(run.on) if station in ("draw_1", "nail_1") else []
        refused = self.refused(LoadInput(number, product=PRODUCTS[station]), "operator", station)
        if wrong:
            assert refused
        if not refused:
            run.number = self.house.ask(open_runs_at, self.house.thing("station", station))[0].number
            run.ever.append(number)
            run.on = [one for one in run.on if one not in was_on] + [number]

    @rule(coil=coils)
    def loads_a_coil(self, coil: str) -> None:
        self.load(coil, "draw_1")

    @rule(stripper=strippers)
    def loads_a_stripper(self, stripper: str) -> None:
        self.load(stripper, "nail_1")

    @rule(nail_lot=nails)
    def tips_nails_into_the_tumbler(self, nail_lot: str) -> None:
        self.load(nail_lot, "tumbler_1")

    @rule(nail_lot=nails)
    def tips_nails_into_the_boxer(self, nail_lot: str) -> None:
        self.load(nail_lot, "packing")

    def make(self, station: str, **amounts: Any) -> tuple[str, int] | None:
        run = self.run_at(station)
        if not run.number:
            return None
        kilos = amounts.get("weight", 0) or amounts.get("count", 0) * 25_000
        answer = self.post(MakeOutput(**amounts), "operator", station)
        made = answer.numbers[0]
        alone = set(run.on) if len(run.ever) == 1 else set()
        self.slow.bear(made, kilos, alone, set(run.ever))
        return made, kilos

    @rule(target=strippers, kilos=KILOS)
    def draws_a_stripper(self, kilos: int) -> Any:
        made = self.make("draw_1", weight=kilos * 1000)
        return made[0] if made else multiple()

    @rule(target=nails, kilos=KILOS)
    def weighs_a_pan_of_nails(self, kilos: int) -> Any:
        made = self.make("nail_1", weight=kilos * 1000)
        return made[0] if made else multiple()

    @rule(target=nails, kilos=KILOS)
    def takes_nails_from_the_tumbler(self, kilos: int) -> Any:
        made = self.make("tumbler_1", weight=kilos * 1000)
        return made[0] if made else multiple()

    @rule(target=boxes, count=st.integers(min_value=1, max_value=12))
    def fills_boxes(self, count: int) -> Any:
        made = self.make("packing", count=count)
        return made[0] if made else multiple()

    @rule(station=st.sampled_from(["draw_1", "nail_1"]), grams=st.integers(min_value=1, max_value=9000))
    def scraps(self, station: str, grams: int) -> None:
        if self.run_at(station).on:
            self.post(ScrapInput(grams, "ends"), "operator", station)

    @rule()
    def wire_breaks(self) -> None:
        if self.run_at("draw_1").number:
            self.post(MarkRun("broke"), "operator", "draw_1")

    @rule(station=st.sampled_from(sorted(PRODUCTS)), kilos=st.none() | KILOS)
    def takes_a_part_coil_off(self, station: str, kilos: int | None) -> None:
        run = self.run_at(station)
        if run.on:
            grams = None if kilos is None else kilos * 1000
            how = "calculated" if kilos is None else "weighed"
            self.post(UnloadInput(run.on[-1], run.number, grams, how), "operator", station)
            run.on.pop()

    @rule(station=st.sampled_from(sorted(PRODUCTS)))
    def closes_the_run(self, station: str) -> None:
        if self.run_at(station).number:
            self.post(CloseRun(), "operator", station)
            self.runs.pop(station)

    @rule(number=strippers | nails)
    def moves(self, number: str) -> None:
        with suppress(Refused):
            self.post(MoveGoods(number, self.house.thing("place", "coil_yard")), "operator")

    @rule(target=pallets, number=boxes, first=st.integers(1, 4), count=st.integers(0, 5))
    def builds_a_pallet(self, number: str, first: int, count: int) -> Any:
        pallet = self.post(OpenPallet(), "operator", "packing").numbers[0]
        start, end = (str(ItemNumber(number_from(number), serial)) for serial in (first, first + count))
        refused = self.refused(PutOn(pallet, start, end), "operator", "packing")
        assert refused or not self.held(number)
        if not refused:
            self.post(ClosePallet(pallet), "operator", "packing")
            return pallet
        return multiple()

    @rule(target=pallets, one=consumes(pallets), other=consumes(pallets))
    def restacks(self, one: str, other: str) -> Any:
        if one == other or {one, other} & self.slow.shipped:
            return multiple()
        with suppress(Refused):
            return self.post(Restack((one, other)), "operator", "packing").numbers[0]
        return multiple()

    @rule(target=sent, pallet=consumes(pallets))
    def ships(self, pallet: str) -> Any:
        shipment = self.post(OpenShipment("tamarind"), "dispatcher").numbers[0]
        on_it = {row["lot"] for row in self._on(pallet)}
        held = any(self.held(number) for number in on_it)
        refused = self.refused(LoadShipment(shipment, pallet), "dispatcher")
        assert refused or not held, "held goods were loaded"
        if refused:
            return multiple()
        self.post(SendShipment(shipment, shipment), "dispatcher")
        self.slow.shipped.add(pallet)
        return pallet

    def _on(self, pallet: str) -> list[dict[str, Any]]:
        return [row for row in self.house.rows(standing) if row["spot"] == pallet]

    @rule(target=pallets, pallet=consumes(sent))
    def comes_back(self, pallet: str) -> str:
        lots = {row["lot"] for row in self._on(pallet)}
        before = self._hold_ids()
        self.post(ReturnGoods(pallet, "wrong size"), "dispatcher")
        self.slow.shipped.discard(pallet)
        for new, number in zip(sorted(self._hold_ids() - before), sorted(lots), strict=False):
            self.slow.held[new] = {number}
        self._learn_holds()
        return pallet

    def _hold_ids(self) -> set[int]:
        return {row["id"] for row in self.house.rows(hold)}

    def _learn_holds(self) -> None:
        """What was told to stop: read from the plain table of roots, whole lots only."""
        for row in self.house.rows(hold_root):
            self.slow.held.setdefault(row["hold"], set()).add(row["lot"])

    @rule(target=holds, number=coils | strippers | nails)
    def holds_a_lot(self, number: str) -> tuple[int, str]:
        before = self._hold_ids()
        self.post(PlaceHold(f"brittle, hold {len(before) + 1}", number), "qa")  # the same twice is refused
        (new,) = self._hold_ids() - before
        self.slow.held[new] = {number}
        return new, number

    @rule(hold=holds, number=coils | strippers | nails | boxes)
    def releases(self, hold: tuple[int, str], number: str) -> None:
        if not self.refused(ReleaseHold(hold[0], number, "tested good"), "qa"):
            self.slow.freed.setdefault(hold[0], set()).add(number)

    @rule(station=st.sampled_from(["draw_1", "nail_1"]), coil=coils, stripper=strippers)
    def corrects_an_input(self, station: str, coil: str, stripper: str) -> None:
        run = self.run_at(station)
        loads = [row for row in self.house.rows(run_input) if row["run"] == run.number and not row["voided"]]
        right = coil if station == "draw_1" else stripper
        if not loads:
            return
        wrong = loads[0]["lot"]
        if not self.refused(CorrectInput(run.number, loads[0]["load"], right), "supervisor"):
            run.ever = [right if one == wrong else one for one in run.ever] + [wrong]
            run.on = [right if one == wrong else one for one in run.on]
            for made in self.house.ask(find_run, run.number).outputs:
                self.slow.must[made.lot] = set()
                self.slow.may[made.lot] |= {right, wrong}

    @rule(kilos=KILOS, station=st.sampled_from(["draw_1", "nail_1"]))
    def corrects_an_output(self, kilos: int, station: str) -> None:
        run = self.run_at(station)
        outputs = self.house.ask(find_run, run.number).outputs if run.number else []
        if outputs:
            self.post(CorrectOutput(run.number, outputs[-1].seq, kilos * 1000), "supervisor")
            self.slow.born[outputs[-1].lot] += kilos * 1000 - outputs[-1].own

    @rule(coil=coils, kilos=KILOS)
    def corrects_a_weight(self, coil: str, kilos: int) -> None:
        if not self.refused(CorrectAmount(lot=coil, amount=kilos * 1000, why="scale"), "supervisor"):
            self.slow.born[coil] = kilos * 1000

    @rule(station=st.sampled_from(["draw_1", "nail_1"]))
    def takes_back_a_mark(self, station: str) -> None:
        """A mark and its undo leave everything as it was."""
        if not self.run_at(station).number:
            return
        before = self.house.status()
        self.post(MarkRun("stopped"), "operator", station)
        self.post(Undo(), "operator", station)
        after = self.house.status()
        assert {name: rows for name, rows in after.items() if name != "mention"} == {
            name: rows for name, rows in before.items() if name != "mention"
        }

    @rule(station=st.sampled_from(["draw_1", "nail_1", "tumbler_1", "packing"]), kilos=KILOS)
    def takes_back_an_output(self, station: str, kilos: int) -> None:
        """An output and its undo leave every lot with the amounts it had, and the number given."""
        if not self.run_at(station).number:
            return
        before = {row["number"]: self._amounts(row["number"]) for row in self.house.rows(lot)}
        amounts = {"count": 3} if station == "packing" else {"weight": kilos * 1000}
        made = self.post(MakeOutput(**amounts), "operator", station).numbers[0]
        self.post(Undo(), "operator", station)
        assert {number: self._amounts(number) for number in before} == before
        gone = {row["number"]: row["voided"] for row in self.house.rows(lot)}
        assert gone[made] == int(made not in before)

    def _amounts(self, number: str) -> tuple[dict[str, int], int]:
        accounts = {name: amount for name, amount in self.house.ask(totals, number).items() if amount}
        return accounts, sum(one.amount for one in self.house.ask(standings, number))

    # ---- what must always be true ----

    @invariant()
    def every_lot_sums_to_nothing(self) -> None:
        with self.house.reading() as connection:
            for row in rows_of(connection, lot):
                number = row["number"]
                there = sum(one.amount for one in standings(connection, number))
                accounts = totals(connection, number)
                assert sum(accounts.values()) + there == 0, number
                assert row["voided"] or accounts.get("born", 0) == -row["amount"], number

    @invariant()
    def lots_weigh_what_was_told(self) -> None:
        for row in self.house.rows(lot):
            if row["number"] in self.slow.born:
                assert row["amount"] == self.slow.born[row["number"]]

    @invariant()
    def parents_are_what_could_be(self) -> None:
        parents = self.parents()
        assert not has_circle(parents)
        for number, may in self.slow.may.items():
            assert self.slow.must[number] <= parents[number] <= may, number

    @invariant()
    def held_is_held(self) -> None:
        parents = self.parents()
        with self.house.reading() as connection:
            for number in self.slow.born:
                assert bool(held_by(connection, number)) == self.slow.is_held(number, parents), number

    def check_the_whole(self) -> None:
        """Replay changes nothing, and the house's own checks agree; one makes status of all events anew."""
        before = self.house.ask(head)
        for command, who, stated, answer in self.posted:
            again = self.house.post(command, who, **stated)
            assert again.replayed
            assert (again.say, again.numbers) == (answer.say, answer.numbers)
        assert self.house.ask(head) == before
        assert verify(self.house.database).finding is None


class CheckedDays(DaysAtAPlant):
    """Days at a plant that end with the whole being checked."""

    def teardown(self) -> None:
        try:
            self.check_the_whole()
        finally:
            super().teardown()


TestDaysAtAPlant = CheckedDays.TestCase
if settings().max_examples < 200:  # the thorough profile, in CI, tries all of its examples
    TestDaysAtAPlant.settings = settings(max_examples=10, stateful_step_count=25)
