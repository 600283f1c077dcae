"""Is an event of any released version read as today's, with its hash as it was?

`tests/released/VERSION.ndjson` is an export with every event kind of that release, made when it is
released and never changed after. 0.1 is not released yet: its file holds the kinds that are settled.
"""

import dataclasses
from pathlib import Path
from typing import Any

import pytest
from lotroot.errors import Fault
from lotroot.ledger.book import hashed_text
from lotroot.ledger.canonical import canonical, parse, sha256
from lotroot.ledger.codec import decode, encode
from lotroot.ledger.events import Posting, event, event_version, kinds, revive, version_of
from lotroot.posting.features import APPLIES

RELEASED = sorted((Path(__file__).parents[1] / "released").glob("*.ndjson"))


def to_version_two(body: dict[str, Any]) -> dict[str, Any]:
    """Kilograms became grams."""
    return {"number": body["number"], "grams": body["kilograms"] * 1000}


def to_version_three(body: dict[str, Any]) -> dict[str, Any]:
    """How the weight is known was not asked before."""
    return {**body, "how": "weighed"}


@event_version(3, {1: to_version_two, 2: to_version_three})
@dataclasses.dataclass(frozen=True)
class SpoolTared:
    """A spool was weighed empty; an event kind of this test only."""

    number: str
    grams: int
    how: str


@pytest.mark.parametrize(
    ("version", "body"),
    [
        (1, {"number": "P2600000162", "kilograms": 12}),
        (2, {"number": "P2600000162", "grams": 12000}),
        (3, {"number": "P2600000162", "grams": 12000, "how": "weighed"}),
    ],
)
def test_an_event_of_any_version_is_read_as_one_of_today(version: int, body: dict[str, Any]) -> None:
    before = canonical(body)
    assert revive("SpoolTared", version, body) == SpoolTared("P2600000162", 12000, "weighed")
    assert canonical(body) == before, "the stored body is never changed"


def test_new_events_are_written_in_the_newest_version() -> None:
    assert version_of("SpoolTared") == 3


@pytest.mark.parametrize(("kind", "version"), [("SpoolTared", 4), ("SpoolBurnt", 1)])
def test_an_event_of_a_newer_release_is_a_fault_that_says_so(kind: str, version: int) -> None:
    with pytest.raises(Fault, match="does not know"):
        revive(kind, version, {"number": "P2600000162"})


def test_two_events_cannot_have_one_name() -> None:
    with pytest.raises(Fault, match="same name"):
        event(type("SpoolTared", (), {}))


def lines_of(path: Path) -> list[dict[str, Any]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return [parse(line) for line in lines if '"event"' in line]


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: path.stem)
def test_released_events_keep_their_hash_and_their_sense(path: Path) -> None:
    assert APPLIES, "the features declare their events"
    previous = "0" * 64
    for line in lines_of(path):
        stored = line["event"]
        made = decode(Posting, line["posting"])
        row = {**stored, "body": canonical(stored["body"])}
        assert line["prev"] == previous
        assert sha256(hashed_text(made, row, previous)) == line["hash"]
        today = revive(stored["kind"], stored["version"], stored["body"])
        if stored["version"] == version_of(stored["kind"]):
            assert encode(today) == stored["body"]
        previous = line["hash"]


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: path.stem)
def test_no_released_event_kind_is_ever_forgotten(path: Path) -> None:
    assert {line["event"]["kind"] for line in lines_of(path)} <= set(kinds())


def test_a_posting_field_added_later_changes_no_hash_of_today() -> None:
    """Ledger tables only ever gain columns; a new one is at its default in every old row."""
    made = decode(Posting, lines_of(RELEASED[0])[0]["posting"])
    later = dataclasses.make_dataclass("LaterPosting", [("weather", str, "")], bases=(Posting,), frozen=True)
    row = {"id": 1, "kind": "SpoolTared", "version": 3, "body": "{}"}
    with_it = later(**dataclasses.asdict(made))
    assert hashed_text(with_it, row, "0" * 64) == hashed_text(made, row, "0" * 64)


def test_a_pad_of_before_was_kept_at_no_station() -> None:
    body = {"letter": "C", "year": 2026, "first": 1, "last": 20}
    assert revive("NumbersReserved", 1, body).station == ""


def test_of_a_weight_of_before_nobody_said_who_typed_it_nor_weighed_its_pan() -> None:
    run = {"run": "U2600000163", "load": 1, "amount": 5, "own": 5}
    assert revive("Scrapped", 1, {**run, "reason": "ends"}).typed_by == ""
    unloaded = {"run": "U2600000163", "load": 1, "remainder": 5, "own": 5, "how": "weighed"}
    assert revive("InputUnloaded", 1, unloaded).typed_by == ""
    made = {"output": "nails", "lot": "N2600000163", "stream": "steel", "basis": "weighed", "shift": "early"}
    found = revive(
        "OutputMade", 1, {"run": "U2600000163", "seq": 1, "amount": 5, "own": 5, "began": 0, **made}
    )
    assert (found.typed_by, found.gross, found.tare) == ("", 0, 0)
