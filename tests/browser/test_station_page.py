"""Is a shift at a machine worked by a scanner alone, in a real browser against the real program?

Sizes: 76 px are 20 mm on a panel (Colle and Hiszem 2004), 3 mm between targets; letters after NUREG-0700
1.3.1; contrast after NUREG-0700 (7:1); goals 1, 2, 4, 6, 12 and 16 of the floor.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import HAND_HELD, PANEL
from browser.measure import boxes, font_sizes, sideways, text_contrasts
from browser.wedge import in_field, scan, shown, verdict
from floor_work import lay, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.accounts.badges import badge_of
from lotroot.holds.handling import PlaceHold
from lotroot.identity import Command
from lotroot.identity.showing import shown as as_shown
from playwright.sync_api import Page, expect
from served import served

MM = 3.8
"""px on a panel at 96 an inch."""


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        made = a_house(tmp_path)
        yield made
        made.database.close()


@pytest.fixture
def address(house: House) -> Iterator[str]:
    with served(house.database, house.door) as found:
        yield found


def badge(house: House, who: str = "operator") -> str:
    return str(house.ask(badge_of, house.people[who]))


def at(page: Page, address: str, station: str) -> Page:
    page.goto(f"{address}/signin")
    page.click(f"button[value={station}]")
    page.wait_for_url("**/station")
    return page


def drawing(open_tab, house: House, address: str, size: tuple[int, int] = PANEL) -> tuple[Page, str]:
    """At a drawing machine with a rod on and two strippers made."""
    rod = lay(house, "rod_55", 2_000_000)
    page = at(open_tab(f"{address}/signin", size), address, "draw_1")
    for text, state in ((badge(house), "accepted"), (rod, "ask"), ("1", "asked_done")):
        scan(page, text)
        verdict(page, state)
    for weight in ("412.5", "398"):
        scan(page, weight)
        expect(page.locator("[data-part=scanned]")).to_have_text(weight)
        verdict(page, "accepted")
    return page, rod


def test_a_shift_is_worked_without_a_pointer_and_the_field_never_loses_the_focus(
    open_tab, house: House, address: str
) -> None:
    page, rod = drawing(open_tab, house, address)
    page.evaluate("window.pressed = 0; addEventListener('pointerdown', () => { pressed += 1; }, true)")
    after = lay(house, "rod_55", 1_900_000)
    steps = [
        (after, "ask"),
        (Command.YES.code, "asked_done"),  # it has run out, this one is welded on
        ("401,5", "accepted"),
        (Command.SCRAP.code, "ask"),
        ("1", "accepted"),
        ("12.5", "accepted"),
        (Command.BROKE.code, "accepted"),
        (Command.WAIT.code, "accepted"),
        (Command.UNDO.code, "accepted"),
        (rod, "refused"),  # used up
        (Command.PART.code, "ask"),
        (Command.YES.code, "asked_done"),
        (Command.DONE.code, "accepted"),
    ]
    for text, state in steps:
        scan(page, text)
        verdict(page, state)
        assert in_field(page), text
    assert page.evaluate("pressed") == 0
    expect(page.locator("[data-part=next]")).to_have_text("Scan the rod")


@pytest.mark.in_ci
@pytest.mark.parametrize("station", ["draw_1", "nail_1"])
def test_everything_of_a_run_stands_on_one_panel(open_tab, house: House, address: str, station: str) -> None:
    page, _ = drawing(open_tab, house, address)
    if station == "nail_1":
        at(page, address, station)
        for text, state in (
            (badge(house), "accepted"),
            (lay(house, "wire_25", 900_000), "ask"),
            ("1", "asked_done"),
        ):
            scan(page, text)
            verdict(page, state)
    parts = boxes(
        page, "[data-part=verdict], #station-loaded, #station-made, [data-scan=DONE], [data-scan=UNDO]"
    )
    assert len(parts) == 5
    assert [one for one in parts if one["y"] + one["height"] > PANEL[1]] == []


def test_commands_are_large_enough_for_gloves_and_apart(open_tab, house: House, address: str) -> None:
    page, _ = drawing(open_tab, house, address)
    keys = boxes(page, ".station-acts .big, .scan-enter, .scan-field")
    assert [one for one in keys if one["height"] < 20 * MM or one["width"] < 20 * MM] == []
    acts = boxes(page, ".station-acts .big")
    for one in acts:
        for other in acts:
            across = other["x"] - (one["x"] + one["width"])
            beside = one["y"] == other["y"] and across > -1
            assert not beside or across >= 3 * MM, (one, other)


@pytest.mark.in_ci
def test_letters_are_read_at_arm_s_length_and_the_verdict_from_the_machine(
    open_tab, house: House, address: str
) -> None:
    page, rod = drawing(open_tab, house, address)
    small = [one for one in font_sizes(page, "main *") if one[0] < 24]
    assert small == []
    assert all(size >= 34 for size, _ in font_sizes(page, "#station-loaded .lot"))
    held = lay(house, "rod_55", 100_000)
    house.post(PlaceHold("zinc low", held), "qa")
    for text, state in ((rod, "already"), ("x", "refused"), (held, "held"), ("PART", "ask"), ("0", "none")):
        scan(page, text)
        verdict(page, state)
        (word,) = font_sizes(page, ".verdict-word")
        assert word[0] >= 100, state
        low = [one for one in text_contrasts(page) if one[0] < 7]
        assert low == [], state


@pytest.mark.parametrize("size", [PANEL, HAND_HELD], ids=["panel", "hand-held"])
def test_axe_finds_nothing_and_nothing_runs_off_the_side(
    open_tab, house: House, address: str, size: tuple[int, int], thorough: bool
) -> None:
    """In the quick profile axe sees a hand-held once; what is on it is what is on the panel."""
    page, rod = drawing(open_tab, house, address, size)
    for text, state in ((rod, "already"), ("x", "refused"), ("PART", "ask")):
        scan(page, text)
        verdict(page, state)
        assert sideways(page) == 0
        if thorough or size == PANEL or state == "ask":
            assert [one["id"] for one in Axe().run(page).response["violations"]] == []


def test_a_machine_with_fourteen_payoffs_is_pressed_or_scanned(open_tab, house: House, address: str) -> None:
    page = at(open_tab(f"{address}/signin"), address, "mesh_1")
    scan(page, badge(house))
    verdict(page, "accepted")
    keys = boxes(page, ".payoff")
    assert len(keys) == 14
    assert [one for one in keys if one["height"] < 20 * MM] == []
    page.click(".payoff >> nth=6")
    expect(page.locator("[data-part=next]")).to_have_text("Long wire 7: scan its coil")
    coil = lay(house, "wire_60", 900_000)
    scan(page, coil)
    expect(page.locator(".payoff >> nth=6")).to_contain_text(as_shown(coil))
    expect(page.locator(".payoff >> nth=6")).to_contain_text("900")


def test_a_reload_and_another_tablet_show_the_same_run(open_tab, house: House, address: str) -> None:
    page, rod = drawing(open_tab, house, address)
    wanted = [as_shown(rod), "412.5", "398"]
    page.reload()
    other = at(open_tab(f"{address}/signin"), address, "draw_1")
    for one in (page, other):
        for text in wanted:
            expect(one.locator("main")).to_contain_text(text)
        assert "Last here:" in shown(one)


def test_a_scan_made_while_the_server_is_away_is_recorded_once_for_who_made_it(
    open_tab, house: House, address: str
) -> None:
    page, _ = drawing(open_tab, house, address)
    page.context.set_offline(True)
    scan(page, "377")
    verdict(page, "unsent")
    page.context.set_offline(False)
    verdict(page, "accepted", timeout=20_000)
    made = run_at(house, "draw_1").outputs
    assert [one.own for one in made] == [412_500, 398_000, 377_000]
    assert made[-1].person == house.people["operator"]


def test_a_badge_is_never_written_on_the_screen(open_tab, house: House, address: str) -> None:
    page = at(open_tab(f"{address}/signin"), address, "draw_1")
    scan(page, badge(house))
    verdict(page, "accepted")
    assert badge(house) not in page.content()
    expect(page.locator("[data-part=scanned]")).to_have_text("Badge")


def test_a_supervisor_states_what_has_happened_by_badge_and_pin(open_tab, house: House, address: str) -> None:
    page, _ = drawing(open_tab, house, address)
    held = lay(house, "rod_55", 100_000)
    house.post(PlaceHold("zinc low", held), "qa")
    scan(page, held)
    verdict(page, "held")
    page.get_by_role("link", name="It has happened already").click()
    expect(page.get_by_label("Supervisor’s badge")).to_be_focused()
    assert sideways(page) == 0
    page.get_by_role("link", name="Leave it").click()
    page.wait_for_url("**/station")


def test_a_weight_off_the_scale_is_told_from_one_typed_by_fingers(
    open_tab, house: House, address: str
) -> None:
    """The driver types at its own pace, which drops on a busy machine: one of the bursts has to be one."""
    page, _ = drawing(open_tab, house, address)
    scan(page, "401")
    verdict(page, "accepted")
    page.keyboard.type("395", delay=120)
    page.wait_for_timeout(120)
    page.keyboard.press("Enter")
    expect(page.locator("[data-part=scanned]")).to_have_text("395")
    verdict(page, "accepted")
    *bursts, fingers = [one.typed_by for one in run_at(house, "draw_1").outputs]
    assert "scale" in bursts
    assert fingers == "hand"
