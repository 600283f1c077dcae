"""Does the record say where everything truly is, once two places are counted and every difference settled?

The oracle is a dict: where each thing truly lies. Things were carried about, or away, without a scan; others
are moved with one while the counts go on.
"""

from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from goods_by_hand import LayDown, by_hand
from houses import House, a_house
from hypothesis import given, note, settings
from hypothesis import strategies as st
from lotroot.counting.choices import FOUND, MISSING, WRONG_PLACE
from lotroot.counting.commands import CountGoods, FinishCount, SettleDifference, StartCount
from lotroot.counting.counts import waiting_differences
from lotroot.counting.sightings import where_stands
from lotroot.errors import Question, Refused
from lotroot.identity import ItemNumber, number_from
from lotroot.moving.pallets import OpenPallet, PutOn
from lotroot.moving.places import MoveGoods
from lotroot.stock.standing import at_spot, standings
from lotroot.verify import verify

PLACES = ("coil_yard", "rack_a")
BOXES, ON_PALLET = 5, (3, 4, 5)
THINGS = ("coil 0", "coil 1", "coil 2", "box 1", "box 2", "pallet", *(f"box {one}" for one in ON_PALLET))
GONE = ""
CHOICES = {
    MISSING: ("written_off", "here"),
    WRONG_PLACE: ("moved", "stays"),
    FOUND: ("brought_back", "stays"),
}

places = st.sampled_from(PLACES)
truths = st.fixed_dictionaries(
    {
        # a box that was on the pallet is on it still, or lies somewhere: a scan of the pallet is of all on it
        name: st.sampled_from((*PLACES, "on the pallet" if name in THINGS[6:] else GONE))
        for name in THINGS
    }
)
steps = st.lists(
    st.one_of(
        st.tuples(st.just("scan"), st.sampled_from(THINGS), places),
        st.tuples(st.just("move"), st.sampled_from(THINGS), places),
    ),
    max_size=14,
)


class Yard:
    """A house with a few things in two places, all recorded where they stood at first."""

    def __init__(self, folder: Path) -> None:
        self.house: House = a_house(folder)
        self.place = {code: self.house.thing("place", code) for code in PLACES}
        yard, rack = self.place.values()
        self.number: dict[str, str] = {}
        for one, at in enumerate((yard, yard, rack)):
            coil = self.house.post(LayDown("rod_55", 1_000_000 + one, at), "").numbers[0]
            self.number[f"coil {one}"] = coil
        lot = self.house.post(LayDown("box_25x50", 125_003, yard, items=BOXES), "").numbers[0]
        self.number |= {f"box {one}": str(ItemNumber(number_from(lot), one)) for one in range(1, BOXES + 1)}
        self.number["pallet"] = self.house.post(OpenPallet(yard), "operator").numbers[0]
        self.house.post(PutOn(self.number["pallet"], self.number["box 3"], self.number["box 5"]), "operator")

    def recorded(self, name: str) -> str:
        """The place where the record has a thing; nothing for nowhere."""
        number = self.number[name]
        if name == "pallet":
            return str(self.house.ask(where_stands, number))
        serial = int(number[11:15] or 0)
        rows = self.house.ask(standings, number[:11])
        at = [row.spot for row in rows if row.first <= serial <= row.last]
        return str(self.house.ask(where_stands, at[0])) if at else ""

    def on_pallet(self, name: str) -> bool:
        """Whether the record has a box on the pallet."""
        number = self.number[name]
        rows = self.house.ask(at_spot, self.number["pallet"])
        return any(row.first <= int(number[11:15]) <= row.last for row in rows)

    def post(self, command: Any, who: str = "supervisor") -> Any:
        """Post; whatever is asked is answered with yes."""
        try:
            return self.house.post(command, who)
        except Question as asked:
            return self.house.post(command, who, answers={asked.identifier: "yes"})


def truly(truth: dict[str, str], name: str) -> str:
    return truth["pallet"] if truth[name] == "on the pallet" else truth[name]


def work(yard: Yard, truth: dict[str, str], step: tuple[str, str, str], counts: dict[str, int]) -> None:
    """Scan a thing where it truly is, or move it from there with a scan."""
    act, name, target = step
    at = truly(truth, name)
    if at == GONE:
        return
    if act == "scan":
        with suppress(Refused):  # seen already
            yard.post(CountGoods(counts[at], yard.number[name]), "receiver")
    elif target != at and yard.recorded(name) != yard.place[target] and not _robbed(yard, truth, name):
        # what is carried to where the record has it already leaves no trace, so no count can know of it
        yard.post(MoveGoods(yard.number[name], yard.place[target]))
        truth[name] = target


def _robbed(yard: Yard, truth: dict[str, str], name: str) -> bool:
    """Whether a pallet is moved from which boxes were taken without a scan: the record takes them along."""
    off = [one for one in THINGS[6:] if truth[one] != "on the pallet"]
    return name == "pallet" and any(yard.on_pallet(one) for one in off)


def settle(yard: Yard) -> None:
    """Settle all that waits, the likeliest way, until nothing does."""
    for _ in range(4):
        for row in yard.house.ask(waiting_differences):
            for choice in CHOICES[row.kind]:
                with suppress(Refused):
                    yard.post(SettleDifference(row.of_count, row.seq, choice, reason="not_found"))
                    break
                if row.kind == MISSING and yard.house.ask(_stands_there, row):
                    break  # seen elsewhere: that is settled first
    assert yard.house.ask(waiting_differences) == []


def _stands_there(connection: Any, row: Any) -> bool:
    return (
        where_stands(connection, row.spot) == row.stood
        and any(
            one.spot == row.spot and one.first <= row.last and one.last >= row.first
            for one in standings(connection, row.lot)
        )
    ) or (bool(row.carrier) and where_stands(connection, row.carrier) == row.stood)


@settings(max_examples=15, deadline=None)  # each a house with up to forty postings
@given(truths, steps)
def test_after_two_counts_the_record_is_the_truth(
    truth: dict[str, str], steps: list[tuple[str, str, str]]
) -> None:
    note(f"{truth}, {steps}")
    truth = dict(truth)
    with by_hand(), TemporaryDirectory() as folder:
        yard = Yard(Path(folder))
        counts = {code: int(yard.post(StartCount(yard.place[code])).numbers[0]) for code in PLACES}
        for step in steps:
            work(yard, truth, step, counts)
        for name in THINGS:
            work(yard, truth, ("scan", name, ""), counts)
        for number in counts.values():
            yard.post(FinishCount(number))
        settle(yard)
        told = {name: yard.recorded(name) for name in THINGS if name != "pallet"}
        assert told == {name: yard.place.get(truly(truth, name), "") for name in told}
        if truth["pallet"] != GONE:
            assert yard.recorded("pallet") == yard.place[truth["pallet"]]
        assert str(verify(yard.house.database)).startswith("ok")
        yard.house.database.close()
