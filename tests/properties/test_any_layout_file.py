"""Is a layout file with any value gone wrong loaded or refused in words, and never anything else?"""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from label_pictures import FOLDER
from lotroot_printing.errors import LayoutRefused
from lotroot_printing.render import load_layout

FILES = {path.stem: path.read_text(encoding="utf-8") for path in sorted(FOLDER.glob("*.toml"))}
VALUE = re.compile(r'(?<== )("[^"\n]*"|\[[^\[\]{}\n]*\]|[-\d.]+|true)')
ODD = [
    *("nan", "inf", "-inf", "-1", "0", "0.0", "2.5", "1e300", "99999999999999999999", "true", "1979-05-27"),
    *('""', '"{number}"', '"{nobody}"', '"\\u0000"', '"線"', '"code128"', '"box"', '"' + "W" * 400 + '"'),
    *("[]", "[1]", "[1, 2]", "[nan, 3]", "[90, 1e300]", '["number", 1]', "[[]]", "{}", "{ a = 1 }", "[{}]"),
]


@given(name=st.sampled_from(sorted(FILES)), place=st.integers(0, 10_000), odd=st.sampled_from(ODD))
def test_a_layout_with_one_value_gone_wrong_loads_or_is_refused_in_words(
    tmp_path_factory: pytest.TempPathFactory, name: str, place: int, odd: str
) -> None:
    text = FILES[name]
    values = list(VALUE.finditer(text))
    found = values[place % len(values)]
    path: Path = tmp_path_factory.mktemp("odd") / f"{name}.toml"
    path.write_text(text[: found.start()] + odd + text[found.end() :], encoding="utf-8")
    try:
        load_layout(path)
    except LayoutRefused as refusal:
        assert "ayout" in refusal.what
        assert refusal.expected
        assert refusal.next_step
        assert len(str(refusal)) < 2000
