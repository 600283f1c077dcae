"""Is a printer added and set on the page Printers, and what is typed wrongly refused?"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from houses import House, a_house
from lotroot.labelling.printers import Printer, printers
from offices import office
from terminals import Terminal
from werkzeug.test import TestResponse

ADDRESS = "ipp://10.0.0.17/ipp/print"


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    yield a_house(tmp_path)


def put(desk: Terminal, **fields: str) -> TestResponse:
    """The form Add a printer, or with a code that of a printer, as a browser sends it."""
    shows = desk.client.get("/printers").text
    key = re.findall(r'name="key" value="(\w+)"', shows)[-1]
    return desk.post("/printers", key=key, **{"name": "Bay printer", "location": ADDRESS, **fields})


def known(house: House) -> dict[str, Printer]:
    return house.ask(printers)


@pytest.mark.parametrize(
    "name",
    ["Bay printer", "2nd gate", "Été", "包装", "x" * 60],
)
def test_a_printer_is_added_by_what_people_call_it(house: House, name: str) -> None:
    answer = put(office(house, "administrator"), name=name)
    assert answer.status_code == 303, answer.text
    [added] = [one for one in known(house).values() if one.name == name]
    assert added.address.startswith("ipp://10.0.0.17:631/")


@pytest.mark.parametrize("name", ["Wire shop printer", "wire SHOP printer", "Wire"])
def test_a_printer_that_is_added_takes_no_other_s_place_or_name(house: House, name: str) -> None:
    before = known(house)
    answer = put(office(house, "administrator"), name=name)
    assert answer.status_code == 409
    assert "called Wire shop printer already" in answer.text
    assert known(house) == before


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"name": ""}, "1 to 60 characters"),
        ({"location": "http://10.0.0.17/"}, "ipp:// or ipps://"),
        ({"location": "ipp://10.0.0..17/"}, "ipp:// or ipps://"),
        ({"across": "99"}, "10 mm"),
        ({"along": "1.234"}, "1.5 or -0.25"),
        ({"across": "\u0661"}, "1.5 or -0.25"),
        ({"dpi": "9" * 5000}, "203, 300 or 600"),
        ({"dpi": "many"}, "203, 300 or 600"),
        ({"dpi": "150"}, "203, 300 or 600"),
        ({"stock": "s" * 81}, "at most 80"),
        ({"certificate": "\U0001f600" * 3000}, "64 digits"),
    ],
)
def test_nonsense_is_refused_in_the_form_it_was_typed_into(
    house: House, wrong: dict[str, str], says: str
) -> None:
    desk = office(house, "administrator")
    before = known(house)
    for code in ("", "wire"):
        answer = put(desk, code=code, **{"instead": "gate", **wrong})
        assert answer.status_code == 422
        assert says in answer.text
        chosen = re.findall(r'id="field-instead-(\w+)".*?</select>', answer.text, re.DOTALL)
        kept = [one for one in chosen if _chosen(answer.text, one) == "gate"]
        assert kept == [code or "new"], "typed words stay in their own form, and in no other"
    assert known(house) == before


def _chosen(page: str, code: str) -> str:
    found = re.search(rf'id="field-instead-{code}".*?</select>', page, re.DOTALL)
    assert found
    option = re.search(r'value="(\w*)" selected', found[0])
    return option[1] if option else ""
