"""Does one scan open the whole story, and lead to the common cause and to everything else of it?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from houses import a_house
from lotroot.dispatch.handling import LoadShipment, OpenShipment, ReturnGoods, SendShipment
from lotroot.errors import Unknown, Unreadable
from lotroot.holds.handling import PlaceHold
from lotroot.identity.showing import shown
from lotroot.labelling.handling import ProveLabel
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn, Restack
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import ChangeTool, CloseRun, MarkRun, ScrapInput
from lotroot.quality.handling import RecordCheck
from lotroot.receiving.commands import CorrectAmount, ReceiveLot
from lotroot.tracing import Story, find, origins, siblings, story
from lotroot.voiding.handling import Undo
from lotroot.worker import drain
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    yield opened
    opened.house.database.close()


def told(shop: Shop, number: str) -> Story:
    found: Story = shop.house.ask(story, number)
    return found


def sentences(found: Story) -> list[str]:
    return [one.sentence for one in found.told]


def received(shop: Shop) -> str:
    command = ReceiveLot(
        product="rod_55",
        amount=2_000_000,
        supplier="nordhavn",
        supplier_number="NH-4711",
        heats=("H 1", "H 2"),
        grade="C10",
        mass_theirs=2_010_000,
        delivery="DN 9",
        certificate="to follow",
    )
    return shop.at("receiving", command, "receiver").numbers[0]


def test_a_coil_tells_its_source_and_what_was_made_of_it(shop: Shop) -> None:
    coil = received(shop)
    one, two = shop.drawn(coil, 500_000, 400_000)
    found = told(shop, shown(coil).lower())
    assert found.what.replace("\u202f", " ") == f"Rod coil {shown(coil)}: Wire rod 5.5 mm, 2 000 kg."
    assert found.lot is not None
    assert (found.lot.product, found.lot.how, found.lot.source) == ("Wire rod 5.5 mm", "weighed", "received")
    assert found.source is not None
    assert (found.source.supplier.name, found.source.heats) == ("Nordhavn Staal", ("H 1", "H 2"))
    assert found.source.mass_theirs is not None
    assert found.source.mass_theirs.amount == 2_010_000
    assert (found.run, found.made_from) == (None, ())
    assert [(each.lot.number, each.taken.amount) for each in found.made_into] == [
        (one, 500_000),
        (two, 400_000),
    ]
    assert [each.stretch.replace("\u202f", " ") for each in found.made_into] == [
        "from 0 kg to 500 kg, counted from the outer end",
        "from 500 kg to 900 kg, counted from the outer end",
    ]
    assert ("supplier's number", "NH-4711") in found.aliases
    [where] = found.where
    assert where.place is not None
    assert (where.place.name, where.amount.amount) == ("Drawing machine 1", 1_100_000)


def test_a_lot_tells_its_run_with_people_tools_marks_and_scrap(shop: Shop) -> None:
    coil = received(shop)
    dies = shop.house.thing("resource", "dies_25_a")
    shop.at("draw_1", LoadInput(coil, product="wire_25"))
    shop.at("draw_1", ChangeTool(dies))
    lot = shop.at("draw_1", MakeOutput(weight=500_000)).numbers[0]
    shop.at("draw_1", MarkRun("broke", words="at the third block"), "supervisor")
    shop.at("draw_1", ScrapInput(4_000, "ends"))
    found = told(shop, lot)
    run = found.run
    assert run is not None
    assert (run.process, run.station.name, run.closed) == ("Wire drawing", "Drawing machine 1", None)
    assert [one.name for one in run.people] == ["The operator", "The supervisor"]
    assert [one.thing.number for one in run.resources] == [dies]
    assert [one.words for one in run.marks] == ["Wire broke: at the third block"]
    assert [(one.lot.number, one.amount.amount) for one in run.scrap] == [(coil, 4_000)]
    assert [(one.lot.number, one.taken.amount) for one in run.inputs] == [(coil, 500_000)]
    assert [(one.lot.number, one.basis, one.person.name) for one in run.outputs] == [
        (lot, "weighed", "The operator")
    ]
    assert [(one.lot.number, one.basis) for one in found.made_from] == [(coil, "weighed")]
    assert told(shop, run.run.number).run == run


def test_a_lot_tells_checks_holds_questions_and_labels(shop: Shop) -> None:
    coil = received(shop)
    lot = shop.drawn(coil, 500_000)[0]
    shop.at("draw_1", RecordCheck(lot, "wire_diameter", ("2.50",)))
    shop.house.post(PlaceHold("brittle", coil), "qa")
    shop.asked(RecordCheck(lot, "wire_diameter", ("2.61",)), "record", "draw_1")
    drain(shop.house.door)
    shop.house.post(ProveLabel(lot), "operator")
    found = told(shop, lot)
    assert [(one.characteristic, one.readings, one.verdict) for one in found.checks] == [
        ("Wire diameter", ("2.50",), "pass"),
        ("Wire diameter", ("2.61",), "fail"),
    ]
    assert not found.checks[0].confirmed
    assert [(one.reason, one.root.number, one.words) for one in found.holds] == [("Brittle", coil, "on hold")]
    assert [one.settled for one in found.questions] == [False]
    [label] = found.labels
    assert label.proved is not None
    assert label.proved.at > label.at.at
    kinds = {one.kind for one in found.told}
    assert {"LotBorn", "OutputMade", "Checked", "Questioned", "LabelPrinted", "LabelProved"} <= kinds
    by_the_program = [one.kind for one in found.told if not one.person.name]
    assert by_the_program == ["LabelPrinted"]
    assert all(one.when.shown for one in found.told)


def packed(shop: Shop) -> tuple[str, str]:
    """A closed pallet with boxes 1 to 10 of a lot of 24."""
    shop.in_the_hopper(600_000)
    lot = shop.at("packing", MakeOutput(count=24)).numbers[0]
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 1), shop.item(lot, 10)))
    shop.at("packing", ClosePallet(pallet))
    return lot, pallet


def shipped(shop: Shop, pallet: str) -> str:
    shipment = shop.at("dispatch", OpenShipment("osprey", "PO 8"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, pallet), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    return shipment


def test_a_box_tells_only_its_own_story(shop: Shop) -> None:
    lot, pallet = packed(shop)
    shipment = shipped(shop, pallet)
    found, other = told(shop, shop.item(lot, 3)), told(shop, shop.item(lot, 20))
    assert (found.kind, found.number.name) == ("item", shown(shop.item(lot, 3)))
    [where] = found.where
    assert where.carrier is not None
    assert where.shipment is not None
    assert where.customer is not None
    assert (where.carrier.number, where.shipment.number) == (pallet, shipment)
    assert (where.customer.name, where.left, where.amount.amount) == (
        "Osprey Building Supplies",
        True,
        25_000,
    )
    assert "ShipmentLoaded" in {one.kind for one in found.told}
    assert "ShipmentLoaded" not in {one.kind for one in other.told}
    assert other.where[0].place is not None
    assert other.where[0].place.name == "Packing floor"


def test_a_pallet_tells_what_is_on_it_where_it_is_and_what_it_became(shop: Shop) -> None:
    lot, pallet = packed(shop)
    shop.house.post(PlaceHold("sample", lot, 3, 3), "qa")
    found = told(shop, pallet)
    assert [(one.lot.number, one.items, one.amount.amount) for one in found.content] == [
        (lot, "items 1 to 10", 250_000)
    ]
    assert [(one.lot.number, one.reason) for one in found.holds] == [(lot, "sample")]
    assert found.where[0].place is not None
    assert found.where[0].place.name == "Packing floor"
    became = shop.at("packing", Restack((pallet,))).numbers[0]
    old = told(shop, pallet)
    assert shown(became) in old.what
    assert (old.where, old.content_now) == ((), False)
    assert old.content == told(shop, became).content


def test_a_shipment_tells_to_whom_and_with_what(shop: Shop) -> None:
    lot, pallet = packed(shop)
    shipment = shipped(shop, pallet)
    found = told(shop, shipment)
    assert found.what == f"Shipment {shown(shipment)} to Osprey Building Supplies, left."
    assert [one.lot.number for one in found.content] == [lot]
    assert f"Shipment {shown(shipment)} left." in sentences(found)
    shop.at("dispatch", ReturnGoods(pallet, "wet"), "dispatcher")
    assert told(shop, shipment).told[-1].kind == "GoodsReturned"


def test_a_correction_stands_in_the_story_beside_what_it_corrects(shop: Shop) -> None:
    right, wrong = received(shop), shop.coil(heat="W 1")
    lot = shop.drawn(wrong, 500_000)[0]
    run = shop.house.ask(story, lot).lot.run
    shop.at("draw_1", CloseRun(), answers={"left-1": "off"})
    shop.house.post(CorrectInput(run, 1, right), "supervisor")
    shop.house.post(CorrectAmount(lot=wrong, amount=1_990_000, why="weighed again"), "supervisor")
    found = told(shop, lot)
    assert [(one.lot.number, one.doubted) for one in found.made_from] == [(right, False), (wrong, True)]
    said = told(shop, wrong).told
    assert {"LoadCorrected", "AmountCorrected"} & {one.kind for one in said if one.correction}
    assert any("not 2" in one.sentence for one in said if one.kind == "AmountCorrected")


def test_what_was_taken_back_still_tells_its_story_but_has_no_lineage(shop: Shop) -> None:
    shop.at("draw_1", LoadInput(received(shop), product="wire_25"))
    lot = shop.at("draw_1", MakeOutput(weight=500_000)).numbers[0]
    shop.at("draw_1", Undo())
    found = told(shop, lot)
    assert found.what == f"{shown(lot)} was taken back: destroy its label."
    assert found.lot is not None
    assert found.lot.voided
    assert found.where == ()
    assert "LotVoided" in {one.kind for one in found.told}
    with pytest.raises(Unknown, match="was taken back"):
        shop.house.ask(origins, lot)


def test_what_is_no_goods_has_no_story(shop: Shop) -> None:
    with pytest.raises(Unreadable, match="no goods: it is Coil yard"):
        told(shop, shop.place("coil_yard"))
    with pytest.raises(Unknown, match="no item 7"):
        told(shop, shop.item(shop.drawn(received(shop), 10_000)[0], 7))


# ---------------------------------------------------------------- origins, siblings, find


def test_origins_name_sources_machines_people_tools_and_checks(shop: Shop) -> None:
    coil = received(shop)
    dies, spare = shop.house.thing("resource", "dies_25_a"), shop.house.thing("resource", "dies_25_b")
    shop.at("draw_1", LoadInput(coil, product="wire_25"))
    shop.at("draw_1", ChangeTool(spare))
    shop.at("draw_1", MakeOutput(weight=100_000))
    shop.at("draw_1", ChangeTool(dies))
    across = shop.at("draw_1", MakeOutput(weight=200_000)).numbers[0]
    stripper = shop.at("draw_1", MakeOutput(weight=500_000)).numbers[0]
    shop.at("draw_1", RecordCheck(stripper, "wire_diameter", ("2.50",)))
    shop.at("furnace", LoadInput(stripper))
    shop.at("furnace", CloseRun(), answers={"left-1": "off"})
    nails = shop.nails(stripper, 200_000)
    found = shop.house.ask(origins, nails)
    [source] = found.sources
    assert (source.lot.lot.number, dict(source.part)) == (coil, {"steel": 200_000})
    assert source.source.supplier_number == "NH-4711"
    assert [one.run.process for one in found.between] == ["Wire drawing", "Annealing", "Nail making"]
    assert [one.name for one in found.machines] == [
        "Drawing machine 1",
        "Annealing furnace",
        "Nail machine 1",
    ]
    assert [one.number for one in found.people] == [shop.house.people["operator"]]
    assert [one.number for one in found.resources] == [dies], "the dies that were in then, not before"
    both = shop.house.ask(origins, across).resources
    assert [one.number for one in both] == [spare, dies], "the dies were changed while it was made"
    assert [one.characteristic for one in found.checks] == ["Wire diameter"]
    assert [one.subject.number for one in found.between[0].checks] == [stripper]


def test_siblings_are_everything_else_of_the_same_sources(shop: Shop) -> None:
    lot, pallet = packed(shop)
    shipment = shipped(shop, pallet)
    found = shop.house.ask(siblings, shop.item(lot, 3))
    [left] = found.shipments
    assert (left.shipment, left.customer, left.amount) == (shipment, "osprey", 225_000)
    [rest] = [one for one in found.on_hand if one.lot == lot]
    assert rest.amount == 14 * 25_000
    assert lot in {one.lot.number for one in found.lots}
    assert {one.lot for one in found.on_hand} > {lot}, "what is left of the coil and the stripper too"
    whole = shop.house.ask(siblings, lot)
    assert lot not in {one.lot.number for one in whole.lots}
    assert whole.shipments == ()
    assert {one.lot for one in whole.on_hand} == {one.lot for one in found.on_hand} - {lot}


def test_a_part_of_a_number_or_name_finds_what_may_be_meant(shop: Shop) -> None:
    coil = received(shop)
    lot, pallet = packed(shop)
    found = shop.house.ask(find, "4711")
    assert [(one.number, one.known_as) for one in found] == [(coil, "supplier's number NH-4711")]
    assert found[0].what == f"{shown(coil)}: Wire rod 5.5 mm"
    assert coil in [one.number for one in shop.house.ask(find, shown(coil)[4:])]
    assert [(one.number, one.family) for one in shop.house.ask(find, shop.item(lot, 3))] == [
        (shop.item(lot, 3), "item")
    ]
    assert shop.house.ask(find, shop.item(lot, 300)) == []
    assert [one.number for one in shop.house.ask(find, pallet)] == [pallet]
    assert [(one.number, one.what) for one in shop.house.ask(find, "pan_17")] == [
        (shop.pan("pan_17"), "Pan 17")
    ]
    assert [one.number for one in shop.house.ask(find, "h 1")] == [coil]
    assert len(shop.house.ask(find, "26")) == 20
    with pytest.raises(Unreadable):
        shop.house.ask(find, "100%_sure")
