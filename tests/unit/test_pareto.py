"""Does a picture of scrap by reason say whose scrap it is where another stands beside it?"""

import re

import pytest
from lotroot.web.pareto import Bar, pareto

BARS = (Bar("Ends: 90.0 %", "9 kg weighed", 9, 0), Bar("Trim: 10.0 %", "1 kg apportioned", 0, 1))


def lines(head: str) -> list[tuple[int, str]]:
    """The texts of the picture with their height in it."""
    found = re.findall(r'<text [^>]*y="(\d+)">([^<]*)</text>', pareto("Scrap", BARS, head=head))
    return [(int(at), text) for at, text in found]


def test_its_head_stands_above_all_bars() -> None:
    texts = lines("Scrap of steel, 10 kg")
    assert texts[0][1] == "Scrap of steel, 10 kg"
    assert sorted(texts) == texts
    assert [text for _, text in texts[1:]] == [text for _, text in lines("")]


@pytest.mark.parametrize("head", ["", "Scrap of steel, 10 kg"])
def test_everything_in_it_lies_inside_it(head: str) -> None:
    picture = pareto("Scrap", BARS, head=head)
    high = int(re.findall(r'viewBox="0 0 \d+ (\d+)"', picture)[0])
    bars = [int(y) + int(h) for y, h in re.findall(r'<rect [^>]*y="(\d+)"[^>]*height="(\d+)"', picture)]
    assert len(bars) == 2
    assert max(bars) < high
    assert all(at < high for at, _ in lines(head))
