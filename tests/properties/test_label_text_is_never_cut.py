"""Whatever a text is, is it set whole inside its room, or refused?"""

from hypothesis import given
from hypothesis import strategies as st
from lotroot_printing.fit import Room, fit, height_of

TEXTS = st.text(alphabet="ab -\n", max_size=60)
ROOMS = st.builds(
    Room,
    width=st.integers(1, 300),
    height=st.integers(1, 300),
    largest=st.integers(5, 40),
    least=st.integers(3, 20),
    lines=st.integers(1, 5),
    number=st.booleans(),
)


@given(TEXTS, ROOMS)
def test_no_letter_is_lost_and_none_stands_outside(text, room):
    fitted = fit(text, room)
    if fitted is None:
        return
    assert "".join(fitted.lines).replace(" ", "") == text.replace("\n", "").replace(" ", "")
    assert len(fitted.lines) <= room.lines
    assert max(map(len, fitted.lines)) * fitted.pitch <= room.width
    assert room.least <= fitted.pitch <= room.largest
    assert fitted.height == height_of(len(fitted.lines), fitted.pitch, number=room.number) <= room.height


@given(st.text(alphabet="ab ", max_size=40), ROOMS)
def test_what_fits_still_fits_with_more_room(text, room):
    if fit(text, room) is None:
        return
    wider = Room(room.width + 10, room.height + 10, room.largest, room.least, room.lines, room.number)
    assert fit(text, wider) is not None
