"""How long does a station's common act take by the keystroke-level model: scan in, one number, label out?

Operators, in seconds: Card, Moran and Newell, The keystroke-level model for user performance time with
interactive systems, CACM 23(7), 1980: key .28 (average typist) and .75 (typing codes), think 1.35, hand to
the keyboard .4, point 1.1. A scanner is pointed (1.1), triggered (.2) and decodes (.3): our own estimate.
Goals: at most two scans and one number from the input's scan to the queued label, at most 10 s; at most 6 s
where the scale types.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from floor_work import at, lay, ok
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.labelling.tables import print_job
from terminals import Terminal

POINT, TRIGGER, DECODE, THINK, HAND = 1.1, 0.2, 0.3, 1.35, 0.4
SLOW_KEY = 0.75
SCAN = POINT + TRIGGER + DECODE
KG = 1_000


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


class Hands:
    """Somebody at a terminal, whose scans and typed numbers are counted."""

    def __init__(self, terminal: Terminal) -> None:
        self.terminal, self.scans, self.asked = terminal, 0, 0
        self.typed: list[str] = []

    def scan(self, text: str) -> None:
        self.scans += 1
        answer = self.terminal.scan(text)
        if answer["verdict"] == "ask":  # which product: answered by a scan as well
            self.asked += 1
            self.terminal.answer(text, answer["question"]["choices"][0]["code"])
        ok(self.terminal.last)

    def type(self, number: str) -> None:
        self.typed.append(number)
        ok(self.terminal.scan(number))

    @property
    def typing(self) -> float:
        """Seconds, with every number typed by hand and every question asked."""
        keys = sum(len(number) + 1 for number in self.typed)
        return (self.scans + self.asked) * SCAN + len(self.typed) * (THINK + HAND) + keys * SLOW_KEY

    @property
    def with_a_scale(self) -> float:
        """Seconds, where the scale types and the machine's product was chosen before."""
        return self.scans * SCAN + len(self.typed) * THINK


@pytest.mark.parametrize(
    ("station", "goods", "then"),
    [
        ("draw_1", ("rod_55", 2_000 * KG), ("486.5",)),
        ("nail_1", ("wire_25", 480 * KG), ("230", "DONE")),  # a nail lot grows until it is done
        ("tumbler_1", ("nail_25x50", 230 * KG), ("228",)),
        ("packing", ("tumbled_25x50", 228 * KG), ("6",)),
    ],
)
def test_from_the_scan_of_an_input_to_the_label_of_what_was_made(
    house: House, station: str, goods: tuple[str, int], then: tuple[str, ...]
) -> None:
    hands = Hands(at(house, station))
    lot = lay(house, *goods)
    before = len(house.rows(print_job))
    hands.scan(lot)
    for text in then:
        (hands.type if text[0].isdigit() else hands.scan)(text)
    assert len(house.rows(print_job)) > before, "a label is queued"
    assert (hands.scans <= 2, hands.asked <= 1, len(hands.typed)) == (True, True, 1)
    assert hands.typing <= 10
    assert hands.with_a_scale <= 6
