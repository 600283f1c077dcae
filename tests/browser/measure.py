"""How large, how far apart and how readable is what a page shows?

Measured in the browser from computed styles and boxes. Contrast by the formula of WCAG 2.2 (relative
luminance). A pair's second part says which element was measured.
"""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page

_SOURCE = Path(__file__).with_name("measure.js").read_text(encoding="utf-8")
CONTROLS = ".big, .switch, .field input:not([type=radio], [type=checkbox]), select, textarea, .scan-field"


def _measure(page: Page, function: str, *given: str) -> Any:
    return page.evaluate(f"(given) => ({_SOURCE}).{function}(...given)", list(given))


def text_contrasts(page: Page) -> list[tuple[float, str]]:
    """Ratio of every element with words of its own, and of every empty field's example."""
    return _measure(page, "textContrasts")


def edge_contrasts(page: Page) -> list[tuple[float, str]]:
    """Ratio of each control to what lies round it: of its border or its own ground, the better one."""
    return _measure(page, "edgeContrasts", CONTROLS)


def ring_contrast(page: Page) -> float:
    """Ratio of the focus ring to the ground it lies on; 0 where no ring of 2 px or more is drawn."""
    return _measure(page, "ringContrast")


def boxes(page: Page, selector: str) -> list[dict[str, Any]]:
    """{what, x, y, width, height} of every visible element, in CSS px of the page."""
    return _measure(page, "boxes", selector)


def font_sizes(page: Page, selector: str) -> list[tuple[float, str]]:
    """Font size in px of every visible element with words of its own that the selector meets."""
    return _measure(page, "fontSizes", selector)


def colours_outside(page: Page, exempt: str) -> list[tuple[list[int], str]]:
    """[r, g, b] of every colour drawn by elements that stand in no `exempt` element."""
    return _measure(page, "coloursOutside", exempt)


def sideways(page: Page) -> float:
    """px that the page can be scrolled sideways."""
    return _measure(page, "sideways")
