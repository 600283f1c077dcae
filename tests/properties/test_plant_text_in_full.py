"""Whatever a plant's text says: is it the same when written in full, and again?"""

from unicodedata import normalize

from hypothesis import given
from hypothesis import strategies as st
from lotroot.processes.adoption import resolve
from lotroot.processes.tables import toml
from lotroot.processes.writing import written

TEXTS = st.text(st.characters(exclude_categories=("Cs",))).map(lambda text: normalize("NFC", text))
PLAIN = st.one_of(TEXTS, st.integers(-(2**53), 2**53), st.booleans())
VALUES = st.recursive(
    st.one_of(PLAIN, st.lists(PLAIN, max_size=4)),
    lambda inner: st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=20,
)
TABLES = st.dictionaries(TEXTS, VALUES, max_size=5)


@given(TABLES)
def test_a_table_written_is_read_back(table: dict[str, object]) -> None:
    assert toml(written(table)) == table


@given(TABLES)
def test_writing_again_changes_nothing(table: dict[str, object]) -> None:
    once = resolve(written(table))
    assert resolve(once) == once
