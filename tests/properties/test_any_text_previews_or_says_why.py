"""Does the page of layouts answer anything typed into it with a picture or with words?"""

from collections.abc import Iterator

import pytest
from houses import House, a_house
from hypothesis import given
from hypothesis import strategies as st
from label_pictures import LAYOUTS
from shop import Shop
from terminals import Terminal

TEXTS = st.one_of(
    st.text(max_size=60),
    st.text("0123456789()][Cd1PRN-", max_size=40),
    st.text("🙂שלום\u202e\u200f\u0301ﬃ", min_size=1, max_size=20),
)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Terminal, str]]:
    house: House = a_house(tmp_path_factory.mktemp("any"))
    yield Terminal(house).at("laboratory"), Shop(house).coil()


@given(
    layout=st.one_of(st.sampled_from(sorted(LAYOUTS)), TEXTS),
    text=st.one_of(st.none(), TEXTS),
    dpi=st.one_of(st.sampled_from(["", "203", "300", "600"]), TEXTS),
    customer=st.one_of(st.sampled_from(["", "osprey"]), TEXTS),
)
def test_anything_typed_gets_a_picture_or_a_sentence(
    desk: tuple[Terminal, str], layout: str, text: str | None, dpi: str, customer: str
) -> None:
    terminal, coil = desk
    asked = {"layout": layout, "number": coil if text is None else text, "dpi": dpi, "for": customer}
    for address in ("/layouts", "/layouts/preview.png"):
        answer = terminal.client.get(address, query_string=asked)
        assert answer.status_code in ((200, 422) if address == "/layouts" else (200, 404, 422))
        assert "Traceback" not in (answer.text if answer.mimetype == "text/html" else "")
