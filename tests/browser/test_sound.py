"""Do the sounds differ in rhythm, end soon, and can they be switched off?"""

import itertools

import pytest
from browser.scripted import Floor
from browser.wedge import scan, shown, verdict
from playwright.sync_api import Page, expect

FOUR = ["accepted", "already", "refused", "held"]
SPY = """
    window.tones = [];
    const start = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (when) {
        window.tones.push(this.frequency.value);
        start.call(this, when);
    };
"""


@pytest.fixture
def patterns(open_tab, floor: Floor) -> dict[str, list[list[int]]]:
    """Each pattern as [start ms, length ms, Hz] a tone."""
    page = open_tab(f"{floor.address}/station")
    return page.evaluate("import('/static/sound.js').then(({ PATTERNS }) => PATTERNS)")


def test_patterns_differ_in_rhythm_and_end_within_0_7_s(patterns: dict[str, list[list[int]]]) -> None:
    """NUREG-0700: tones of 200 to 5000 Hz, no coding by loudness; the rhythms are ours."""
    tones = {name: len(patterns[name]) for name in FOUR}
    assert tones == {"accepted": 1, "already": 2, "refused": 3, "held": 3}
    long = {name: tuple(length >= 150 for _, length, _ in pattern) for name, pattern in patterns.items()}
    assert long["refused"] == (True, True, True)
    assert long["held"] == (True, False, True)
    assert not any(long["accepted"] + long["already"])
    for one, other in itertools.combinations(patterns, 2):
        assert [tone[:2] for tone in patterns[one]] != [tone[:2] for tone in patterns[other]]
    for pattern in patterns.values():
        assert max(start + length for start, length, _ in pattern) < 700
        assert all(200 <= pitch <= 5000 for *_, pitch in pattern)
        assert all(one[0] + one[1] < other[0] for one, other in itertools.pairwise(pattern))


def test_the_refused_pattern_falls(patterns: dict[str, list[list[int]]]) -> None:
    pitches = [pitch for *_, pitch in patterns["refused"]]
    assert pitches == sorted(pitches, reverse=True)
    assert len(set(pitches)) == 3


@pytest.fixture
def listening(open_tab, floor: Floor) -> Page:
    page = open_tab("about:blank")
    page.add_init_script(SPY)
    page.goto(f"{floor.address}/station")
    return page


def heard(page: Page, count: int) -> None:
    page.wait_for_function("(count) => window.tones.length === count", arg=count)


def test_a_verdict_sounds_and_the_mute_switch_is_kept_without_loss_of_words(listening: Page) -> None:
    scan(listening, "R2600012480")
    verdict(listening, "already")
    heard(listening, 2)
    switch = listening.get_by_role("switch", name="Sound")
    switch.click()
    expect(switch).to_have_attribute("aria-checked", "false")
    listening.reload()
    expect(switch).to_have_attribute("aria-checked", "false")
    scan(listening, "P2600021017")
    verdict(listening, "refused")
    assert "A stripper was expected." in shown(listening)
    assert listening.evaluate("window.tones") == []
    switch.click()
    scan(listening, "N2600031009")
    verdict(listening, "held")
    heard(listening, 3)
