"""Is a scan the server has not answered kept, shown, and sent once?"""

import pytest
from browser.scripted import Floor
from browser.wedge import drained, in_field, kept_keys, scan, shown, verdict
from playwright.sync_api import Page, Route, expect

LOT, BACK = "R2600012383", "/station"


@pytest.fixture
def station(open_tab, floor: Floor) -> Page:
    return open_tab(f"{floor.address}/station")


@pytest.fixture
def unplugged(station: Page, floor: Floor):
    """A station whose server has gone away; it is back after the test in any case."""
    floor.stop()
    yield station
    if not floor.thread.is_alive():
        floor.start()


def unsent_count(page: Page, count: int) -> None:
    expect(page.locator("#unsent-title")).to_have_text(f"Not sent: {count}")
    expect(page.locator("[data-part=unsent-list] li")).to_have_count(count)


def test_nothing_is_kept_once_the_server_answered(station: Page) -> None:
    scan(station, LOT)
    verdict(station, "accepted")
    expect(station.locator("[data-part=unsent]")).to_be_hidden()
    assert kept_keys(station) == []


def test_with_the_server_away_a_scan_is_not_sent_survives_the_page_and_goes_out_once(
    unplugged: Page, floor: Floor
) -> None:
    scan(unplugged, LOT)
    verdict(unplugged, "unsent")
    unsent_count(unplugged, 1)
    assert "Not sent".lower() in shown(unplugged).lower()
    assert in_field(unplugged)
    [key] = kept_keys(unplugged)
    unplugged.goto("about:blank")
    floor.start()
    unplugged.goto(floor.address + BACK)
    verdict(unplugged, "accepted")
    expect(unplugged.locator("[data-part=unsent]")).to_be_hidden()
    unplugged.reload()
    unplugged.wait_for_timeout(300)
    assert [post["key"] for post in floor.script.posts] == [key]
    assert kept_keys(unplugged) == []


def test_kept_scans_go_out_by_themselves_in_order_with_their_own_time(unplugged: Page, floor: Floor) -> None:
    texts = ["B1", "B2", "B3"]
    for count, text in enumerate(texts, start=1):
        scan(unplugged, text)
        unsent_count(unplugged, count)
    floor.start()
    verdict(unplugged, "accepted", timeout=6000)  # tried again after 1, 2, 4 s
    expect(unplugged.locator("[data-part=unsent]")).to_be_hidden()
    assert floor.script.texts == texts
    times = [post["at"] for post in floor.script.posts]
    assert times == sorted(times)
    assert len(set(times)) == 3


@pytest.mark.parametrize("away", [False, True])
def test_a_scan_made_before_the_answer_to_the_one_before_falls_into_what_that_answer_left(
    station: Page, floor: Floor, away: bool
) -> None:
    """A weight and its pan: the pan alone says nothing, and what was weighed would stand unrecorded."""
    if away:
        floor.stop()
    floor.script.delay = 0.2
    for text in (LOT, "B1"):
        scan(station, text)
    if away:
        unsent_count(station, 2)
        station.goto("about:blank")
        floor.start()
        station.goto(floor.address + BACK)
    drained(station)
    assert [(post["text"], post["context"]) for post in floor.script.posts] == [
        (LOT, {"page": "station's <run>"}),
        ("B1", {"loaded": LOT}),
    ]


def test_a_scan_made_while_the_page_goes_elsewhere_is_one_of_the_page_gone_to(
    station: Page, floor: Floor
) -> None:
    floor.script.delay = 0.2
    floor.script.extra["NEXT"] = {"verdict": "accepted", "context": {"old": 1}, "goto": "/station?next=Box"}
    for text in ("NEXT", "B1"):
        scan(station, text)
    station.wait_for_url("**/station?next=Box")
    drained(station)
    assert floor.script.texts == ["NEXT", "B1"]
    assert floor.script.posts[1]["context"] == {"page": "station's <run>"}


def test_an_answer_lost_on_the_way_is_asked_for_with_the_same_key(station: Page, floor: Floor) -> None:
    lost = []

    def lose_first(route: Route) -> None:
        response = route.fetch()  # the server has it, the page never hears
        if lost:
            route.fulfill(response=response)
        else:
            lost.append(response.status)
            route.abort()

    station.route("**/scan", lose_first)
    scan(station, LOT)
    verdict(station, "unsent")
    verdict(station, "accepted")
    assert lost == [200]
    assert len(floor.script.posts) == 2
    assert floor.script.posts[0] == floor.script.posts[1]


def test_a_silent_server_is_named_after_two_seconds(station: Page, floor: Floor) -> None:
    floor.script.delay = 2.8
    scan(station, LOT)
    station.wait_for_timeout(1700)
    verdict(station, "reading", timeout=1)
    verdict(station, "unsent", timeout=700)
    assert "No answer from the server yet." in shown(station)
    unsent_count(station, 1)
    verdict(station, "accepted")
    expect(station.locator("[data-part=unsent]")).to_be_hidden()
    assert floor.script.texts == [LOT]


@pytest.mark.parametrize(
    ("status", "problem", "words"),
    [
        (401, {}, "Sign the terminal in"),
        (403, {"detail": "Only QA may release.", "next": "Call Tomas Reiter."}, "Call Tomas Reiter."),
        (419, {}, "Load the page again"),
    ],
)
def test_a_failed_session_keeps_the_scan_and_says_what_to_do(
    station: Page, floor: Floor, status: int, problem: dict[str, str], words: str
) -> None:
    floor.script.status, floor.script.problem = status, problem
    scan(station, LOT)
    verdict(station, "unsent")
    assert words in shown(station)
    unsent_count(station, 1)
    station.wait_for_timeout(1300)
    assert len(floor.script.posts) == 1  # nothing more until somebody acts
    floor.script.status = 200
    station.locator("[data-part=status] a").click()
    if status != 419:
        station.wait_for_url("**/signin")
        station.goto(floor.address + BACK)
    verdict(station, "accepted")
    assert floor.script.keys_of(LOT) == {floor.script.posts[0]["key"]}
    assert len(floor.script.posts) == 2


def test_a_server_fault_is_tried_three_times_and_then_put_aside(station: Page, floor: Floor) -> None:
    floor.script.status = 500
    floor.script.problem = {"detail": "The record contradicts itself.", "next": "Write the number down."}
    scan(station, "B1")
    expect(station.locator("[data-part=unsent-list]")).to_contain_text("contradicts", timeout=6000)
    assert len(floor.script.posts) == 3
    floor.script.status = 200
    scan(station, "B2")
    verdict(station, "accepted")
    unsent_count(station, 1)
    station.reload()
    unsent_count(station, 1)
    station.locator("[data-part=try]").click()
    expect(station.locator("[data-part=unsent]")).to_be_hidden()
    assert floor.script.texts == ["B1", "B1", "B1", "B2", "B1"]
    assert len(floor.script.keys_of("B1")) == 1


def test_an_answer_without_a_verdict_is_put_aside_at_once(station: Page, floor: Floor) -> None:
    floor.script.status = 422
    scan(station, "B1")
    verdict(station, "unsent")
    assert "answer 422" in shown(station)
    unsent_count(station, 1)


@pytest.mark.parametrize("question", [None, {"id": "odd", "text": "Which?", "choices": []}])
def test_a_question_nobody_can_answer_is_put_aside_and_stops_nothing(
    station: Page, floor: Floor, question: object
) -> None:
    floor.script.extra["B1"] = {"verdict": "ask", "question": question}
    scan(station, "B1")
    verdict(station, "unsent")
    scan(station, "B2")
    verdict(station, "accepted")
    unsent_count(station, 1)


def test_a_page_that_is_not_the_server_settles_nothing(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station?endpoint=/portal")
    scan(page, LOT)
    verdict(page, "unsent")
    assert len(kept_keys(page)) == 1


def test_a_browser_that_keeps_nothing_says_so_and_still_sends(open_tab, floor: Floor) -> None:
    page = open_tab("about:blank")
    page.add_init_script("IDBFactory.prototype.open = () => { throw new DOMException('storage is off'); };")
    page.goto(floor.address + BACK)
    expect(page.locator("[data-part=memory]")).to_be_visible()
    for text in ("B1", "B2"):
        scan(page, text)
    expect(page.locator("[data-part=status]")).to_contain_text("B2 is recorded.")
    assert floor.script.texts == ["B1", "B2"]


def test_an_answer_to_a_kept_scan_that_must_be_read_stays_until_seen(unplugged: Page, floor: Floor) -> None:
    for count, text in enumerate(["P2600021017", LOT], start=1):
        scan(unplugged, text)
        unsent_count(unplugged, count)
    floor.start()
    unplugged.locator("[data-part=try]").click()
    verdict(unplugged, "accepted")
    late = unplugged.locator("[data-part=late]")
    expect(late.locator("li")).to_have_count(1)
    expect(late).to_contain_text("A stripper was expected.")
    unplugged.reload()
    expect(late).to_contain_text("A stripper was expected.")
    late.get_by_role("button", name="Seen").click()
    expect(late).to_be_hidden()
    assert kept_keys(unplugged) == []
    assert len(floor.script.posts) == 2


def test_scans_behind_an_unsent_badge_leave_the_person_to_the_server(unplugged: Page, floor: Floor) -> None:
    texts = ["B1", "H0000000000000001", "B2"]
    for count, text in enumerate(texts, start=1):
        scan(unplugged, text)
        unsent_count(unplugged, count)
    floor.start()
    unplugged.locator("[data-part=try]").click()
    expect(unplugged.locator("[data-part=unsent]")).to_be_hidden()
    people = {post["text"]: post["person"] for post in floor.script.posts}
    assert people == {"B1": "H2600000411", "H0000000000000001": "H2600000411", "B2": None}


def test_a_scan_kept_on_one_page_goes_to_its_own_address_from_another(unplugged: Page, floor: Floor) -> None:
    scan(unplugged, LOT)
    unsent_count(unplugged, 1)
    unplugged.goto("about:blank")
    floor.start()
    unplugged.goto(f"{floor.address}/station?endpoint=/other-scan")
    verdict(unplugged, "accepted")
    assert [post["path"] for post in floor.script.posts] == ["/scan"]
    expect(unplugged.locator("#loaded")).to_contain_text(
        "Nothing is loaded"
    )  # this page is another station's
