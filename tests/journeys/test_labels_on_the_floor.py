"""Which label does each thing on the floor get, on a printer's stock or on A4, and whom does none name?"""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from houses import House
from label_pictures import pdf_images
from lotroot.accounts.badges import badge_of
from lotroot.accounts.people import everybody
from lotroot.database import Database
from lotroot.identity.numbers import number_from
from lotroot.labelling.placing import drawn
from lotroot.labelling.printed import labels_of
from lotroot.labelling.rendering import layout_named
from lotroot.labelling.tables import print_job
from lotroot.ledger.names import name_of
from lotroot.production.loading import UnloadInput
from lotroot.receiving.commands import ReceiveLot
from lotroot.worker import drain
from lotroot_printing.drawing import dots
from lotroot_printing.symbols import read
from offices import an_office_house, office
from shop import Shop
from sqlalchemy import select


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def latest(house: House, number: str) -> tuple[str, dict[str, Any]]:
    """Layout and fields of the label queued last for a number."""
    job = [row for row in house.rows(print_job) if row["number"] == number][-1]
    return job["layout"], json.loads(job["fields"])


# ---------------------------------------------------------------- which layout


def test_a_lot_in_a_pan_gets_a_pan_card_with_the_pan_s_name(house: House) -> None:
    shop = Shop(house)
    nails = shop.nails(shop.drawn(shop.coil(), 400_000)[0], 300_000, "pan_17")
    layout, fields = latest(house, nails)
    assert (layout, fields["carrier"]) == ("pan_card", "Pan 17")


def test_a_coil_taken_off_hangs_under_a_part_coil_s_tag_a_roll_of_wire_keeps_its_own(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    wire = shop.drawn(coil, 400_000)[0]
    shop.at("draw_1", UnloadInput(coil))
    shop.nails(wire, 100_000)
    shop.at("nail_1", UnloadInput(wire))
    assert latest(house, coil)[0] == "part_coil"
    layout, fields = latest(house, wire)
    assert (layout, fields["part"], fields["welds"]) == ("stripper", "PART", "no weld")


# ---------------------------------------------------------------- the demo's labels


@pytest.fixture(scope="module")
def jobs(demo_database: Database) -> Iterator[list[dict[str, Any]]]:
    """The demo's labels; each layout with its fullest of every kind and product."""
    with demo_database.reading() as connection:
        rows = [dict(row) for row in connection.execute(select(print_job)).mappings()]
    yield rows


def test_the_demo_shows_every_layout_for_goods_at_work(jobs: list[dict[str, Any]]) -> None:
    shown_there = {job["layout"] for job in jobs}
    assert shown_there >= {
        *("coil", "part_coil", "stripper", "lot", "pan_card", "nail_box", "wire_roll", "roof_bundle"),
        *("tile_stack", "lumber", "treated_pack", "pallet", "run", "shipment"),
    }


def test_a_roll_of_the_demo_spans_a_weld_and_names_both_coils(jobs: list[dict[str, Any]]) -> None:
    rolls = [json.loads(job["fields"]) for job in jobs if job["layout"] == "stripper"]
    assert {roll["welds"] for roll in rolls} >= {"no weld", "1 weld"}
    across = [roll for roll in rolls if roll["welds"] == "1 weld" and roll["kind"] == "Stripper"]
    assert across
    assert all(" / " in roll["coil"] for roll in across)
    assert any(" / " in roll["heat"] for roll in across)


def test_no_label_of_the_demo_names_a_person(demo_database: Database, jobs: list[dict[str, Any]]) -> None:
    with demo_database.reading() as connection:
        people = [str(row.number) for row in everybody(connection)]
        names = [
            word for one in people for word in (one, name_of(connection, one), badge_of(connection, one))
        ]
    assert len(names) > 10
    for job in jobs:
        assert not [name for name in names if name and name in job["fields"]], job["number"]


def fullest(jobs: list[dict[str, Any]]) -> list[tuple[str, dict[str, Any]]]:
    """Layout and fields of the fullest label of every layout, kind and product; of one item of a block."""
    found: dict[tuple[str, str, str], str] = {}
    for job in jobs:
        fields = json.loads(job["fields"])
        key = (job["layout"], fields.get("kind", ""), fields.get("product", ""))
        found[key] = max(found.get(key, ""), job["fields"], key=len)
    labels = []
    for (layout, _, _), text in found.items():
        values = json.loads(text)
        if items := values.pop("items", []):
            values |= {"amount": items[0]["amount"], "kind": f"{values['kind']} {items[-1]['serial']}"}
        labels.append((layout, values))
    return labels


def test_no_word_of_the_demo_s_fullest_labels_is_cut_at_any_resolution(jobs: list[dict[str, Any]]) -> None:
    labels = fullest(jobs)
    assert len(labels) > 40
    for name, values in labels:
        for dpi in layout_named(name).resolutions:
            words = [run.text for run in drawn(layout_named(name, dpi), values).texts]
            assert not [word for word in words if "…" in word], (name, dpi)


# ---------------------------------------------------------------- on A4


def codes(pages: list[Any]) -> list[str]:
    """What the bars on some pages say."""
    return [each.text for page in pages for each in read(page, "code128")]


@pytest.fixture
def coil_in_the_tray(house: House) -> tuple[House, str, int]:
    coil = Shop(house).coil()
    drain(house.door)
    return house, coil, house.ask(labels_of, coil)[-1].event


def test_the_labels_of_a_print_come_on_a4_moved_by_the_printer_s_offset(
    coil_in_the_tray: tuple[House, str, int],
) -> None:
    house, coil, event = coil_in_the_tray
    admin = office(house, "administrator")
    page = admin.client.get("/tray").text
    assert f'action="/labels/{event}/a4.pdf"' in page
    still, moved = (
        admin.client.get(f"/labels/{event}/a4.pdf?{asked}") for asked in ("", "right=2.5&down=-1&skip=1")
    )
    assert still.headers["Content-Type"] == moved.headers["Content-Type"] == "application/pdf"
    before, after = (pdf_images(answer.data, 300) for answer in (still, moved))
    assert [len(before), len(after)] == [1, 1]
    assert before[0].size == (2480, 3508)
    assert set(codes(before)) == set(codes(after)) == {coil}
    boxes = [page.point(lambda value: 255 - value).getbbox() for page in (before[0], after[0])]
    right, down = (boxes[1][side] - boxes[0][side] for side in (0, 1))
    assert right == dots(100, 300) + dots(2.5, 300), "one place and the offset to the right"
    assert down == -dots(1, 300)


def test_end_tags_come_one_for_each_piece_with_the_number_of_their_pack(house: House) -> None:
    command = ReceiveLot(product="lumber_4x4x8", amount=48, supplier="nordhavn", certificate="to follow")
    pack = Shop(house).at("receiving", command, "receiver").numbers[0]
    drain(house.door)
    event = house.ask(labels_of, pack)[-1].event
    admin = office(house, "administrator")
    assert "Tags for the ends of boards" in admin.client.get("/tray").text
    pages = pdf_images(admin.client.get(f"/labels/{event}/a4.pdf?end_tags=25").data, 300)
    assert len(pages) == 2, "22 on a page"
    wide, high = dots(75, 300), dots(25, 300)
    left, top = (2480 - 2 * wide) // 2, (3508 - 11 * high) // 2
    places = [(left + at % 2 * wide, top + at // 2 * high) for at in range(22)]
    tags = [page.crop((x, y, x + wide, y + high)) for page in pages for x, y in places]
    assert [codes([tag]) for tag in tags] == [[str(number_from(pack))]] * 25 + [[]] * 19


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("right=1,5", "cannot be read"),
        ("down=1e1", "cannot be read"),
        ("right=25", "out of range"),
        ("skip=2", "not on the first page"),
        ("skip=one", "no count"),
        ("end_tags=501", "not a number of end tags"),
    ],
)
def test_what_cannot_be_put_on_a4_is_refused_in_words(
    coil_in_the_tray: tuple[House, str, int], asked: str, says: str
) -> None:
    house, _, event = coil_in_the_tray
    answer = office(house, "administrator").client.get(f"/labels/{event}/a4.pdf?{asked}")
    assert answer.status_code in (400, 409, 422)
    assert says in re.sub(r"\s+", " ", answer.text)
