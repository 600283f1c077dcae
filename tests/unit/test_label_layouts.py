"""Which layouts are refused, and does the message say what is wrong where?"""

import pytest
from label_pictures import AT, FOLDER, LAYOUTS
from lotroot_printing.checks import check
from lotroot_printing.compose import compose
from lotroot_printing.errors import LayoutRefused
from lotroot_printing.layout_file import read_layout
from lotroot_printing.render import load_layout

TRIAL = """
name = "trial"
size = [100, 70]
dpi = 203
stock = "synthetic wire tag, holes punched"
ribbon = "resin"
exposure = ["wet", "oil"]
optional = ["product"]
element = [
  { name = "top", kind = "number", at = [5, 5], size = [90, 9], text = "{shown}", capital = 8, least = 4.6 },
  { name = "bars", kind = "code128", at = [0, 20], size = [67, 15], text = "{number}", module = 0.375 },
  { name = "matrix", kind = "qr", at = [70, 18], size = [26, 26], text = "{scan}", module = 0.75 },
  {name = "goods", kind = "text", at = [5, 45], size = [60, 10], text = "{product}", lines = 2, capital = 3 },
  { name = "rule", kind = "line", at = [5, 60], size = [90, 0.4] },
  { name = "hands", kind = "sign", sign = "gloves", at = [70, 46], size = [12, 12], when = "product" },
  { name = "hole", kind = "free", at = [90, 46], size = [10, 10] },
]
[sample]
number = "R2600012383001720"
shown = "R26-000123-83-0017-20"
product = "Common nail 3.15 x 70 mm"
"""

REFUSED = [
    # what is changed, into what, element named, found named, expected named
    ("module = 0.375 }", 'module = "3 dots" }', "element bars", "3 dots", "int or float"),
    ("module = 0.375 }", "module = 3 }", "10 modules left and right", "66.9 mm", "at least 165.2 mm"),
    ("module = 0.375 }", "module = 0.24 }", "element bars", "module 0.24 mm", "0.25 mm <= least_module"),
    ("module = 0.375 }", "module = 0.375, least_module = 0.5 }", "bars", "0.5 mm", "least_module <= module"),
    ("dpi = 203", "dpi = [203, 101]", "element bars", "R2600012383001720, ", "at most 66.9 mm"),
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
    (
        'sign = "gloves"',
        'sign = "glove"',
        "element hands: its sign is not there",
        "glove",
        "general caution, gl",
    ),
    ('sign = "gloves", ', "", "element hands: sign is missing", "nothing", "str"),
    (
        "size = [12, 12]",
        "size = [12, 7.5]",
        "element hands: its sign is too small",
        "7.5 mm",
        "at least 8.0 mm",
    ),
    (
        "size = [12, 12]",
        "size = [12, 20]",
        "element hands: it overlaps rule",
        "12.0 x 19.9 mm",
        "do not meet",
    ),
    ("at = [90, 46]", "at = [80, 46]", "element hole: it overlaps hands", "10.0 x 10.0 mm", "do not meet"),
    ("at = [90, 46]", "at = [90, 52]", "element hole: it overlaps rule", "at 90.0, 52.1", "do not meet"),
    ("at = [90, 46]", "at = [92, 46]", "element hole: its area is not on the label", "at 92.0", "inside"),
    ("size = [10, 10] }", 'size = [10, 10], when = "product" }', "element hole: a key is", "when", "known"),
    ('["wet", "oil"]', '["wet", "mud"]', "head: exposure is unknown", "mud", "wet, oil, sun, heat"),
    ('["wet", "oil"]', '"wet"', "head: exposure is of the wrong kind", "wet", "list"),
    ('ribbon = "resin"', "ribbon = 3", "head: ribbon is of the wrong kind", "3", "str"),
    ('stock = "synth', 'stoch = "synth', "head: a key is unknown", "stoch", "known"),
    ("dpi = 203", "dpi = 203\nsides = 3", "head: sides is out of range", "3", "from 1 to 2"),
    ("dpi = 203", "dpi = 203\nsides = 2", "head: which side a label is for", "printed nowhere", "{side}"),
    ("{product}", "{product} {side}", "head: which side a label is for", "sides = 1", "sides = 2 and"),
    ("lines = 2", "lines = 2, angle = 90", "element goods: a key is unknown", "angle", "known"),
    ("lines = 2", "lines = true", "element goods: lines is of the wrong kind", "True", "int"),
    ("lines = 2", 'align = "middle"', "element goods: align is unknown", "middle", "centre"),
    ("size = [60, 10]", "size = [60]", "element goods: size is no pair", "[60]", "two lengths"),
    ("size = [100, 70]", "size = [100, 70000]", "head: size is out of range", "70000", "from 0 to 1200"),
    ("size = [100, 70]", "size = [100, nan]", "head: size is out of range", "nan", "from 0 to 1200"),
    ("at = [5, 5]", "at = [-5, 5]", "element top: at is out of range", "-5", "from 0 to 1200"),
    ("capital = 3 }", "capital = inf }", "element goods: capital is out of range", "inf", "from 0 to"),
    ('["product"]', '["product", 3]', "head: optional is no list of words", "[", "in quotes"),
    ("  {name = ", "  3, {name = ", "head: an element is no table", "3", "{ name = ..., kind"),
    ('"line", at', '"box", at', "element rule: its strokes fill it", "0.4 mm", "less than half"),
    ("dpi = 203", "", "head: dpi is missing", "nothing", "int or list"),
    ("dpi = 203", "dpi = []", "head: dpi is no list of resolutions", "[]", "such as [203, 300]"),
    ("dpi = 203", "dpi = [203, 203]", "head: dpi is no list", "[203, 203]", "different whole numbers"),
    ("dpi = 203", "dpi = [203, 300.0]", "head: dpi is no list", "[203, 300.0]", "different whole numbers"),
    ("dpi = 203", "dpi = [203, true]", "head: dpi is no list", "[203, True]", "different whole numbers"),
    ("dpi = 203", "dpi = 8", "head: dpi is no list", "8", "from 100 to 1200"),
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


# Whole dots: the nearest to mm x dpi / 25.4, and two at least (identification facts 2.2).
DOTS = [(0.25, 203, 2), (0.375, 203, 3), (0.5, 203, 4), (1.0, 203, 8)]
DOTS += [(0.25, 300, 3), (0.375, 300, 4), (0.5, 300, 6), (0.625, 300, 7), (1.0, 300, 12)]
DOTS += [(0.25, 600, 6), (0.5, 600, 12), (0.25, 150, 2)]


@pytest.mark.parametrize(("mm", "dpi", "dots"), DOTS)
def test_a_module_in_millimetres_is_whole_dots_at_each_resolution(mm, dpi, dots):
    text = TRIAL.replace("module = 0.75", f"module = {mm}").replace("dpi = 203", f"dpi = [{dpi}, 400]")
    matrix = next(each for each in read_layout(text, "trial")[dpi].elements if each.name == "matrix")
    assert (matrix.module, matrix.least_module) == (dots, dots)


def test_a_module_that_whole_dots_make_too_narrow_is_refused_though_one_resolution_has_it(tmp_path):
    text = TRIAL.replace("module = 0.375", "module = 0.25")
    assert load(text, tmp_path)
    with pytest.raises(LayoutRefused, match=r"element bars: .*too narrow in whole dots of 250") as refusal:
        load(text.replace("dpi = 203", "dpi = [203, 250]"), tmp_path)
    assert refusal.value.value == "2 dots, 0.203 mm"


def test_one_file_gives_the_layout_at_each_resolution_it_names(tmp_path):
    text = TRIAL.replace("dpi = 203", "dpi = [300, 203]")
    first, other = load(text, tmp_path), load_layout(tmp_path / "trial.toml", 203)
    assert (first.width, first.height, first.dpi) == (1181, 827, 300)
    assert (other.width, other.height, other.dpi) == (799, 559, 203)
    assert first.resolutions == other.resolutions == (300, 203)


def test_another_resolution_is_refused_naming_those_it_has(tmp_path):
    load(TRIAL.replace("dpi = 203", "dpi = [203, 300]"), tmp_path)
    with pytest.raises(LayoutRefused, match="Layout trial is not made for a printer of 600") as refusal:
        load_layout(tmp_path / "trial.toml", 600)
    assert refusal.value.expected == "203 dpi or 300 dpi"


def test_a_layout_says_what_it_is_printed_on_and_what_it_must_stand(tmp_path):
    layout = load(TRIAL, tmp_path)
    assert (layout.stock, layout.ribbon) == ("synthetic wire tag, holes punched", "resin")
    assert layout.exposure == ("wet", "oil")
    assert layout.sides == 1


def test_a_layout_for_two_sides_gives_both_and_each_says_which_it_is(tmp_path):
    layout = load(
        TRIAL.replace("dpi = 203", "sides = 2\ndpi = 203").replace("{product}", "{product} {side}"), tmp_path
    )
    fields = {"number": "R2600012383", "shown": "R26-000123-83", "product": "Mesh"}
    drawings = [compose(side, fields) for side in layout.each_side()]
    assert [drawing.texts[-1].text for drawing in drawings] == ["Mesh 1 of 2", "Mesh 2 of 2"]
    assert drawings[0].symbols == drawings[1].symbols


def test_a_sign_waits_for_its_field_and_a_free_zone_draws_nothing(tmp_path):
    layout = load(TRIAL, tmp_path)
    fields = {"number": "R2600012383", "shown": "R26-000123-83"}
    without, with_words = compose(layout, fields), compose(layout, fields | {"product": "Mesh"})
    assert len(without.fills) == 1  # the rule
    zones = {element.name: element.area for element in layout.elements}
    signs = [each for each in with_words.fills if zones["hands"].holds(each)]
    assert len(signs) + 1 == len(with_words.fills) > 50
    assert not any(zones["hole"].overlaps(each) for each in with_words.fills)


def test_every_shipped_layout_is_made_for_both_usual_resolutions():
    assert {(name, dpi) for name in LAYOUTS for dpi in (203, 300)} <= set(AT)
    assert {path.stem for path in FOLDER.glob("*.toml")} == set(LAYOUTS)


def test_a_frame_may_surround_what_it_frames_but_not_cross_it():
    inside = TRIAL.replace(
        '{ name = "rule", kind = "line", at = [5, 60], size = [90, 0.4] }',
        '{ name = "rule", kind = "box", at = [4, 44], size = [62, 12], weight = 0.5 }',
    )
    assert check(read_layout(inside, "trial")[203])
    with pytest.raises(LayoutRefused, match="element rule: it overlaps goods"):
        check(read_layout(inside.replace("[4, 44]", "[6, 44]"), "trial")[203])


def test_the_shipped_layouts_carry_the_name_of_their_file():
    assert set(LAYOUTS) == {
        *("coil", "part_coil", "stripper", "lot", "item", "lumber"),
        *("pallet", "pallet_gs1", "shipment", "run", "badge", "place"),
        *("pan_card", "nail_box", "wire_roll", "roof_bundle", "tile_stack", "treated_pack", "lumber_end"),
    }


COMMON = {"number", "shown", "kind", "product", "amount", "date", "station", "run", "copy", "demo", "held"}


@pytest.mark.parametrize("name", ["coil", "part_coil", "stripper", "lot", "item", "lumber", "pallet", "run"])
def test_every_layout_for_goods_takes_every_common_field(name):
    assert COMMON | {"caution", "extra"} <= LAYOUTS[name].fields
    assert LAYOUTS[name].required == {"number", "shown", "kind"}
