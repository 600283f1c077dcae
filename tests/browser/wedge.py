"""How does a keyboard-wedge scanner type, and how is its answer read off the page?"""

import time

from playwright.sync_api import Page, expect

KEPT = """() => new Promise((resolve, reject) => {
    const request = indexedDB.open("lotroot-scans");
    request.onerror = reject;
    request.onsuccess = () => {
        const all = request.result.transaction("scans").objectStore("scans").getAll();
        all.onsuccess = () => { request.result.close(); resolve(all.result); };
    };
})"""


FINGERS = 120
"""ms a key; the best typists take 80 (Card, Moran and Newell)."""


def scan(page: Page, text: str, suffix: tuple[str, ...] = ("Enter",)) -> float:
    """Type the characters and the suffix keys without pause, wherever the focus is; seconds it took."""
    start = time.perf_counter()
    page.keyboard.type(text)
    for key in suffix:
        page.keyboard.press(key)
    return time.perf_counter() - start


def by_fingers(page: Page, text: str) -> None:
    """Type as people do."""
    page.keyboard.type(text, delay=FINGERS)
    page.wait_for_timeout(FINGERS)
    page.keyboard.press("Enter")


def verdict(page: Page, state: str, timeout: float = 5000) -> None:
    """Wait until the page shows the verdict."""
    expect(page.locator("[data-part=scan]")).to_have_attribute("data-verdict", state, timeout=timeout)


def shown(page: Page) -> str:
    """The words of the last answer, as a screen reader is told them."""
    return page.locator("[data-part=status]").inner_text() + page.locator("[data-part=alert]").inner_text()


def in_field(page: Page) -> bool:
    """Does the scan field have the focus?"""
    return bool(page.evaluate("document.activeElement.id === 'scan-field'"))


def kept_keys(page: Page) -> list[str]:
    """Keys of the scans in the browser's store, in order."""
    return [record["scan"]["key"] for record in page.evaluate(KEPT)]


def drained(page: Page, within: float = 30) -> None:
    """Wait until the server has answered every scan; `within` is in seconds.

    On a busy machine a scan is echoed before it is in the store: while it is being read, it is not answered.
    """
    end = time.monotonic() + within
    while kept_keys(page) or page.locator("[data-part=scan]").get_attribute("data-verdict") == "reading":
        assert time.monotonic() < end, f"{len(kept_keys(page))} scans are still in the store"
        page.wait_for_timeout(50)
