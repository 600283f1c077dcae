"""Can the pages be tricked: forged requests, planted cookies, guessed PINs, bombs, leaks?

Sources: OWASP ASVS 5.0 3.3.1-3.3.4, 3.4.3-3.4.6, 3.5.1, 3.5.3, 5.2.1, 7.2.4, 16.5.1; NIST SP 800-63B-4 3.2.2.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from floor_work import at, lay, ok
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.accounts.badges import badge_of
from lotroot.accounts.handling import SetPin
from lotroot.holds.handling import PlaceHold
from lotroot.ledger.book import head
from lotroot.posting.status import tables
from lotroot.questions import open_questions
from lotroot.web.health import engine_line
from terminals import Terminal, new_key, web

PIN = "2580"


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        made = a_house(tmp_path)
        yield made
        made.database.close()


def operational(house: House) -> dict[str, list[dict[str, Any]]]:
    return {table.name: house.rows(table) for table in tables("operational")}


def addresses(terminal: Terminal, method: str) -> list[str]:
    """Every address that takes a method; parts that are asked for get something that is not there."""
    rules = [
        rule for rule in terminal.client.application.url_map.iter_rules() if method in (rule.methods or ())
    ]
    return sorted(re.sub(r"<(?:int:)?\w+>", "7", rule.rule) for rule in rules if rule.endpoint != "static")


# ---- forged requests


def test_every_change_is_refused_without_this_browser_s_token(house: House) -> None:
    terminal = at(house, "nail_1")
    other = at(house, "nail_2")
    by_token = [address for address in addresses(terminal, "POST") if address.startswith("/api/")]
    before = house.ask(head)
    for address in addresses(terminal, "POST"):
        if address in by_token:
            continue
        for token in ("", "0" * 64, other.token("/")):
            answer = terminal.client.post(address, data={"csrf_token": token})
            assert answer.status_code == 419, (address, token)
    assert house.ask(head) == before


def test_a_request_from_another_site_is_refused_with_the_right_token_too(house: House) -> None:
    terminal = at(house, "nail_1")
    answer = terminal.send(terminal.body("DONE"), **{"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 419
    assert answer.get_json()["next"] == "Load the page again, then repeat it."


def test_nothing_changes_by_looking(house: House) -> None:
    terminal = at(house, "nail_1", "administrator")
    before = (house.ask(head), house.status(), operational(house))
    for address in addresses(terminal, "GET"):
        assert terminal.client.get(address).status_code < 500, address
    assert (house.ask(head), house.status(), operational(house)) == before


def test_the_character_no_text_has_is_refused_on_either_engine(database_url: str) -> None:
    """PostgreSQL fails on it wherever it is looked for."""
    house = a_house(database_url)
    try:
        terminal = at(house, "nail_1")
        for address in ("/lots/a%00b", "/lots/a%00b/picture", "/find?q=a%00b", "/compare?a=a%00b"):
            assert terminal.client.get(address).status_code == 422, address
        answer = terminal.post("/holds", key=new_key(), lot="a\0b", words="brittle")
        assert answer.status_code == 422
        assert "a character that no text has" in answer.text
    finally:
        house.database.close()


# ---- cookies


def cookie_of(terminal: Terminal) -> str:
    cookie = terminal.client.get_cookie("lotroot")
    assert cookie is not None
    return cookie.value


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(house: House) -> None:
    (set_cookie,) = Terminal(house).client.get("/signin").headers.getlist("Set-Cookie")
    assert re.match(r"lotroot=[\w-]{43};", set_cookie)
    assert "HttpOnly" in set_cookie
    assert "SameSite=Strict" in set_cookie
    assert "Secure" not in set_cookie


def test_over_https_the_cookie_is_bound_to_the_host(house: House) -> None:
    answer = web(house).test_client().get("/signin", base_url="https://plant.example")
    (set_cookie,) = answer.headers.getlist("Set-Cookie")
    assert set_cookie.startswith("__Host-lotroot=")
    assert "Secure" in set_cookie
    assert "Path=/" in set_cookie
    assert answer.headers["Strict-Transport-Security"] == "max-age=31536000"


def test_signing_in_gives_a_new_cookie_and_ends_the_old_one(house: House) -> None:
    terminal = Terminal(house)
    terminal.client.get("/signin")
    planted = cookie_of(terminal)
    terminal.at("nail_1")
    first = cookie_of(terminal)
    terminal.at("nail_2")
    assert len({planted, first, cookie_of(terminal)}) == 3
    for stale in (planted, first):
        stranger = web(house).test_client()
        stranger.set_cookie("lotroot", stale)
        assert stranger.get("/station").status_code == 401


def test_signing_out_ends_the_sign_in_for_good(house: House) -> None:
    terminal = at(house, "nail_1")
    kept = cookie_of(terminal)
    assert terminal.post("/signout").location == "/signin"
    terminal.client.set_cookie("lotroot", kept)
    assert terminal.client.get("/station").status_code == 401


# ---- what every answer carries


def test_every_page_is_strict_and_without_inline_script_or_style(house: House) -> None:
    terminal = at(house, "nail_1", "administrator")
    for address in addresses(terminal, "GET"):
        answer = terminal.client.get(address)
        policy = answer.headers["Content-Security-Policy"]
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff", address
        assert answer.headers["Referrer-Policy"]
        assert "camera=(self)" in answer.headers["Permissions-Policy"]
        if answer.mimetype == "text/html":
            loose = re.findall(
                r"<script(?![^>]*(?:src=|application/json))[^>]*>|<style|\sstyle=|\son\w+=", answer.text
            )
            assert loose == [], address


def test_a_fault_shows_no_trace_and_is_told_to_programs_as_a_problem(house: House) -> None:
    app = web(house)

    @app.get("/scan/stumble")
    @app.get("/stumble")
    def stumble() -> str:
        raise RuntimeError("a secret in a message")

    client = app.test_client()
    page, problem = client.get("/stumble"), client.get("/scan/stumble")
    assert (page.status_code, problem.status_code) == (500, 500)
    assert "secret" not in page.text + problem.text
    assert "Traceback" not in page.text
    assert problem.mimetype == "application/problem+json"
    assert "The program has stumbled" in page.text


# ---- bodies that hurt


@pytest.mark.parametrize(
    ("body", "status"),
    [
        # not JSON, or not an object
        (b"", 422),
        (b"\xff\xfe", 422),
        (b"[]", 422),
        (b'"text"', 422),
        (b"{}", 400),  # no key
        # bombs and what readers keep differently
        (b"[" * 100_000, 422),
        (b'{"a":' * 20_000, 422),
        (b'{"key":NaN}', 422),
        (b'{"key":1e999}', 422),
        (b'{"key":' + b"9" * 5000 + b"}", 422),
        (b'{"key":"a","key":"b"}', 422),
        # too large
        (b'{"text":"' + b"x" * 1_100_000 + b'"}', 413),
    ],
)
def test_a_body_that_hurts_is_refused_in_words(house: House, body: bytes, status: int) -> None:
    terminal = at(house, "nail_1")
    headers = {"X-CSRF-Token": terminal.token("/"), "Content-Type": "application/json"}
    answer = terminal.client.post("/scan/station", data=body, headers=headers)
    assert answer.status_code == status, answer.text
    assert answer.mimetype == "application/problem+json"
    assert answer.get_json()["next"]


@pytest.mark.parametrize(
    "more",
    [
        {"text": 7},
        {"text": "x" * 257},
        {"answers": {"left": 1}},
        {"answers": []},
        {"context": "text"},
        {"surprise": True},
        {"person": "H" * 400},
    ],
)
def test_a_scan_of_another_shape_is_refused_in_words(house: House, more: dict[str, Any]) -> None:
    terminal = at(house, "nail_1")
    answer = terminal.send(terminal.body("DONE") | more)
    assert answer.status_code == 422
    assert answer.get_json()["type"] == "/problems/invalid"


@pytest.mark.parametrize(
    "context",
    [
        {"do": "scrap", "reason": "no such reason"},
        {"do": "weigh", "lot": "R2600012383"},
        {"do": "load", "lot": "C2600000734"},
        {"carrier": "P2600000014"},
        {"amount": 10**12},
        {"amount": "12"},
        {"output": "no such output", "payoff": "no such payoff"},
        {"process": "no such process"},
    ],
)
def test_a_context_that_was_tampered_with_is_never_a_fault(house: House, context: dict[str, Any]) -> None:
    terminal = at(house, "draw_1")
    terminal.answer(lay(house, "rod_55", 900_000), "wire_25")
    for text in ("412", "DONE", "PART", "SAME AGAIN"):
        answer = terminal.send({**terminal.body(text), "context": context})
        assert answer.status_code in (200, 404, 422), (text, answer.text)


def test_a_key_must_stand_in_body_and_header_alike(house: House) -> None:
    terminal = at(house, "nail_1")
    answer = terminal.send(terminal.body("DONE"), **{"Idempotency-Key": new_key()})
    assert (answer.status_code, answer.get_json()["type"]) == (400, "/problems/key-missing")


# ---- PINs and overrides


def held_rod(house: House) -> tuple[Terminal, str, str]:
    """A held coil refused at a machine, and the address that takes a supervisor's badge and PIN."""
    house.post(SetPin(house.people["supervisor"]), secret=PIN)
    rod = lay(house, "rod_55", 900_000)
    house.post(PlaceHold("zinc low", rod), "qa")
    terminal = at(house, "draw_1")
    refused = terminal.scan(rod)
    assert refused["verdict"] == "held"
    link = re.search(r"/pin/[\w-]+", refused["fragments"]["override"])
    assert link
    return terminal, rod, link[0]


def badge(house: House, who: str) -> str:
    return str(house.ask(badge_of, house.people[who]))


def test_what_has_happened_already_takes_a_supervisor_and_is_in_question(house: House) -> None:
    terminal, rod, address = held_rod(house)
    assert "It has happened already" in terminal.client.get(address).text
    wrong = terminal.post(address, badge=badge(house, "operator"), pin=PIN)
    assert wrong.status_code == 403
    done = terminal.post(address, badge=badge(house, "supervisor"), pin=PIN)
    assert done.status_code == 303
    assert any(row.subject == rod for row in house.ask(open_questions))
    assert terminal.client.get(address).status_code == 404  # it was one act, and it is done


def test_an_act_waits_for_its_pin_in_its_own_browser_only(house: House) -> None:
    _, _, address = held_rod(house)
    assert at(house, "draw_1").client.get(address).status_code == 404


def test_wrong_pins_are_slowed_and_ten_lock_it(house: House) -> None:
    terminal, _, address = held_rod(house)
    says = []
    for number in range(4):
        answer = terminal.post(address, badge=badge(house, "supervisor"), pin=f"{number:04d}")
        says.append(answer.text)
    assert "The PIN does not fit." in says[2]
    assert "Too many tries in a row" in says[3]
    assert PIN not in "".join(says)


def test_a_pin_is_not_asked_for_what_needs_none(house: House) -> None:
    terminal = at(house, "draw_1")
    terminal.answer(lay(house, "rod_55", 900_000), "wire_25")
    assert ok(terminal.scan("412")).get("goto") is None


def test_guessing_codes_through_the_api_is_slowed_too(house: House) -> None:
    client = web(house).test_client()
    tried = [client.post("/api/devices", json={"code": f"{number:010d}"}).status_code for number in range(12)]
    assert tried == [401] * 10 + [429] * 2


# ---- numbers in addresses


@pytest.mark.parametrize("number", ["9" * 19, "9" * 5000, "\u0661", "9" * 15, "0"])
def test_a_number_that_nothing_has_is_no_address(house: House, number: str) -> None:
    terminal = Terminal(house).at("laboratory")
    terminal.badge("administrator")
    for address in ("/emergency/{}/labels.pdf", "/emergency/{}/form.pdf"):
        assert terminal.client.get(address.format(number)).status_code == 404
    for address in ("/queue/{}/print", "/queue/{}/elsewhere", "/queue/{}/printed", "/queue/{}/drop"):
        answer = terminal.post(address.format(number), key="k" * 32, reason="x")
        assert answer.status_code == 404, answer.text


# ---- health


def test_health_is_open_says_what_runs_and_nothing_of_the_plant(house: House) -> None:
    client = web(house).test_client()
    page = client.get("/health")
    assert page.status_code == 200
    assert "All is well" in page.text
    told = client.get("/health", headers={"Accept": "application/json"}).get_json()
    assert [line["name"] for line in told["lines"]] == ["Database", "Ledger"]


@pytest.mark.parametrize(
    ("version", "well"),
    [
        ("SQLite 3.40.1", False),
        ("SQLite 3.51.2", False),
        ("SQLite 3.51.3", True),
        ("SQLite 3.52.0", True),
        ("PostgreSQL 18.1", True),
    ],
)
def test_an_sqlite_that_may_damage_a_database_is_said_to(version: str, well: bool) -> None:
    line = engine_line(version)
    assert line.well is well
    assert version in line.words
