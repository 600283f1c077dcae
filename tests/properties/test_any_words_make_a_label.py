"""Does a label print whatever a plant calls its goods and machines, and still say its number?"""

import json
from types import SimpleNamespace

from hypothesis import given
from hypothesis import strategies as st
from lotroot.identity import ItemNumber, make
from lotroot.labelling.rendering import texts_read_back

LETTERS = st.sampled_from("abcdefghijklmnopqrstuvwxyzABCÅÖß0123456789 -/.,()")
WORDS = st.text(LETTERS, min_size=1, max_size=120).map(str.strip)
DESCRIBING = (
    *("product", "named", "size", "grade", "coating", "length", "carrier", "station"),
    *("heat", "coil", "solution", "supplier", "supplier_number"),
)
ITEMS = ("item", "nail_box", "wire_roll", "roof_bundle")
LAYOUTS = (
    *("lot", "coil", "part_coil", "stripper", "lumber", "pallet", "run", *ITEMS),
    *("pan_card", "tile_stack", "treated_pack", "lumber_end"),
)


@given(
    layout=st.sampled_from(LAYOUTS),
    kind=WORDS.filter(bool),
    words=st.fixed_dictionaries({}, optional=dict.fromkeys(DESCRIBING, WORDS)),
    label=st.tuples(st.integers(1, 999_999), st.integers(1, 99)),
)
def test_a_label_prints_whatever_the_words(
    layout: str, kind: str, words: dict[str, str], label: tuple[int, int]
) -> None:
    (running, copy), serial = label, 17 if layout in ITEMS else 0
    number = make("N", 26, running)
    fields = {
        **words,
        "kind": kind,
        "amount": "1\u202f234\u202f567.891\u202fkg",
        "date": "24 Nov 2026 14:05",
        "run": "U26-000123-33",
        "welds": "12 welds and 3 possible",
        "held": "AWAITING CHECKS",
        "demo": "DEMO",
        "items": [{"serial": 17, "amount": "25.03\u202fkg"}],
    }
    facts = SimpleNamespace(
        number=str(number), first=serial, last=serial, copy=copy, layout=layout, fields=json.dumps(fields)
    )
    code = str(ItemNumber(number, serial)) if serial else str(number)
    expected = {code} if copy == 1 else {code, f"{code}K{copy}"}
    assert set(texts_read_back(facts)) == expected
