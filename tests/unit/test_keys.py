"""Is a command that is sent again answered again, and never done again?"""

from collections.abc import Iterator
from dataclasses import replace

import plants
import pytest
from houses import House, a_house
from lotroot.accounts.handling import AddParty, AddPerson, SetPin
from lotroot.errors import KeyMissing, KeyReused, LotrootError, Unreadable
from lotroot.house import open_house
from lotroot.ledger.book import head
from lotroot.posting.door import Door
from lotroot.work import Envelope

KEY = "key-of-sixteen-or-more"
FIRM = AddParty("oakhill", "Oakhill Timber", "supplier", "GY")


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    yield made
    made.database.close()


@pytest.fixture(scope="module")
def settled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house for tests that change nothing; the firm is known there, by KEY."""
    made = a_house(tmp_path_factory.mktemp("settled"), plants.SMALL)
    made.post(FIRM, key=KEY)
    yield made
    made.database.close()


def test_the_same_key_gets_the_same_answer_and_records_nothing_more(house: House) -> None:
    first = house.post(FIRM, key=KEY)
    before = house.ask(head)
    second = house.post(FIRM, key=KEY)
    assert replace(second, replayed=False) == first
    assert (first.replayed, second.replayed) == (False, True)
    assert house.ask(head) == before


def test_the_stored_answer_outlives_the_program(house: House) -> None:
    first = house.post(FIRM, key=KEY)
    house.database.close()
    reopened = open_house(house.database.url)
    again = Door(reopened).post(FIRM, Envelope(KEY, house.people["administrator"], proved=True))
    reopened.close()
    assert replace(again, replayed=False) == first


@pytest.mark.parametrize(
    ("command", "envelope"),
    [
        pytest.param(replace(FIRM, name="Oak Hill"), {}, id="other fields"),
        pytest.param(AddPerson("Oakhill Timber", ("operator",)), {}, id="another command"),
        pytest.param(FIRM, {"who": "operator"}, id="another person"),
        pytest.param(FIRM, {"station": "T2600000100"}, id="another station"),
        pytest.param(FIRM, {"answers": {"sure": "yes"}}, id="other answers"),
        pytest.param(FIRM, {"happened": 1_700_000_000_000_000}, id="another time"),
        pytest.param(FIRM, {"already": True}, id="stated as done"),
    ],
)
def test_a_key_is_bound_to_what_was_first_sent_with_it(
    settled: House, command: object, envelope: dict[str, object]
) -> None:
    before = settled.ask(head)
    with pytest.raises(KeyReused, match="AddParty"):
        settled.post(command, key=KEY, **envelope)
    assert settled.ask(head) == before


def test_a_refusal_is_not_stored_so_its_key_may_be_tried_again(house: House) -> None:
    with pytest.raises(Unreadable):
        house.post(replace(FIRM, code="NO SUCH CODE"), key=KEY)
    assert house.post(FIRM, key=KEY).replayed is False


def test_a_pin_is_no_part_of_what_a_key_is_bound_to(house: House) -> None:
    me = house.people["administrator"]
    first = house.post(SetPin(me), key=KEY, secret="2749")
    assert replace(house.post(SetPin(me), key=KEY, secret="8316"), replayed=False) == first


@pytest.mark.parametrize(
    "key", ["", "a" * 15, "a" * 65, "sixteen letters!", "ключ-ключ-ключ-ключ", "a" * 16 + "\n"]
)
def test_a_command_without_a_proper_key_is_refused(house: House, key: str) -> None:
    before = house.ask(head)
    with pytest.raises(KeyMissing):
        house.post(FIRM, key=key)
    assert house.ask(head) == before


@pytest.mark.parametrize("key", ["a" * 16, "A-9" * 21 + "z"])
def test_keys_of_16_to_64_letters_digits_and_hyphens_are_taken(house: House, key: str) -> None:
    assert house.post(FIRM, key=key).posting > 0


def test_nothing_of_a_command_that_fails_half_way_is_recorded(house: House) -> None:
    before, status = house.ask(head), house.status()
    with pytest.raises(LotrootError):
        house.post(AddPerson("Control\x07character", ("operator",)), key=KEY)
    assert (house.ask(head), house.status()) == (before, status)
