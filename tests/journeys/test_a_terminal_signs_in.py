"""Who gets in at a browser, and how long do they stay?"""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from houses import House, a_house
from lotroot.accounts.badges import badge_of
from lotroot.accounts.devices import devices
from lotroot.accounts.enrolment import AllowDevice, RevokeDevice
from lotroot.accounts.handling import RemovePerson, SetPin
from lotroot.web.scene import Page, Say, Scanned, Shown
from terminals import Terminal, web

ECHO = Page("echo", lambda _scene, scanned: _echo(scanned), lambda _scene: Shown("Scan anything"))


def _echo(scanned: Scanned) -> Say | None:
    return Say(f"Read: {scanned.text}") if scanned.value is None else None


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


def terminal(house: House, *, demo: bool = True) -> Terminal:
    app = web(house, demo=demo)
    app.extensions["lotroot"].pages["echo"] = ECHO
    return Terminal(house, app).on("echo")


def test_a_stranger_is_sent_to_sign_in(house: House) -> None:
    response = terminal(house).client.get("/")
    assert (response.status_code, response.location) == (303, "/signin")


def test_a_stranger_s_scan_is_kept_until_the_terminal_is_signed_in(house: House) -> None:
    stranger = terminal(house)
    response = stranger.send(stranger.body("R2600012383"))
    assert response.status_code == 401
    assert response.mimetype == "application/problem+json"
    assert response.get_json()["type"] == "/problems/who"


def test_nobody_on_duty_is_a_verdict_and_a_badge_ends_it(house: House) -> None:
    one = terminal(house).at("nail_1")
    assert one.scan("anything")["verdict"] == "refused"
    assert one.last["next"] == "Scan your badge"
    assert one.badge("operator")["say"] == "The operator is on duty here now."
    assert house.people["operator"] in one.last["fragments"]["on-duty"]
    assert one.scan("anything")["say"] == "Read: anything"


def test_a_second_scan_of_a_badge_says_so_and_another_badge_takes_over(house: House) -> None:
    one = terminal(house).at("nail_1")
    one.badge("operator")
    assert one.badge("operator")["verdict"] == "already"
    assert one.badge("supervisor")["say"] == "The supervisor is on duty here now."


def test_a_duty_ends_with_the_shift_and_by_signing_off(house: House) -> None:
    one = terminal(house).at("nail_1")
    one.badge("operator")
    house.clock.forward(hours=9)
    assert one.scan("anything")["verdict"] == "refused"
    one.badge("operator")
    assert one.scan("Sign off")["say"] == "Nobody is on duty here now."
    assert one.scan("anything")["verdict"] == "refused"


def test_who_has_left_works_nowhere(house: House) -> None:
    one = terminal(house).at("nail_1")
    one.badge("operator")
    badge = str(house.ask(badge_of, house.people["operator"]))
    house.post(RemovePerson(house.people["operator"]))
    assert one.scan("anything")["verdict"] == "refused"
    assert one.scan(badge)["say"] == "This badge is not valid here."


def test_a_kept_scan_carries_its_own_person_but_no_stranger(house: House) -> None:
    one = terminal(house).at("nail_1")
    one.badge("operator")
    one.badge("supervisor")
    late = {"late": timedelta(minutes=3)}
    assert one.scan("kept", person=house.people["operator"], **late)["verdict"] == "accepted"
    assert one.scan("kept", person=house.people["qa"], **late)["verdict"] == "refused"


def test_a_machine_s_own_label_moves_a_terminal_there(house: House) -> None:
    one = terminal(house).at("nail_1")
    one.badge("operator")
    there = house.thing("station", "nail_2")
    assert one.scan(there)["goto"] == "/station"
    assert one.scan(there, station="nail_2")["verdict"] == "already"


def test_outside_the_demo_a_terminal_needs_its_code_once(house: House) -> None:
    one = terminal(house, demo=False)
    assert one.post("/signin/station", station="nail_1").status_code == 403
    made = house.post(AllowDevice("Tablet at nail machine 1", house.thing("station", "nail_1")))
    code = next(row.code for row in house.ask(devices) if row.number == made.numbers[0])
    assert one.post("/signin/code", code="123 456 7890").status_code == 401
    typed = f"{code[:3]} {code[3:6]} {code[6:]}"
    assert one.post("/signin/code", code=typed).location == "/station"
    one.station = "nail_1"
    assert one.badge("operator")["verdict"] == "accepted"
    other = terminal(house, demo=False)
    assert other.post("/signin/code", code=code).status_code == 401
    house.post(RevokeDevice(made.numbers[0]))
    assert one.send(one.body("anything")).status_code == 401


def test_a_scanned_badge_waits_for_its_pin_and_is_no_wrong_try(house: House) -> None:
    house.post(SetPin(house.people["qa"]), secret="2580")
    badge = str(house.ask(badge_of, house.people["qa"]))
    one = terminal(house, demo=False)
    for _scan in range(12):  # ten wrong tries would lock the PIN, and close the door for a minute
        asked = one.post("/signin/badge", badge=badge, pin="")
        assert (asked.status_code, "Now type its PIN" in asked.text) == (200, True)
    field = re.search(r'<input id="field-pin"[^>]*>', asked.text)
    assert field
    assert "autofocus" in field[0]
    assert one.post("/signin/badge", badge=f"{badge} ", pin="2580").location == "/"


def test_what_is_wrong_at_sign_in_stands_at_its_own_field(house: House) -> None:
    house.post(SetPin(house.people["qa"]), secret="2580")
    badge = str(house.ask(badge_of, house.people["qa"]))
    one = terminal(house, demo=False)
    assert 'id="error-pin"' in one.post("/signin/badge", badge=badge, pin="1111").text
    assert 'id="error-badge"' in one.post("/signin/badge", badge="nonsense", pin="").text


def test_an_office_is_signed_in_by_badge_and_pin_for_a_day(house: House) -> None:
    house.post(SetPin(house.people["qa"]), secret="2580")
    badge = str(house.ask(badge_of, house.people["qa"]))
    one = terminal(house, demo=False)
    assert one.post("/signin/badge", badge=badge, pin="1111").status_code == 401
    assert one.post("/signin/badge", badge=badge, pin="2580").location == "/"
    assert "The qa" in one.client.get("/").text
    house.clock.forward(hours=13)
    assert one.client.get("/").location == "/signin"


def test_guessing_codes_is_slowed(house: House) -> None:
    one = terminal(house, demo=False)
    statuses = [one.post("/signin/code", code=f"{number:010d}").status_code for number in range(12)]
    assert statuses == [401] * 10 + [429] * 2


def test_a_badge_is_never_written_on_a_page(house: House) -> None:
    one = terminal(house).at("nail_1")
    badge = str(house.ask(badge_of, house.people["operator"]))
    one.scan(badge)
    everything = f"{one.last}{one.client.get('/').text}"
    assert not re.search(badge, everything)
