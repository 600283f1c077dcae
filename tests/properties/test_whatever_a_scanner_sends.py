"""Is whatever a scanner or a key pad sends answered: a test code with findings, a time with its moment?"""

from hypothesis import example, given
from hypothesis import strategies as st
from lotroot.errors import Unreadable
from lotroot.identity.keyboards import WAYS, Way
from lotroot.identity.scanner_check import SUFFIXES, Arrived, check
from lotroot.identity.scanner_codes import CODES
from lotroot.web.paper_time import AHEAD, paper_time
from lotroot.work import MICROSECONDS

ways = st.sampled_from(WAYS)
codes = st.sampled_from(sorted(CODES))
MONTHS = 63 * 86_400 * MICROSECONDS


@given(st.text(max_size=120), st.sampled_from(SUFFIXES), st.integers(0, 600_000))
@example("]C0", "enter", 0)
@example("LB" * 40, "tab", 1)
def test_any_text_has_a_finding_in_words(text: str, suffix: str, milliseconds: int) -> None:
    found = check(Arrived(text, suffix, milliseconds))
    assert found.findings
    assert all(one.seen and (one.well or one.to_set) for one in found.findings)
    assert found.code or not found.reads


@given(codes, ways, st.sampled_from(["", "]C0", "]Q1", "S1"]))
def test_any_keyboard_with_any_prefix_is_told_as_what_it_is(code: str, way: Way, prefix: str) -> None:
    found = check(Arrived(way.arrives(prefix + CODES[code])))
    wrong = {one.kind for one in found.findings if not one.well}
    expected = {
        *({"keyboard"} if way.reader != way.computer else ()),
        *({"caps"} if way.lock else ()),
        *({"prefix"} if prefix else ()),
    }
    assert (found.code, wrong) == (code, expected)


@given(codes, st.data())
def test_any_one_character_lost_or_doubled_is_named(code: str, data: st.DataObject) -> None:
    meant = CODES[code]
    at = data.draw(st.integers(2, len(meant) - 2))  # the last one doubled is the same as a suffix
    lost, doubled = meant[:at] + meant[at + 1 :], meant[:at] + meant[at] * 2 + meant[at + 1 :]
    for text, kind in ((lost, "lost"), (doubled, "doubled")):
        wrong = [one for one in check(Arrived(text)).findings if not one.well]
        assert [one.kind for one in wrong] == [kind]
        assert meant[at] in wrong[0].seen


@given(
    st.text("0123456789 ./:-", max_size=10) | st.text(max_size=12),
    st.integers(1_700_000_000, 1_900_000_000),
    st.sampled_from(["America/Port_of_Spain", "Europe/Berlin", "Australia/Lord_Howe", "UTC"]),
)
def test_any_text_is_a_time_that_was_or_no_time(text: str, now: int, zone: str) -> None:
    moment = now * MICROSECONDS
    for before in (0, moment - 3_600 * MICROSECONDS):
        try:
            found = paper_time(text, zone, moment, before)
        except Unreadable as error:
            assert error.next_step
        else:
            assert moment - MONTHS < found <= moment + AHEAD.total_seconds() * MICROSECONDS
