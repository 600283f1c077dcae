"""Does each form read its fields strictly, name the one that does not fit, and agree with plant.toml?"""

from decimal import Decimal

import plants
import pytest
from lotroot.errors import Unknown
from lotroot.processes.definition import Product
from lotroot.reckoning.fields import WrongField
from lotroot.reckoning.form import ITEM, METRE, PIECE, VOLUME, Form, filled_from, reckoned
from lotroot.reckoning.forms import FORMS, form_named, products_of

PLANT = plants.demo_plant()
TYPED = {
    "wire": {"wire": "2.5"},
    "nails": {"shank": "2.5", "length": "60", "box": "25", "scrap": "0"},
    "barbed": {
        "line": "2.5", "barb": "2.0", "points": "4", "spacing": "75", "length": "200", "take_up": "1.02",
        "barb_wire": "120",
    },
    "chain-link": {"wire": "2.5", "mesh": "50", "height": "1800", "length": "20", "allowance": "1"},
    "chain-link-pvc": {
        "core": "2.5", "over": "3.3", "density": "1400", "mesh": "50", "height": "1800", "length": "20",
        "allowance": "1",
    },
    "mesh": {
        "length": "4.8", "width": "2400", "long": "6", "long_pitch": "200", "cross": "6",
        "cross_pitch": "200", "sheets": "40",
    },
    "slitting": {"coil": "1250", "strips": "3 x 412"},
    "coil": {"outer": "1200", "inner": "508", "width": "1250", "thick": "0.40"},
    "profile": {"width": "1250", "thick": "0.40", "cover": "1000", "cuts": "50 x 3.6"},
    "tiles": {"length": "1340", "width": "412", "thick": "0.40", "strip": "412", "strip_length": "500"},
    "capping": {
        "pieces": "405", "length": "300", "width": "330", "thick": "0.40", "per_stack": "10", "least": "8",
    },
    "lumber": {"pieces": "294", "thick": "38", "wide": "89", "length": "3.658"},
    "posts": {"pieces": "50", "length": "2.4", "middle": "100"},
}  # fmt: skip
"""What fits, form by form; each case changes one of it."""

FILLED = [(form, product) for form in FORMS.values() for product in products_of(form, PLANT)]
FIELDS = [(form, field.name) for form in FORMS.values() for field in form.fields]


def figures(form: Form, **changed: str) -> dict[str, str]:
    """What a form gives for its usual values with some changed, as shown."""
    answer = reckoned(form, {**TYPED[form.code], **changed})
    return {one.name: f"{one.value:.{one.places}f} {one.unit}" for one in answer.figures}


def refusal(code: str, **changed: str) -> tuple[str, str]:
    """The field that is refused, and the message."""
    with pytest.raises(WrongField) as wrong:
        figures(FORMS[code], **changed)
    assert wrong.value.error.expected
    return wrong.value.field, str(wrong.value.error)


# ---------------------------------------------------------------- what they give


@pytest.mark.parametrize(
    ("code", "changed", "name", "says"),
    [
        ("wire", {}, "A kilometre", "38.53 kg"),
        ("wire", {"mass": "480"}, "Length by its mass", "12457 m"),
        ("wire", {"mass": "480", "counter": "12500"}, "The counter is off by", "0.3 %"),
        ("wire", {"rod": "5.5"}, "Of a metre of rod", "4.84 m"),
        ("wire", {"rod": "5.5"}, "Drawn from its rod, the section is less by", "79.3 %"),
        ("wire", {"wire": "12 BWG"}, "A kilometre", "47.26 kg"),
        ("wire", {"wire": "0.099 in"}, "A kilometre", "38.98 kg"),
        ("wire", {"wire": "2,5"}, "A kilometre", "38.53 kg"),
        ("nails", {}, "In a kilogram", "433 pcs"),
        ("nails", {}, "In a box", "10813 pcs"),
        ("nails", {"head": "6", "head_thick": "1", "point": "4"}, "One nail", "2.431 g"),
        ("barbed", {}, "A roll", "23.61 kg"),
        ("barbed", {"weighed": "24"}, "Take-up that the weighed roll shows", "1.045 "),
        ("barbed", {"length": "656 ft"}, "Barbs in a roll", "2665 pcs"),
        ("chain-link", {}, "A roll", "52.85 kg"),
        ("chain-link", {"allowance": "1.05"}, "A roll", "55.49 kg"),
        ("chain-link-pvc", {}, "PVC compound in a roll", "6.89 kg"),
        ("mesh", {}, "Sheets together", "1022.8 kg"),
        ("mesh", {"long_edge": "0", "cross_edge": "0"}, "Long wires", "13 pcs"),
        ("slitting", {}, "Trim at both edges", "14.0 mm"),
        ("slitting", {"strips": "412 412 330", "trim": "10"}, "Trim of the coil", "7.68 %"),
        ("slitting", {"mass": "6000"}, "Strip 1, 7 to 419 mm from the operator side", "1977.6 kg"),
        ("slitting", {"mass": "5000", "thick": "0.40"}, "Each strip, as long as the coil", "1273.9 m"),
        ("coil", {}, "Length by its diameters", "2320.7 m"),
        ("coil", {"thick": "26 MSG"}, "Length by its diameters", "2041.5 m"),
        ("coil", {"mass": "9000"}, "By diameters it is longer by", "1.2 %"),
        ("profile", {}, "The bundle", "706.5 kg"),
        ("profile", {"cuts": "10 x 3.6; 4 x 5,2 m"}, "Together", "56.80 m"),
        ("profile", {"zinc": "275", "paint": "60"}, "A metre", "4.344 kg"),
        ("tiles", {"rejects": "3"}, "Pressed, less rejects", "370 pcs"),
        ("capping", {"minutes": "45"}, "Pace", "9.0 a minute"),
        ("capping", {}, "Caps that make none", "5 pcs"),
        ("lumber", {}, "Wood in the pack", "3.637 m3"),
        (
            "lumber", {"thick_in": "2", "wide_in": "4", "length_ft": "12"},
            "Board feet by nominal sizes, never for retention", "2352.0 bd ft",
        ),
        ("posts", {}, "Wood in the pack", "0.942 m3"),
        ("posts", {"middle": "", "butt": "120", "top": "80"}, "Wood in the pack", "0.980 m3"),
    ],
)  # fmt: skip
def test_a_form_gives_its_figures(code: str, changed: dict[str, str], name: str, says: str) -> None:
    assert figures(FORMS[code], **changed)[name] == says


@pytest.mark.parametrize(("form", "product"), FILLED, ids=lambda one: one.code)
def test_the_sizes_of_a_product_give_what_plant_toml_says(form: Form, product: Product) -> None:
    """Within a thousandth, lumber to the millimetre of its sides and a barb's wire to a tenth."""
    asked = {**filled_from(form, product)}
    asked = {name: text or TYPED[form.code].get(name, "") for name, text in asked.items()}
    if form.code == "slitting":
        asked["strips"] = product.width_mm
    for one in reckoned(form, asked).figures:
        says = {
            METRE: product.mass_per_metre_mg,
            PIECE: product.mass_per_piece_mg,
            ITEM: (product.item_amount or 0) * 1000,
            VOLUME: product.volume_per_piece_mm3,
        }.get(one.of)
        scale = {"g": 1000, "kg": 1_000_000, "cm3": 1000}.get(one.unit, 1)
        if says:
            assert abs(Decimal(one.value) * scale / says - 1) < Decimal("0.003"), one.name


def test_every_form_but_that_of_posts_is_filled_by_some_product() -> None:
    assert {form.code for form, _ in FILLED} == set(FORMS) - {"posts"}


# ---------------------------------------------------------------- what does not fit


@pytest.mark.parametrize("text", ["0", "-1", "NaN", "1000000000", "1e9", "2.5 kelvin", "two", "1 2 3 x", "∞"])
@pytest.mark.parametrize(("form", "name"), FIELDS, ids=lambda one: getattr(one, "code", one))
def test_no_field_takes_what_is_no_size(form: Form, name: str, text: str) -> None:
    if text == "0" and name in MAY_BE_ZERO:
        return
    typed = {**TYPED[form.code], **NEEDS.get((form.code, name), {}), name: text}
    with pytest.raises(WrongField) as wrong:
        reckoned(form, typed)
    assert wrong.value.field == name
    assert wrong.value.error.expected


MAY_BE_ZERO = {
    "scrap", "trim", "long_edge", "cross_edge", "zinc", "paint", "web", "rejects", "head_thick",
    "point", "head",
}  # fmt: skip
NEEDS = {
    ("wire", "counter"): {"mass": "480"},
    ("nails", "head_thick"): {"head": "6"},
    ("nails", "point"): {"head": "6"},
    ("lumber", "thick_in"): {"wide_in": "4", "length_ft": "12"},
    ("lumber", "wide_in"): {"thick_in": "2", "length_ft": "12"},
    ("lumber", "length_ft"): {"thick_in": "2", "wide_in": "4"},
    ("posts", "butt"): {"middle": "", "top": "80"},
    ("posts", "top"): {"middle": "", "butt": "120"},
}


@pytest.mark.parametrize(
    ("code", "changed", "field", "says"),
    [
        ("wire", {"wire": "12"}, "", ""),
        ("wire", {"wire": "12 ga"}, "wire", "does not say which gauge"),
        ("wire", {"wire": "99 BWG"}, "wire", "there is no 99 BWG"),
        ("wire", {"wire": ""}, "wire", "Wire diameter"),
        ("nails", {"length": "12 ga"}, "length", "unit of a size. A size such as 2.5, 2.5 mm or 0.099 in."),
        ("nails", {"box": "0"}, "box", "Net mass of a box: 0 cannot be. Expected from 0.001 to 100000 kg."),
        ("wire", {"mass": "1000000000"}, "mass", "1000000000 cannot be. Expected from 0.001 to 100000 kg."),
        ("posts", {"length": "31"}, "length", "Length: 31 cannot be. Expected from 0.001 to 30 m."),
        ("coil", {"thick": "0"}, "thick", "or a gauge with its system, such as 26 MSG."),
        ("wire", {"rod": "2.0"}, "wire", "Expected less than its rod, 2 mm."),
        ("wire", {"rod": "2.5"}, "wire", "Expected less than its rod, 2.5 mm."),
        ("wire", {"rod": "100"}, "rod", "Expected from 0.01 to 60 mm."),
        ("chain-link-pvc", {"core": "100"}, "core", "Expected from 0.01 to 60 mm."),
        ("coil", {"mass": "0.001"}, "mass", "length by mass"),
        ("tiles", {"strip": "9000"}, "strip", "Expected from 0.001 to 5000 mm."),
        ("nails", {"length": "2"}, "length", "Expected more than its shank"),
        ("nails", {"head": "2", "head_thick": "1"}, "head", "Expected at least its shank"),
        ("barbed", {"weighed": "5"}, "weighed", "roll: 5 cannot be. Expected from 23.305 to 31.012 kg for"),
        ("barbed", {"points": "3"}, "points", "Expected 2 or 4."),
        ("barbed", {"spacing": "2"}, "spacing", "spacing of barbs"),
        ("barbed", {"take_up": "0.9"}, "take_up", "twist take-up"),
        ("chain-link", {"mesh": "2"}, "wire", "Expected less than the mesh, 2 mm."),
        ("chain-link", {"mesh": "100", "height": "90"}, "mesh", "the roll's least side"),
        ("chain-link-pvc", {"over": "2.4"}, "over", "Expected more than the core"),
        ("mesh", {"long_pitch": "3000"}, "long_pitch", "Expected at most the sheet"),
        ("mesh", {"cross_pitch": "5"}, "cross_pitch", "Expected more than the wire"),
        ("mesh", {"cross_edge": "3000"}, "cross_edge", "Expected at most half the sheet"),
        ("mesh", {"width": "2400.5"}, "", ""),
        ("slitting", {"strips": "4 x 412"}, "strips", "Expected at most the coil, 1250 mm."),
        ("slitting", {"strips": "3 x"}, "strips", "cannot be used"),
        ("slitting", {"strips": "0 x 412"}, "strips", "cannot be used"),
        ("slitting", {"strips": "101 x 1"}, "strips", "cannot be used"),
        ("slitting", {"trim": "15"}, "trim", "trim on the operator side"),
        ("coil", {"inner": "1300"}, "inner", "Expected less than the outer one"),
        ("coil", {"thick": "26 GA"}, "thick", "does not say which gauge"),
        ("coil", {"thick": "24 BWG"}, "thick", "no unit of a size"),
        ("profile", {"cuts": "10 x 60"}, "cuts", "sheet length"),
        ("profile", {"cuts": "10 x"}, "cuts", "cannot be used"),
        ("profile", {"cuts": "3.6 x 10 x 2"}, "cuts", "cannot be used"),
        ("tiles", {"strip": "400"}, "width", "Expected at most the strip, 400 mm."),
        ("tiles", {"rejects": "374"}, "rejects", "number of rejects"),
        ("posts", {"middle": ""}, "middle", "cannot be left empty"),
        ("posts", {"middle": "", "butt": "80", "top": "120"}, "top", "at most that of the butt"),
    ],
)  # fmt: skip
def test_what_contradicts_itself_is_told_at_its_field(
    code: str, changed: dict[str, str], field: str, says: str
) -> None:
    if not field:
        assert figures(FORMS[code], **changed), "a plain number is mm, and half a mm is rounded"
        return
    found, message = refusal(code, **changed)
    assert (found, says in message) == (field, True), message


def test_a_form_that_is_not_there() -> None:
    with pytest.raises(Unknown):
        form_named("no_such")
