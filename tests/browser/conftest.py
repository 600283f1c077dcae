"""What do all browser tests share?

One headless Chromium a session, a new context (own cookies, own store) a test. `open_tab` gives a page
of a stated size and fails the test if the page broke the content policy or threw.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from browser.scripted import Floor, Script
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

CHROMIUM = ("/usr/bin/chromium-headless-shell", "/usr/bin/chromium")
"""Debian's; the first is the same browser without its window, and starts a tab with a quarter of the work."""
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PANEL = (1280, 800)
HAND_HELD = (390, 844)

OpenTab = Callable[..., Page]

# The browser itself writes these when a server is away or refuses, which tests arrange on purpose.
EXPECTED = re.compile(r"Failed to load resource: (net::ERR_|the server responded with a status of)")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, driven by Playwright."""
    here = [path for path in CHROMIUM if Path(path).exists()]
    if not here:
        pytest.skip(f"None of {', '.join(CHROMIUM)} is installed (apt install chromium-headless-shell)")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=here[0], args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def open_tab(chromium: Browser) -> Iterator[OpenTab]:
    """open_tab(address, size=PANEL, **context options) -> Page in a context of its own."""
    contexts, complaints = [], []

    def note(message: ConsoleMessage) -> None:
        if message.type == "error" and not EXPECTED.search(message.text):
            complaints.append(message.text)

    def open_(address: str, size: tuple[int, int] = PANEL, **options: object) -> Page:
        context = chromium.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", note)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(address)
        return page

    yield open_
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture(scope="session")
def floor_server() -> Iterator[Floor]:
    floor = Floor()
    yield floor
    floor.stop()


@pytest.fixture
def floor(floor_server: Floor) -> Floor:
    """The scripted server with nothing asked of it yet."""
    vars(floor_server.script).update(vars(Script()))
    return floor_server
