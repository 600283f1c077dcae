"""Which layouts are refused, and does the message say what is wrong where?"""

import pytest
from label_pictures import LAYOUTS
from lotroot_printing.checks import check
from lotroot_printing.errors import LayoutRefused
from lotroot_printing.layout_file import read_layout
from lotroot_printing.render import load_layout

TRIAL = """
name = "trial"
size = [100, 70]
dpi = 203
optional = ["product"]
element = [
  { name = "top", kind = "number", at = [5, 5], size = [90, 9], text = "{shown}", capital = 8, least = 4.6 },
  { name = "bars", kind = "code128", at = [0, 20], size = [67, 15], text = "{number}", module = 3 },
  { name = "matrix", kind = "qr", at = [70, 18], size = [26, 26], text = "{scan}", module = 6 },
  {name = "goods", kind = "text", at = [5, 45], size = [60, 10], text = "{product}", lines = 2, capital = 3 },
  { name = "rule", kind = "line", at = [5, 60], size = [90, 0.4] },
]
[sample]
number = "R2600012383001720"
shown = "R26-000123-83-0017-20"
product = "Common nail 3.15 x 70 mm"
"""

REFUSED = [
    # what is changed, into what, element named, found named, expected named
    ("module = 3 }", "module = 2.64 }", "element bars", "2.64", "int"),
    ("module = 3 }", "module = 1 }", "element bars", "1 dots at 203 dpi, 0.125 mm", "at least 0.25 mm"),
    ("dpi = 203", "dpi = 600", "element bars", "3 dots at 600 dpi, 0.127 mm", "at least 0.25 mm"),
    ("module = 3 }", "module = 3, least_module = 4 }", "element bars", "4 dots", "least_module <= module"),
    ("size = [67, 15]", "size = [20, 15]", "10 modules left and right", "20.0 mm", "at least 20.6 mm"),
    ("size = [67, 15]", "size = [50, 15]", "element bars", "61.9 mm", "at most 50.0 mm"),
    ("size = [26, 26]", "size = [26, 15]", "4 modules on all sides", "15.0 mm", "at least 21.8 mm"),
    ("at = [70, 18]", "at = [66, 18]", "element matrix: it overlaps bars", "at 65.9, 18.0", "do not meet"),
    ("at = [5, 60]", "at = [5, 50]", "element rule: it overlaps goods", "90.0 x 0.4 mm", "do not meet"),
    ("at = [70, 18]", "at = [80, 18]", "element matrix: its area is not on the label", "26.0 x", "100.0 x"),
    ("capital = 3 }", "capital = 2.2 }", "element goods: its text may get too small", "2.2 mm", "2.3 mm <="),
    ("capital = 3 }", "capital = 3, least = 4 }", "element goods", "least 4.0 mm", "least <= capital"),
    ("lines = 2", "lines = 3", "element goods: its area is too low for 3 line(s)", "10.0 mm", "at least"),
    ("lines = 2", "lines = 0", "element goods: it has no line", "0", "1 or more"),
    ("{product}", "{produkt}", "element goods: it names a field", "produkt", "number, product, shown"),
    ("[sample]", '[sample]\nheat = "1"', "head: a field is printed nowhere", "heat", "an element"),
    ('["product"]', '["product", "run"]', "head: an optional field has no sample", "run", "[sample]"),
    ('name = "rule"', 'name = "goods"', "two elements share a name", "goods", "one of each"),
    ('kind = "line"', 'kind = "circle"', "element rule: kind is unknown", "circle", "code128"),
    ("lines = 2", "lines = 2, angle = 90", "element goods: a key is unknown", "angle", "known"),
    ("lines = 2", "lines = true", "element goods: lines is of the wrong kind", "True", "int"),
    ("lines = 2", 'align = "middle"', "element goods: align is unknown", "middle", "centre"),
    ("size = [60, 10]", "size = [60]", "element goods: size is no pair", "[60]", "two lengths"),
    ("dpi = 203", "", "head: dpi is missing", "nothing", "int"),
    ("[sample]", "[sample", "the file is no TOML", "", "TOML"),
    ('shown = "R26', 'shown = "r26', "element top", "r26", "capital letters"),
    ('product = "Common', 'product = "' + "Common nail " * 9, "element goods", "Common", "at most 2 line"),
]


def load(text, folder):
    path = folder / "trial.toml"
    path.write_text(text, encoding="utf-8")
    return load_layout(path)


def test_a_good_layout_loads_with_its_sizes_in_whole_dots(tmp_path):
    layout = load(TRIAL, tmp_path)
    assert (layout.width, layout.height, layout.dpi) == (799, 559, 203)
    assert layout.fields == {"number", "shown", "product"}
    assert layout.required == {"number", "shown"}


@pytest.mark.parametrize("row", REFUSED, ids=lambda row: f"{row[0]} to {row[1]}")
def test_a_bad_layout_is_refused_naming_place_find_and_expectation(row, tmp_path):
    old, new, where, found, expected = row
    assert old in TRIAL
    with pytest.raises(LayoutRefused) as refusal:
        load(TRIAL.replace(old, new, 1), tmp_path)
    error = refusal.value
    assert "trial" in error.what
    assert where in error.what
    assert found in error.value
    assert expected in error.expected
    assert error.next_step


def test_a_frame_may_surround_what_it_frames_but_not_cross_it():
    inside = TRIAL.replace(
        '{ name = "rule", kind = "line", at = [5, 60], size = [90, 0.4] }',
        '{ name = "rule", kind = "box", at = [4, 44], size = [62, 12], weight = 0.5 }',
    )
    assert check(read_layout(inside, "trial"))
    with pytest.raises(LayoutRefused, match="element rule: it overlaps goods"):
        check(read_layout(inside.replace("[4, 44]", "[6, 44]"), "trial"))


def test_the_shipped_layouts_carry_the_name_of_their_file():
    assert set(LAYOUTS) == {
        *("coil", "part_coil", "stripper", "lot", "item", "lumber"),
        *("pallet", "shipment", "run", "badge", "place"),
    }


COMMON = {"number", "shown", "kind", "product", "amount", "date", "station", "run", "copy", "demo", "held"}


@pytest.mark.parametrize("name", ["coil", "part_coil", "stripper", "lot", "item", "lumber", "pallet", "run"])
def test_every_layout_for_goods_takes_every_common_field(name):
    assert COMMON | {"caution", "extra"} <= LAYOUTS[name].fields
    assert LAYOUTS[name].required == {"number", "shown", "kind"}
