"""How does a test work at an office's pages, with the forms as its browser would send them?"""

import re
from pathlib import Path

from houses import House, a_house
from terminals import Terminal
from werkzeug.test import TestResponse

PIN = "4711"


def an_office_house(folder: Path) -> House:
    """A house whose administrator, QA and supervisor have a PIN."""
    return a_house(folder, pin=PIN)


def office(house: House, who: str) -> Terminal:
    """The laboratory's terminal, with somebody on duty."""
    terminal = Terminal(house).at("laboratory")
    assert terminal.badge(who)["verdict"] == "accepted"
    return terminal


def sent(terminal: Terminal, address: str, page: str, **form: str) -> str:
    """Send a form of a page as its browser would: with the key the page gave; returns what shows then."""
    shows = terminal.client.get(page).text
    key = re.search(r'name="key" value="(\w+)"', shows)
    assert key
    answer = terminal.post(address, key=key[1], **form)
    if answer.status_code == 303 and "/pin/" in answer.location:
        answer = terminal.post(answer.location, pin=PIN)
    if answer.status_code == 303:
        return terminal.client.get(answer.location).text
    return answer.text


def form(terminal: Terminal, address: str, page: str, **fields: object) -> TestResponse:
    """Send a form of a page, files among its fields, with the key the page gave."""
    key = re.findall(r'name="key" value="(\w+)"', terminal.client.get(page).text)[0]
    data = {"csrf_token": terminal.token(page), "key": key, **fields}
    return terminal.client.post(address, data=data, content_type="multipart/form-data")
