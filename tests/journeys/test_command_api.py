"""Does the command API keep to CONTRACTS to the letter?"""

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from houses import House, a_house
from lotroot.accounts.badges import badge_of
from lotroot.accounts.devices import devices
from lotroot.accounts.enrolment import AllowDevice
from lotroot.accounts.handling import SetPin
from lotroot.ledger.book import head
from lotroot.posting.features import COMMANDS
from lotroot.production.loading import LoadInput
from lotroot.web.api import ENVELOPE
from shop import Shop
from terminals import web
from werkzeug.test import TestResponse

KEY = "0f4b7a1c-one-key-of-a-device"


class Device:
    """A program that records: it enrolled with a code, and holds a token."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.client: FlaskClient = web(house).test_client()
        house.post(AllowDevice("A hand-held"))
        (row,) = house.ask(devices)
        enrolled = self.client.post("/api/devices", json={"code": row.code})
        assert enrolled.status_code == 201
        self.token = enrolled.get_json()["token"]

    def send(self, name: str, body: Any, key: str = KEY, **headers: str) -> TestResponse:
        kept = {"Authorization": f"Bearer {self.token}", "Idempotency-Key": key, **headers}
        return self.client.post(f"/api/commands/{name}", json=body, headers=kept)

    def read(self, address: str, **headers: str) -> TestResponse:
        return self.client.get(address, headers={"Authorization": f"Bearer {self.token}", **headers})


@pytest.fixture
def device(tmp_path: Path) -> Device:
    return Device(a_house(tmp_path))


def receipt(device: Device, **more: Any) -> dict[str, Any]:
    told = {"product": "rod_55", "supplier": "bellmead", "supplier_number": "B-1", "heats": ["H7"]}
    return {**told, "amount": 2_014_000, "person": device.house.people["receiver"], **more}


def test_a_command_is_recorded_and_answered_as_agreed(device: Device) -> None:
    answer = device.send("receive-lot", receipt(device))
    assert answer.status_code == 201
    body = answer.get_json()
    assert list(body) == ["posting", "recorded", "verdict", "numbers", "labels", "say"]
    assert body["verdict"] == "accepted"
    assert body["labels"] == body["numbers"]
    assert body["recorded"].endswith("Z")


def test_the_same_key_gives_the_same_answer_and_records_once(device: Device) -> None:
    first = device.send("receive-lot", receipt(device))
    events = device.house.ask(head)
    again = device.send("receive-lot", receipt(device))
    assert (again.status_code, again.headers["Idempotency-Replayed"]) == (200, "true")
    assert again.get_json() == first.get_json()
    assert device.house.ask(head) == events


@pytest.mark.parametrize("number", [-1, 10**9, 10**15, 2**53, 1.5, "NaN", "480 m", "1,5", "12 ga", None])
@pytest.mark.parametrize(
    ("name", "fields"),
    [("make-output", ("weight", "count", "length", "volume")), ("open-stock", ("amount", "mass", "items"))],
)
def test_what_is_no_amount_is_refused_in_any_field_and_writes_nothing(
    device: Device, name: str, fields: tuple[str, ...], number: Any
) -> None:
    shop = Shop(device.house)
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25", end="outer"))
    place = device.house.thing("place", "wire_rack")
    told = {"make-output": {"weight": 480_000}}
    told["open-stock"] = {"product": "wire_25", "amount": 480_000, "place": place, "how": "weighed"}
    about = {"person": device.house.people["supervisor"], "station": device.house.thing("station", "draw_1")}
    before = device.house.ask(head)
    for field in fields:
        answer = device.send(name, {**told[name], **about, field: number}, KEY + field)
        assert answer.status_code == 422, (field, answer.get_json())
        assert {"title", "detail", "value", "expected", "next"} <= answer.get_json().keys()
    assert device.house.ask(head) == before


@pytest.mark.parametrize(
    ("name", "change", "key", "answered"),
    [
        # keys
        ("receive-lot", {}, "", (400, "key-missing")),
        ("receive-lot", {}, "short", (400, "key-missing")),
        # who and role
        ("receive-lot", {"person": ""}, KEY, (401, "who")),
        ("receive-lot", {"person": "H2600099999"}, KEY, (401, "who")),
        ("receive-lot", {"person": "dispatcher"}, KEY, (403, "role")),
        # unknown things
        ("receive-coil", {}, KEY, (404, "unknown")),
        ("receive-lot", {"product": "gold"}, KEY, (404, "unknown")),
        ("receive-lot", {"supplier": "nobody"}, KEY, (404, "unknown")),
        # fields
        ("receive-lot", {"amount": "2014"}, KEY, (422, "invalid")),
        ("receive-lot", {"amount": True}, KEY, (422, "invalid")),
        ("receive-lot", {"colour": "red"}, KEY, (422, "invalid")),
        ("receive-lot", {"heats": "H7"}, KEY, (422, "invalid")),
        ("receive-lot", {"happened": "yesterday"}, KEY, (422, "invalid")),
        ("receive-lot", {"happened": "2026-11-02T08:00:00"}, KEY, (422, "invalid")),
        ("receive-lot", {"answers": ["yes"]}, KEY, (422, "invalid")),
        ("receive-lot", {"happened": "2036-11-02T08:00:00+00:00"}, KEY, (409, "refused")),
    ],
)
def test_a_problem_says_what_was_met_expected_and_next_and_changes_nothing(
    device: Device, name: str, change: dict[str, Any], key: str, answered: tuple[int, str]
) -> None:
    before = device.house.ask(head)
    if change.get("person") == "dispatcher":
        change = {"person": device.house.people["dispatcher"]}
    answer = device.send(name, receipt(device, **change), key)
    body = answer.get_json()
    assert (answer.status_code, body["type"].removeprefix("/problems/")) == answered, body
    assert answer.content_type == "application/problem+json"
    assert {"title", "status", "detail", "value", "expected", "next"} <= set(body)
    assert body["detail"]
    assert body["next"]
    assert device.house.ask(head) == before


@pytest.mark.parametrize(
    "text",
    [
        '{"amount": 1.5}',
        '{"amount": NaN}',
        '{"amount": 1, "amount": 2}',
        "[]",
        "",
        "{",
        "[" * 5000,
        '{"a": "\\u0000"}',
    ],
)
def test_json_that_readers_read_differently_is_refused(device: Device, text: str) -> None:
    headers = {"Authorization": f"Bearer {device.token}", "Idempotency-Key": KEY}
    answer = device.client.post(
        "/api/commands/receive-lot", data=text, headers=headers, content_type="application/json"
    )
    assert answer.status_code == 422, answer.text


def test_a_key_used_for_something_else_is_refused(device: Device) -> None:
    device.send("receive-lot", receipt(device))
    other = device.send("receive-lot", receipt(device, amount=1_000_000))
    assert (other.status_code, other.get_json()["type"]) == (422, "/problems/key-reused")


def test_a_question_is_asked_and_its_answer_comes_with_a_new_key(device: Device) -> None:
    device.send("receive-lot", receipt(device))
    asked = device.send("receive-lot", receipt(device), KEY + "-2")
    question = asked.get_json()["question"]
    assert (asked.status_code, asked.get_json()["type"]) == (409, "/problems/ask")
    assert {"id", "text", "choices"} == set(question)
    answers = {question["id"]: question["choices"][0]["code"]}
    answered = device.send("receive-lot", receipt(device, answers=answers), KEY + "-3")
    assert answered.status_code == 201


def test_held_wrong_and_already_are_told_apart(device: Device) -> None:
    shop = Shop(device.house)
    coil = shop.coil()
    qa, operator = device.house.people["qa"], device.house.people["operator"]
    device.send("place-hold", {"reason": "brittle", "lot": coil, "person": qa}, KEY + "-h")
    station = device.house.thing("station", "draw_1")
    load = {"lot": coil, "person": operator, "station": station, "product": "wire_25"}
    held = device.send("load-input", load, KEY + "-l")
    assert (held.status_code, held.get_json()["word"]) == (409, "held")
    move = {"number": coil, "place": device.house.thing("place", "coil_yard"), "person": operator}
    again = [device.send("move-goods", move, f"{KEY}-m{turn}").get_json().get("word") for turn in (1, 2)]
    assert again[1] == "already"


def test_an_act_with_a_pin_takes_it_in_a_header_each_time(device: Device) -> None:
    shop = Shop(device.house)
    coil = shop.coil()
    qa = device.house.people["qa"]
    device.house.post(SetPin(qa), secret="4711")
    placed = device.send("place-hold", {"reason": "brittle", "lot": coil, "person": qa}, KEY + "-h")
    hold = int(json.loads(placed.text)["posting"])
    assert hold
    body = {"hold": 0, "lot": coil, "reason": "tested", "person": qa}
    assert device.send("release-hold", body, KEY + "-1").status_code == 401
    wrong = device.send("release-hold", body, KEY + "-2", **{"Lotroot-PIN": "9999"})
    assert wrong.status_code == 401
    assert device.send("release-hold", body, KEY + "-3", **{"Lotroot-PIN": "4711"}).status_code == 409


def test_reads_take_a_token_and_answer_polls_shortly(device: Device) -> None:
    number = device.send("receive-lot", receipt(device)).get_json()["numbers"][0]
    assert device.client.get(f"/api/lots/{number}").status_code == 401
    found = device.read(f"/api/lots/{number}")
    assert found.get_json()["lot"] == number
    assert device.read(f"/api/lots/{number}", **{"If-None-Match": found.headers["ETag"]}).status_code == 304
    up = device.read(f"/api/lots/{number}/lineage?direction=up").get_json()
    assert (up["lot"], up["direction"], up["lots"][0]["source"]) == (number, "up", True)
    assert device.read(f"/api/lots/{number}/lineage?direction=sideways").status_code == 422
    assert device.read("/api/lots/C2699999999").status_code in (404, 422)


def test_a_code_in_digits_of_another_script_lets_nothing_in(device: Device) -> None:
    device.house.post(AllowDevice("Another hand-held"))
    assert device.client.post("/api/devices", json={"code": "\u0661\u0662\u0663"}).status_code == 401


def test_the_description_says_how_a_device_gets_its_token(device: Device) -> None:
    enrolment = device.read("/api/openapi.json").get_json()["paths"]["/api/devices"]["post"]
    assert enrolment["security"] == []
    assert set(enrolment["responses"]) >= {"201", "401", "429"}


def test_a_badge_is_no_token_and_a_code_works_once(device: Device) -> None:
    badge = str(device.house.ask(badge_of, device.house.people["qa"]))
    assert device.client.post("/api/devices", json={"code": badge}).status_code == 401
    strange = {"Authorization": f"Bearer {badge}", "Idempotency-Key": KEY}
    answer = device.client.post("/api/commands/receive-lot", json=receipt(device), headers=strange)
    assert answer.status_code == 401


def test_no_command_has_a_field_that_stands_beside_every_command() -> None:
    beside = set(ENVELOPE)
    clashes = {name: beside & {field.name for field in fields(kind)} for name, kind in COMMANDS.items()}
    assert {name: found for name, found in clashes.items() if found} == {}
