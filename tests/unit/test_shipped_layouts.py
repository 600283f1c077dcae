"""Does each shipped layout do what its readers need: distances, free zones, sizes, no person's name?"""

import json
from types import SimpleNamespace
from typing import Any

import pytest
from label_pictures import AT, ITEM, LAYOUTS, LOT, crop, pdf_text, plain, png_image
from lotroot.identity.showing import shown
from lotroot.labelling.goods import SOLUTION, TREATED
from lotroot.labelling.placing import drawn
from lotroot.labelling.rendering import pictures_pdf
from lotroot.labelling.wire import Coil
from lotroot.labelling.wording import coil_words, heat_words
from lotroot_printing import png
from lotroot_printing.compose import compose
from lotroot_printing.drawing import Drawing, Rect, dots, millimetres
from lotroot_printing.errors import FieldRefused
from lotroot_printing.layout import Free, fields_in
from lotroot_printing.render import render

EVERY = pytest.mark.parametrize("key", AT, ids=lambda key: f"{key[0]}-{key[1]}")
INSIDE = ("coil", "part_coil", "stripper", "lot", "pan_card", "run", "place", "badge")
OUTSIDE = tuple(name for name in LAYOUTS if name not in INSIDE)
"""What leaves the plant: everything else, so that a new layout is outside until it is said not to be."""

PACK: dict[str, Any] = {
    "number": "L2600007730",
    "shown": "L26-000077-30",
    "kind": "Treated pack",
    "product": "Treated pine 2x6x16, UC4A 2x6x16 (38 x 140 x 4877 mm)",
    "named": "Treated pine 2x6x16, UC4A",
    "size": "2x6x16 (38 x 140 x 4877 mm)",
    "grade": "CA-C, UC4A",
    "amount": "126 pcs",
    "solution": "K26-000008-92",
    "date": "18 Nov 2026 07:45",
    "station": "Treating cylinder",
    "run": "U26-000053-49",
    "cautions": list(TREATED),
    "held": "AWAITING CHECKS",
    "demo": "DEMO",
}


def texts(drawing: Drawing) -> list[str]:
    return [run.text for run in drawing.texts]


def said(drawing: Drawing) -> str:
    """All words of a label, lines joined by a space."""
    return " ".join(texts(drawing))


# ---------------------------------------------------------------- every layout


def test_every_kind_of_goods_has_a_layout_of_its_own_in_the_size_of_its_stock():
    tall, wide, a6 = (100, 150), (100, 70), (105, 148)
    sizes = dict.fromkeys(("coil", "part_coil", "treated_pack"), tall)
    sizes |= dict.fromkeys(
        ("stripper", "pan_card", "nail_box", "wire_roll", "roof_bundle", "tile_stack"), wide
    )
    sizes |= dict.fromkeys(("pallet", "shipment"), a6)
    sizes |= {"lumber_end": (75, 25), "place": (100, 50), "badge": (86, 54)}
    for name, size in sizes.items():
        found = LAYOUTS[name]
        assert (found.width, found.height) == tuple(dots(side, found.dpi) for side in size), name


@pytest.mark.parametrize("name", LAYOUTS)
def test_every_layout_names_its_stock_and_ribbon_and_what_they_must_stand(name):
    layout = LAYOUTS[name]
    assert layout.stock
    assert layout.ribbon
    if {"wet", "sun"} & set(layout.exposure):
        assert "resin" in layout.ribbon, "wax alone runs and fades outdoors (common practice, no source)"
        assert "paper" not in layout.stock.replace("laminated paper", "")


def test_some_layouts_are_made_for_600_dots_too():
    assert {name for name, dpi in AT if dpi == 600} >= {"coil", "nail_box", "pallet", "lumber_end", "badge"}


@pytest.mark.parametrize("name", OUTSIDE)
def test_what_leaves_the_plant_has_no_place_for_a_person(name):
    named = {field for each in LAYOUTS[name].elements for field in fields_in(getattr(each, "text", ""))}
    assert not named & {"name", "person", "operator", "worker", "inspector", "badge", "holder"}


@EVERY
def test_a_zone_kept_free_is_white_on_the_fullest_label(key):
    layout = AT[key]
    image = png.bitmap(compose(layout, layout.sample)).convert("L")
    for zone in (each for each in layout.elements if isinstance(each, Free)):
        assert crop(image, zone.area).getextrema() == (255, 255), zone.name


def zones(name: str, dpi: int) -> dict[str, Rect]:
    return {each.name: each.area for each in AT[name, dpi].elements if isinstance(each, Free)}


# ---------------------------------------------------------------- coil tags


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("name", ["coil", "part_coil"])
def test_a_coil_tag_has_bars_for_a_metre_and_a_half_and_a_stub_that_repeats_them(name, dpi):
    layout = AT[name, dpi]
    drawing = compose(layout, plain(layout, LOT))
    tear = zones(name, dpi)["perforation"]
    bars = [each for each in drawing.symbols if each.symbology == "code128"]
    assert [each.text for each in bars] == [LOT["number"]] * 2
    assert [each.area.y < tear.y for each in bars] == [True, False]
    for each in bars:
        narrowest = min(bar.width for bar in each.bars)
        assert millimetres(narrowest, dpi) >= 0.5
    below = [run.text for run in drawing.texts if run.baseline > tear.bottom]
    assert {LOT["shown"], layout.sample["amount"]} <= set(below)
    assert tear.width == layout.width, "from edge to edge"


def test_the_first_bars_of_a_coil_tag_are_as_wide_as_the_tag_lets_them():
    drawing = compose(AT["coil", 203], plain(AT["coil", 203], LOT))
    assert min(bar.width for bar in drawing.symbols[0].bars) == 6, "0.75 mm"


@pytest.mark.parametrize(("name", "says"), [("coil", 0), ("part_coil", 2)])
def test_only_the_tag_of_a_part_coil_says_part_on_tag_and_stub(name, says):
    assert texts(compose(LAYOUTS[name], plain(LAYOUTS[name], LOT))).count("PART") == says


# ---------------------------------------------------------------- wire tag


@pytest.mark.parametrize("dpi", [203, 300])
def test_the_hole_of_a_wire_tag_is_a_zone_of_16_by_18_mm_at_its_end(dpi):
    hole = zones("stripper", dpi)["hole"]
    assert (hole.x, hole.width, hole.height) == (0, dots(16, dpi), dots(47, dpi) - dots(29, dpi))


@pytest.mark.parametrize("welds", ["no weld", "1 weld", "3 welds and 1 possible"])
def test_a_wire_tag_shows_its_welds_in_a_frame_of_their_own(welds):
    drawing = compose(LAYOUTS["stripper"], plain(LAYOUTS["stripper"], LOT) | {"welds": welds})
    assert welds in said(drawing)
    none = compose(LAYOUTS["stripper"], plain(LAYOUTS["stripper"], LOT) | {"welds": ""})
    assert len(drawing.fills) == len(none.fills) + 4
    assert "Welds" not in texts(none)


@pytest.mark.parametrize(
    ("coils", "heats", "numbers"),
    [
        ([], "", ""),
        ([("C2600001284", ("H1",), "TK-1", True)], "H1", "C26-000012-84 (TK-1)"),
        ([("C2600001284", ("H1", "H2"), "", True)], "H1 / H2", "C26-000012-84"),
        (
            [("C2600001284", ("H1",), "TK-1", True), ("C2600000120", ("H2",), "TK-2", True)],
            "H1 / H2",
            "C26-000012-84 / C26-000001-20",
        ),
        (
            [("C2600001284", ("H1",), "TK-1", True), ("C2600000120", ("H1", "H3"), "", False)],
            "H1, maybe H3",
            "C26-000012-84, maybe C26-000001-20",
        ),
        ([(f"C260000{at:04}", (f"H{at}",), "", True) for at in range(5)], "5 different", "5 different"),
    ],
)
def test_heats_and_coils_in_words(coils, heats, numbers):
    found = [Coil(*each) for each in coils]
    assert heat_words(found) == heats
    if len(coils) == 5:  # these are no numbers of ours, and need not be
        found = [one._replace(number="C2600001284") for one in found]
    assert coil_words(found) == numbers


# ---------------------------------------------------------------- pan card, nail box


def largest_first(drawing: Drawing) -> list[str]:
    return [run.text for run in sorted(drawing.texts, key=lambda run: -run.pitch)]


@pytest.mark.parametrize("dpi", [203, 300])
def test_the_name_of_the_pan_is_the_largest_thing_on_its_card(dpi):
    drawing = compose(AT["pan_card", dpi], plain(AT["pan_card", dpi], LOT))
    assert largest_first(drawing)[:2] == ["Pan 17", "1 184.5 kg"]


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize(
    ("size", "net"), [("2.5 x 50", "25 kg"), ("3.8 x 100", "25.03 kg"), ("12 x 300", "5 kg")]
)
def test_size_and_net_weight_are_the_largest_things_on_a_nail_box(dpi, size, net):
    fields = plain(AT["nail_box", dpi], ITEM) | {
        "size": size,
        "amount": net,
        "held": "ON HOLD",
        "demo": "DEMO",
    }
    drawing = compose(AT["nail_box", dpi], fields)
    assert set(largest_first(drawing)[:2]) == {size, net}
    pitches = sorted((run.pitch for run in drawing.texts), reverse=True)
    assert pitches[1] >= 1.2 * pitches[2], "by far"


# ---------------------------------------------------------------- lumber


def test_a_treated_pack_shows_charge_solution_category_and_its_whole_caution_beside_signs():
    drawing = drawn(LAYOUTS["treated_pack"], PACK)
    words = said(drawing)
    for expected in (*TREATED, "U26-000053-49", "K26-000008-92", "CA-C, UC4A", "126 pcs", "CAUTION"):
        assert expected in words
    without = drawn(LAYOUTS["treated_pack"], {**PACK, "cautions": []})
    assert len(drawing.fills) > len(without.fills) + 100, "four signs and a frame"
    assert "CAUTION" not in said(without)


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_an_end_tag_says_size_category_day_charge_and_a_caution_in_three_words(dpi):
    drawing = drawn(AT["lumber_end", dpi], PACK)
    expected = {"CA-C, UC4A", "18 Nov 2026", "U26-000053-49", "DO NOT BURN", "AWAITING CHECKS"}
    assert expected | {PACK["size"], PACK["shown"]} <= set(texts(drawing))
    assert "DO NOT BURN" not in said(drawn(AT["lumber_end", dpi], {**PACK, "cautions": []}))


def test_a_caution_is_never_left_out_by_a_layout_without_room_for_it():
    with pytest.raises(FieldRefused, match="field is unknown") as refusal:
        drawn(LAYOUTS["wire_roll"], {**PACK, "cautions": list(SOLUTION)})
    assert refusal.value.value == "caution"


# ---------------------------------------------------------------- words that give way


def test_what_does_not_fit_is_shortened_by_itself_and_everything_else_stays():
    fields = {
        **LOT,
        "kind": "Stripper",
        "product": "Drawn wire 2.50 mm",
        "amount": "486.5 kg",
        "station": "Drawing machine 1 in the long hall behind the old furnace",
        "heat": "4471902",
        "date": "24 Nov 2026 14:05",
        "run": "U26-000123-33",
    }
    found = texts(drawn(LAYOUTS["lot"], fields))
    assert {"Stripper", "Drawn wire 2.50 mm", "486.5 kg", "Heat 4471902"} <= set(found)
    [station] = [text for text in found if text.startswith("Drawing")]
    assert station.endswith("…")
    assert len(station) >= 20, "as much of it as fits"


def test_a_length_that_does_not_fit_is_left_out_whole_and_the_name_still_tells_it():
    fields = {**ITEM, "kind": "Roll 17", "product": "Chain link, roll of 12 345 678.9 m", "amount": "58.9 kg"}
    short = texts(drawn(LAYOUTS["wire_roll"], {**fields, "length": "20 m"}))
    long = texts(drawn(LAYOUTS["wire_roll"], {**fields, "length": "12 345 678.9 m"}))
    assert set(short) - set(long) == {"Length", "20 m"}
    assert not [text for text in long if "…" in text]


def test_a_product_is_named_without_its_size_where_that_has_a_place_of_its_own():
    assert "Treated pine 2x6x16, UC4A" in texts(drawn(LAYOUTS["treated_pack"], PACK))
    plain_one = said(drawn(LAYOUTS["lumber"], {**PACK, "grade": ""}))
    assert "UC4A 2x6x16" in plain_one


def test_a_mass_is_told_in_a_line_only_where_it_has_no_place_of_its_own():
    fields = {**LOT, "kind": "Tile batch", "amount": "540 pcs", "mass": "936.1 kg"}
    assert "Mass 936.1 kg" in texts(drawn(LAYOUTS["tile_stack"], fields))


# ---------------------------------------------------------------- pallets


def test_a_pallet_has_two_labels_one_for_each_of_two_sides():
    fields = json.dumps({"kind": "Pallet", "date": "24 Nov 2026 14:05"})
    facts = SimpleNamespace(number="P2600009959", first=0, last=0, copy=1, layout="pallet", fields=fields)
    text = pdf_text(pictures_pdf(facts))
    assert text.count("Side 1 of 2") == text.count("Side 2 of 2") == 1
    assert text.count(shown("P2600009959")[4:]) == 2


@EVERY
def test_the_fullest_label_of_every_layout_reads_back(key):
    layout = AT[key]
    number = layout.sample["number"]
    read = render(layout, layout.sample).symbols
    assert {each.text for each in read if each.symbology == "code128"} == {number}
    assert {each.text for each in read if each.symbology == "qr"} == {f"{number}K99"}
    assert png_image(render(layout, layout.sample).png).size == (layout.width, layout.height)
