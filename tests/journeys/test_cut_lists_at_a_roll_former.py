"""Are bundles of roofing cut to an order's list recorded line by line, shown, repeated and taken back?"""

import html
import json
import re
from collections.abc import Iterator
from typing import Any

import plants
import pytest
from cut_plants import cut_text
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.accounts.devices import devices
from lotroot.accounts.enrolment import AllowDevice
from lotroot.errors import Question, Unreadable
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.identity.showing import shown
from lotroot.labelling.placing import drawn
from lotroot.labelling.rendering import layout_named
from lotroot.labelling.tables import print_job
from lotroot.ledger.book import head
from lotroot.production.correcting_outputs import CorrectOutput
from lotroot.production.cut_facts import Cut
from lotroot.production.cuts import cuts_of_lot
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.tracing.story import story
from lotroot.voiding.handling import Undo
from offices import office
from paper_forms import catching_up, moment, pad
from shop import Shop
from terminals import Terminal, web

TWO = "24x3.6 12x2.4"
BOTH = "24 x 3.6 m, 12 x 2.4 m; 115.2 m, 115.2 m2 at 1 m cover"


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    with by_hand():
        opened = a_house(database_url, cut_text("cut"))
        yield opened
        opened.database.close()


@pytest.fixture
def former(house: House) -> Terminal:
    """A roll former with a coil of 5 t on, that makes sheets cut to order."""
    terminal = at(house, "roll_1")
    coil = lay(house, "coil_40x1250", 5_000_000, "coil_yard", mass=None)
    terminal.answer(coil, "sheet_cut")
    return terminal


def said(house: House, address: str) -> str:
    """A page's words."""
    text = re.sub("<[^>]+>", " ", office(house, "manager").client.get(address).text)
    return plain(re.sub(r"\s+", " ", html.unescape(text)))


def label_of(house: House, number: str) -> dict[str, Any]:
    """The fields of the label queued last for a number."""
    job = [row for row in house.rows(print_job) if row["number"] == number][-1]
    fields: dict[str, Any] = json.loads(job["fields"])
    return fields


def test_a_bundle_is_typed_as_on_the_cut_list_and_told_line_by_line(house: House, former: Terminal) -> None:
    assert former.last["next"] == "Type the cut list of the bundle: 24x3.6 12x2.4"
    assert "36 pcs" in plain(ok(former.scan(TWO))["say"])
    assert BOTH in plain(html.unescape(former.last["fragments"]["station-made"]))
    ok(former.scan("SAME AGAIN"))
    ok(former.scan("10 x 6"))
    run = run_at(house, "roll_1")
    made = [(one.first, one.last, one.own, one.amount, one.basis) for one in run.outputs]
    assert made == [
        (1, 1, 36, 452_160, "calculated"),
        (2, 2, 36, 452_160, "calculated"),
        (3, 3, 10, 235_500, "calculated"),
    ]
    lot = run.outputs[0].lot
    row = house.ask(find_lot, lot)
    assert (row.items, row.amount, row.mass) == (3, 82, 1_139_820)
    two = (Cut(24, 3_600), Cut(12, 2_400))
    assert house.ask(cuts_of_lot, lot) == {1: two, 2: two, 3: (Cut(10, 6_000),)}
    assert sum(one.taken for one in house.ask(links_of, row.id)) == 1_139_820
    assert house.status() == house.rebuilt()


def test_the_story_of_a_bundle_and_the_page_of_its_run_say_how_it_was_cut(
    house: House, former: Terminal
) -> None:
    ok(former.scan(TWO))
    ok(former.scan("10x6"))
    run = run_at(house, "roll_1")
    bundle = Shop(house).item(run.outputs[0].lot, 1)
    told = house.ask(story, bundle)
    assert plain(told.cuts) == BOTH
    mine = [plain(one.sentence) for one in told.told if one.kind == "CutListMade"]
    assert len(mine) == 1
    assert mine[0].endswith("was cut as 24 x 3.6 m, 12 x 2.4 m; 115.2 m.")
    assert f"Cut list {BOTH}" in said(house, f"/lots/{bundle}")
    page = said(house, f"/lots/{run.number}")
    assert BOTH in page
    assert "10 x 6 m; 60 m, 60 m2 at 1 m cover" in page


def test_each_bundle_has_its_own_count_on_its_label(house: House, former: Terminal) -> None:
    ok(former.scan(TWO))
    lot = run_at(house, "roll_1").outputs[0].lot
    first = label_of(house, lot)
    ok(former.scan("10x6"))
    second = label_of(house, lot)
    assert [plain(one["items"][0]["amount"]) for one in (first, second)] == ["36 pcs", "10 pcs"]
    assert first["content"] == ["24x3.6 12x2.4 m"]
    assert [plain(one["length"]) for one in (first, second)] == ["2.4\u20133.6 m", "6 m"]
    assert ("mass" in first, plain(second["mass"])) == (False, "235.5 kg")
    item = {**first, **first["items"][0], "number": f"{lot}000168", "shown": f"{shown(lot)}-0001-68"}
    for dpi in (203, 300):
        texts = [plain(run.text) for run in drawn(layout_named("roof_bundle", dpi), item).texts]
        assert {"36 pcs", "2.4\u20133.6 m", "24x3.6 12x2.4 m"} <= set(texts)


def test_the_label_tells_a_long_cut_list_by_its_range(house: House, former: Terminal) -> None:
    ok(former.scan("12x3.6 8x2.4 6x1.85 4x0.6 2x3.6"))
    fields = label_of(house, run_at(house, "roll_1").outputs[0].lot)
    assert (plain(fields["length"]), "content" in fields) == ("0.6\u20133.6 m", False)


def test_a_bundle_corrected_to_another_count_has_no_cut_list_any_more(house: House, former: Terminal) -> None:
    ok(former.scan(TWO))
    run = run_at(house, "roll_1")
    house.post(CorrectOutput(run.number, run.outputs[0].seq, 30), "supervisor")
    assert house.ask(cuts_of_lot, run.outputs[0].lot) == {}
    assert "does not stand" in former.scan("SAME AGAIN")["say"]
    assert house.status() == house.rebuilt()


def test_undo_takes_a_bundle_and_its_cut_list_back(house: House, former: Terminal) -> None:
    ok(former.scan(TWO))
    ok(former.scan("10x6"))
    lot = run_at(house, "roll_1").outputs[0].lot
    ok(former.scan("UNDO"))
    assert set(house.ask(cuts_of_lot, lot)) == {1}
    ok(former.scan("SAME AGAIN"))
    assert run_at(house, "roll_1").outputs[-1].own == 36
    assert house.status() == house.rebuilt()


BAD = ["0x3.6", "24x0", "24", "24x", "x3.6", "24x99999", "1e3x2", "-2x3", " ".join(["1x2"] * 13)]


def test_a_cut_list_that_cannot_be_writes_nothing(house: House, former: Terminal) -> None:
    before = house.ask(head)
    for text in BAD:
        told = former.scan(text)
        assert told["verdict"] in ("refused", "unreadable"), told
        assert re.search(r"[Ll]ine", told["say"]), told
        assert "Expected" in f"{told['say']} {told['detail']}", told
        assert house.ask(head) == before, text


def test_more_than_the_coil_is_asked_about_once(house: House, former: Terminal) -> None:
    before = house.ask(head)
    told = former.scan("500x3.6")
    assert (told["verdict"], house.ask(head)) == ("ask", before)
    assert plain(told["question"]["text"]) == ("7 065 kg comes out, 5 000 kg is loaded. Is the number right?")
    former.answer("500x3.6", "yes")
    assert run_at(house, "roll_1").outputs[-1].own == 500


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"count": 3}, "a cut list is missing"),
    ({}, "a cut list is missing"),
    ({"cuts": (Cut(0, 3_600),)}, "Line 1, “0x3600 mm”: 0 pieces"),
    ({"cuts": (Cut(24, 3_600), Cut(2, 99))}, "Line 2, “2x99 mm”"),
    ({"cuts": (Cut(1, 2_000),) * 13}, "13 lines"),
    ({"cuts": (Cut(1, 2_000),), "count": 2}, "a cut list is missing"),
]


def test_a_command_with_lines_that_cannot_be_writes_nothing(house: House, former: Terminal) -> None:
    before = house.ask(head)
    for given, what in REFUSED:
        with pytest.raises(Unreadable, match=re.escape(what)):
            Shop(house).at("roll_1", MakeOutput(**given))
        assert house.ask(head) == before, given


def test_a_command_records_the_lines_and_its_undo_takes_them_back(house: House) -> None:
    shop = Shop(house)
    coil = lay(house, "coil_40x1250", 5_000_000, "coil_yard")
    shop.at("roll_1", LoadInput(coil, product="sheet_cut"))
    made = shop.at("roll_1", MakeOutput(cuts=(Cut(24, 3_600), Cut(12, 2_400))))
    assert house.ask(cuts_of_lot, made.numbers[0]) == {1: (Cut(24, 3_600), Cut(12, 2_400))}
    shop.at("roll_1", Undo())
    assert house.ask(cuts_of_lot, made.numbers[0]) == {}
    assert house.status() == house.rebuilt()
    with pytest.raises(Question):
        shop.at("roll_1", MakeOutput(cuts=(Cut(500, 3_600),)))


def test_a_program_that_records_gives_the_lines_as_an_array(house: House, former: Terminal) -> None:
    client = web(house).test_client()
    house.post(AllowDevice("A hand-held"))
    (row,) = house.ask(devices)
    token = client.post("/api/devices", json={"code": row.code}).get_json()["token"]
    lines = [{"count": 24, "length_mm": 3600}, {"count": 12, "length_mm": 2400}]
    run = run_at(house, "roll_1").number
    person, station = house.people["operator"], house.thing("station", "roll_1")
    for index, (cuts, status) in enumerate([(lines, 201), ([{"count": 24}], 422), ([], 422)]):
        kept = {"Authorization": f"Bearer {token}", "Idempotency-Key": f"a-key-of-a-hand-held-{index}"}
        body = {"cuts": cuts, "run": run, "person": person, "station": station}
        answer = client.post("/api/commands/make-output", json=body, headers=kept)
        assert answer.status_code == status, answer.text
    (made,) = run_at(house, "roll_1").outputs
    assert house.ask(cuts_of_lot, made.lot) == {1: (Cut(24, 3_600), Cut(12, 2_400))}


def test_a_bundle_cut_in_a_night_without_network_is_entered_afterwards(
    house: House, former: Terminal
) -> None:
    labels = pad(house, "F", "roll_1")
    house.clock.forward(hours=24)
    page = catching_up(house, "roll_1")
    ok(page.scan(labels[0]))
    ok(page.scan("2 2230"))
    ok(page.scan(TWO))
    (made,) = run_at(house, "roll_1").outputs
    assert (made.lot, made.own, made.ended) == (labels[0], 36, moment("2026-11-02T22:30"))
    assert house.ask(cuts_of_lot, labels[0])[1] == (Cut(24, 3_600), Cut(12, 2_400))


def test_a_cut_list_is_refused_where_bundles_are_counted(database_url: str) -> None:
    with by_hand():
        house = a_house(database_url)
        shop = Shop(house)
        shop.at("roll_1", LoadInput(lay(house, "coil_40x1250", 5_000_000, "coil_yard"), product="sheet_t35"))
        with pytest.raises(Unreadable, match="is not cut to a list"):
            shop.at("roll_1", MakeOutput(cuts=(Cut(24, 3_600),)))
        house.database.close()


def test_a_bundle_that_is_weighed_has_the_weight_of_the_scale(database_url: str) -> None:
    with by_hand():
        house = a_house(database_url, cut_text("cut", "weight"))
        former = at(house, "roll_1")
        former.answer(lay(house, "coil_40x1250", 5_000_000, "coil_yard"), "sheet_cut")
        assert former.last["next"] == "Type the cut list of the bundle: 24x3.6 12x2.4 = kg"
        ok(former.scan(f"{TWO} = 448.5"))
        made = run_at(house, "roll_1").outputs[-1]
        assert (made.own, made.amount, made.basis) == (36, 448_500, "weighed")
        assert former.scan("SAME AGAIN")["verdict"] == "refused"
        house.database.close()


@pytest.mark.parametrize(
    ("asks", "process", "expected"),
    [
        (("cut", "count"), "roll_forming", "cut alone, or with weight"),
        (("cut",), "tile_pressing", "kind whose unit is pcs"),
    ],
)
def test_a_plant_that_cuts_what_cannot_be_cut_is_refused(
    asks: tuple[str, ...], process: str, expected: str
) -> None:
    output = {"roll_forming": "bundle", "tile_pressing": "tiles"}[process]
    head_line = f'from = "catalogue:{process}"'
    asked = ", ".join(f'"{one}"' for one in asks)
    text = plants.demo_text().replace(head_line, f"{head_line}\noutput.{output}.asks = [{asked}]", 1)
    with pytest.raises(Unreadable) as refused:
        plants.parsed(text)
    assert expected in refused.value.expected
