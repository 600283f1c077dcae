"""Does a plant's text become values, and is what does not fit refused in words that help?"""

import hashlib

import plants
import pytest
from lotroot.errors import Unknown, Unreadable
from lotroot.processes.bounds import check_bounds
from lotroot.processes.reading import parse


def test_a_small_plant_is_read() -> None:
    plant = parse(plants.SMALL)
    drawing = plant.process("drawing")
    assert (plant.name, plant.site, plant.demo, plant.number_start) == ("Two machines", "TWO", False, 1)
    assert (drawing.feed, drawing.order, drawing.streams) == ("in_turn", "reversed", {"steel": "g"})
    assert [role.role for role in drawing.inputs] == ["rod"]
    assert [payoff.code for payoff in plant.station("draw_1").payoffs] == ["1"]


def test_the_hash_is_of_the_text_as_given() -> None:
    assert parse(plants.SMALL).hash == hashlib.sha256(plants.SMALL.encode()).hexdigest()


def test_what_is_not_said_has_a_plain_default() -> None:
    plant = parse(plants.SMALL)
    stripper = plant.process("drawing").output("stripper")
    assert stripper is not None
    assert (stripper.lot_per, stripper.layout, stripper.awaits, stripper.products) == (
        "output",
        "lot",
        None,
        (),
    )
    assert plant.units == {"g": "g", "mm": "mm", "ml": "ml", "cm3": "cm3", "pcs": "pcs"}
    assert plant.roles["treater"] == ()


def test_a_plant_cannot_be_changed() -> None:
    plant = parse(plants.SMALL)
    with pytest.raises(TypeError):
        plant.kinds["rod"] = plant.kinds["stripper"]
    with pytest.raises(AttributeError):
        plant.process("drawing").feed = "mixed"


REFUSALS = {
    # one table by itself: place, key, value found, what would fit
    "a unit nobody weighs in": (
        'rod = { name = "Rod", letter = "C", unit = "g" }',
        'rod = { name = "Rod", letter = "C", unit = "kg" }',
        ("kind.rod", "unit", "'kg'", "one of g, mm, ml, cm3, pcs"),
    ),
    "a letter that is not a family of lots": (
        'letter = "R"',
        'letter = "U"',
        ("kind.stripper", "letter", "'U'", "one of C, S, R, G, N, F, L, K"),
    ),
    "one of many weighed where nothing is counted": (
        'place = "rack"\n',
        'place = "rack"\nweighs_items = true\n',
        ("station.draw_1", "weighs_items", "true", "a scale, and items of a kind in g that are counted here"),
    ),
    "a decimal without quotes": (
        'low = "2.45"',
        "low = 2.45",
        ("characteristic.wire_diameter", "low", "2.45", "a decimal in quotes"),
    ),
    "a decimal with a comma": (
        'low = "2.45"',
        'low = "2,45"',
        ("characteristic.wire_diameter", "low", "'2,45'", "a decimal in quotes"),
    ),
    "limits the wrong way round": (
        'low = "2.45"',
        'low = "2.65"',
        ("characteristic.wire_diameter", "low", "'2.65'", "no more than high = 2.55"),
    ),
    "a figure said to be sourced that names no source": (
        'high = "2.55"',
        'high = "2.55", confidence = "sourced"',
        ("characteristic.wire_diameter", "source", "''", "where a sourced value is from"),
    ),
    "an amount in quotes": (
        "tolerance_permille = 20",
        'tolerance_permille = "20"',
        ("process.drawing", "tolerance_permille", "'20'", "a whole number of at least 0"),
    ),
    "true where a number belongs": (
        "tolerance_permille = 20",
        "tolerance_permille = true",
        ("process.drawing", "tolerance_permille", "true", "a whole number of at least 0"),
    ),
    "a feed that no rule knows": (
        'feed = "in_turn"',
        'feed = "sideways"',
        ("process.drawing", "feed", "'sideways'", "one of in_turn, side_by_side, together, mixed, as_is"),
    ),
    "a time that no clock shows": (
        'day_start = "06:00"',
        'day_start = "24:00"',
        ("plant", "day_start", "'24:00'", 'a time as "06:00"'),
    ),
    "a zone that does not exist": (
        'zone = "America/Jamaica"',
        'zone = "Tallowmere/Works"',
        ("plant", "zone", "'Tallowmere/Works'", "the IANA name of a time zone"),
    ),
    "a site too long for a label": (
        'site = "TWO"',
        'site = "Two machines"',
        ("plant", "site", "'Two machines'"),
    ),
    "a key that is missing": (
        'name = "Two machines"\n',
        "",
        ("plant", "name is missing", "one line of text"),
    ),
    "an empty name": (
        'name = "Drawing"',
        'name = " "',
        ("process.drawing", "name", "' '", "one line of text"),
    ),
    "a name with a line break": (
        'name = "Drawing"',
        r'name = "A\nB"',
        ("process.drawing", "name", "one line"),
    ),
    "a misspelt key": ("order =", "oder =", ("process.drawing", "'oder'", "Expected order?")),
    "a misspelt table": ("[reason]", "[reasons]", ("'reasons'", "Expected reason?")),
    "a code with a blank": ("[station.draw_1]", '[station."draw 1"]', ("station", "draw 1", "a code")),
    "a table where a list belongs": (
        'kinds = ["rod"]',
        'kinds = "rod"',
        ("process.drawing.input.rod", "kinds", "'rod'", "a list of codes"),
    ),
    "the same code twice in a list": (
        'kinds = ["rod"]',
        'kinds = ["rod", "rod"]',
        ("kinds", "each of the codes"),
    ),
    "a question no operator is asked": (
        'asks = ["weight"]',
        'asks = ["colour"]',
        ("asks", "'colour'", "weight"),
    ),
    "a role nobody has": ("operator = ", "foreman = ", ("role", "'foreman'", "operator")),
    "a command that is none": ('"MakeOutput"', '"make output"', ("role", "operator", "'make output'")),
    "more inputs than may be": (
        'kinds = ["rod"]',
        'kinds = ["rod"]\nleast = 3\nmost = 2',
        ("process.drawing.input.rod", "most", "2", "at least 3"),
    ),
    # what one table says of another
    "a product of an unknown kind": (
        'kind = "rod" }',
        'kind = "bar" }',
        ("product.rod_55", "kind", "'bar'", "one of rod, stripper"),
    ),
    "a station that works an unknown process": (
        'processes = ["drawing"]',
        'processes = ["weaving"]',
        ("station.draw_1", "processes", "'weaving'", "one of drawing"),
    ),
    "a station without the tool its process names": (
        'resources = ["die_set"]\n',
        "",
        ("station.draw_1", "resources", "'die_set'", "one of none"),
    ),
    "a station that puts its outputs nowhere": (
        'place = "rack"',
        'place = "shelf"',
        ("station.draw_1", "place", "'shelf'", "one of rack"),
    ),
    "an input of an unknown kind": (
        'kinds = ["rod"]',
        'kinds = ["billet"]',
        ("process.drawing.input.rod", "kinds", "'billet'", "one of rod, stripper"),
    ),
    "an input that no lot fits": (
        'kinds = ["rod"]',
        "kinds = []",
        ("process.drawing.input.rod", "kinds", "none"),
    ),
    "an input on a payoff the station lacks": (
        'kinds = ["rod"]',
        'kinds = ["rod"]\npayoffs = ["7"]',
        ("process.drawing.input.rod", "payoffs", "'7'", "one of 1"),
    ),
    "an output in a stream that does not close": (
        'stream = "steel"\nasks',
        'stream = "zinc"\nasks',
        ("process.drawing.output.stripper", "stream", "'zinc'", "one of steel"),
    ),
    "an output that may be a product of another kind": (
        'asks = ["weight"]',
        'asks = ["weight"]\nproducts = ["rod_55"]',
        ("process.drawing.output.stripper", "products", "'rod_55'", "one of wire_25"),
    ),
    "an output in a carrier the plant lacks": (
        'asks = ["weight"]',
        'asks = ["weight"]\ncarrier = "spool"',
        ("process.drawing.output.stripper", "carrier", "'spool'", "one of pan"),
    ),
    "an output of which nothing is asked": (
        'asks = ["weight"]',
        "asks = []",
        ("asks", "what the operator gives"),
    ),
    "a lane where nothing lies side by side": (
        'asks = ["weight"]',
        'asks = ["lane"]',
        ("asks", "lane", "no lane where the feed is in_turn"),
    ),
    "a check of an unknown characteristic": (
        'checks = ["wire_diameter"]',
        'checks = ["weight"]',
        ("process.drawing", "checks", "'weight'", "one of wire_diameter"),
    ),
    "a vessel that is nowhere": (
        "tolerance_permille = 20",
        'tolerance_permille = 20\nvessel = "empties"',
        ("station.draw_1", "vessel", "none", "the vessel that Drawing works in"),
    ),
    "seven buttons": (
        'ends = { words = "Ends", group = "scrap" }',
        "\n".join(f'r{number} = {{ words = "R", group = "scrap" }}' for number in range(7)),
        ("reason", "group", "7 of scrap", "at most 6"),
    ),
    "nobody who may adopt the next plant": (
        'administrator = ["*"]\n',
        "",
        ("role", "administrator", "somebody must adopt"),
    ),
    "no shift": ('day = { name = "Day", start = "06:00" }\n', "", ("shift", "none", "at least one shift")),
    "two shifts that start at once": (
        'day = { name = "Day", start = "06:00" }',
        'day = { name = "Day", start = "06:00" }\nlate = { name = "Late", start = "06:00" }',
        ("shift", "start", "06:00, 06:00", "shifts that start at different times"),
    ),
    "parts that are no whole": (
        'kind = "stripper" }',
        'kind = "stripper", parts_permille = { steel = 900, pvc = 117 } }',
        ("product.wire_25", "parts_permille", "parts that sum to 1000"),
    ),
    "dots no printer has": (
        "[reason]",
        '[printer.gate]\nname = "Gate"\ndpi = 200\n\n[reason]',
        ("printer.gate", "dpi", "200", "203, 300 or 600"),
    ),
    "a factor that leaves theory out": (
        "[reason]",
        '[factor]\nleast = "1.1"\n\n[reason]',
        ("factor", "least", "1.1", "from 0.3 to 1"),
    ),
    "a factor of another product": (
        "[reason]",
        '[factor]\nmost = "9"\n\n[reason]',
        ("factor", "most", "9", "from 1 to 3"),
    ),
    "a table that is none": (
        "[reason]",
        "[characteristic.tensile]\nname = 3\n\n[reason]",
        ("tensile", "name", "3"),
    ),
    "text where a table belongs": (
        "[process.drawing.streams]\nsteel",
        "streams",
        ("streams", "'g'", "a table"),
    ),
    "yes where true belongs": (
        'site = "TWO"',
        'site = "TWO"\ndemo = "yes"',
        ("plant", "demo", "true or false"),
    ),
    "a process without an input": (
        """[process.drawing.input.rod]
name = "Rod"
stream = "steel"
kinds = ["rod"]
""",
        "",
        ("process.drawing", "input", "none", "at least one"),
    ),
    "a process without an output": (
        "[reason]",
        """[process.scrapping]
name = "Scrapping"
feed = "mixed"
tolerance_permille = 0
streams.steel = "g"
input.rod = { name = "Rod", stream = "steel", kinds = ["rod"] }

[reason]""",
        ("process.scrapping", "output", "none", "at least one"),
    ),
    "a process not written in full": (
        'name = "Drawing"',
        'name = "Drawing"\nfrom = "catalogue:wire_drawing"',
        ("process.drawing", "from", "resolve the text first"),
    ),
}


@pytest.mark.parametrize(("before", "after", "says"), REFUSALS.values(), ids=REFUSALS.keys())
def test_what_does_not_fit_is_refused(before: str, after: str, says: tuple[str, ...]) -> None:
    assert before in plants.SMALL
    with pytest.raises(Unreadable) as refusal:
        parse(plants.SMALL.replace(before, after, 1))
    sentence = str(refusal.value)
    assert [part for part in says if part not in sentence] == [], sentence
    assert refusal.value.next_step


BOUNDS = {
    "more lost than there is": (
        "tolerance_permille = 20",
        "tolerance_permille = 20\nloss_permille = 1001",
        ("process.drawing", "loss_permille = 1001", "at most 1000"),
    ),
    "more open than there is": (
        "tolerance_permille = 20",
        "tolerance_permille = 2000",
        ("process.drawing", "tolerance_permille = 2000", "at most 1000"),
    ),
    "a margin of more than all": (
        "tolerance_permille = 20",
        "tolerance_permille = 20\nmargin.loss_permille = 1200",
        ("process.drawing.margin", "loss_permille = 1200", "at most 1000"),
    ),
    "off by more than there is": (
        "[reason]",
        "[unsure_permille]\nestimated = 1500\n\n[reason]",
        ("unsure_permille", "estimated = 1500", "at most 1000"),
    ),
    "a die finer than anybody reads": (
        "[reason]",
        '[resource.fine]\nname = "Fine"\nkind = "die_set"\ndies_mm = ["4.90", "2.500001"]\n\n[reason]',
        ("resource.fine", "dies_mm = '2.500001'", "at most three decimals"),
    ),
}


@pytest.mark.parametrize(("before", "after", "says"), BOUNDS.values(), ids=BOUNDS.keys())
def test_a_figure_that_cannot_be_meant_is_not_adopted_but_opens_where_it_was(
    before: str, after: str, says: tuple[str, ...]
) -> None:
    assert before in plants.SMALL
    stored = parse(plants.SMALL.replace(before, after, 1))
    with pytest.raises(Unreadable) as refusal:
        check_bounds(stored)
    sentence = str(refusal.value)
    assert [part for part in says if part not in sentence] == [], sentence
    assert refusal.value.next_step


def test_figures_at_their_bounds_are_adopted() -> None:
    check_bounds(parse(plants.SMALL))
    check_bounds(parse(plants.SMALL.replace("tolerance_permille = 20", "tolerance_permille = 1000")))


def test_text_that_is_not_toml_is_refused_with_its_line() -> None:
    with pytest.raises(Unreadable, match="line 2"):
        parse("[plant]\nname = Tallowmere\n")


LOOK_UPS = [
    "kind", "product", "station", "place", "vessel", "instrument", "resource", "carrier", "printer", "reason",
    "process", "characteristic",
]  # fmt: skip


@pytest.mark.parametrize("what", LOOK_UPS)
def test_a_code_the_plant_does_not_have_is_unknown(what: str) -> None:
    with pytest.raises(Unknown, match=r"This plant has no .*'nowhere'") as refusal:
        getattr(plants.demo_plant(), what)("nowhere")
    assert refusal.value.expected.startswith("Known here: ")


@pytest.mark.parametrize(
    ("roles", "command", "allowed"),
    [
        (["operator"], "OpenRun", True),
        (["operator"], "AdoptPlant", False),
        (["administrator"], "AdoptPlant", True),
        (["receiver", "operator"], "MakeOutput", True),
        ([], "OpenRun", False),
        (["stranger"], "OpenRun", False),
    ],
)
def test_roles_cover_what_the_plant_says(roles: list[str], command: str, allowed: bool) -> None:
    assert parse(plants.SMALL).allows(roles, command) is allowed
