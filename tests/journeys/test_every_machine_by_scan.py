"""Can every other kind of machine be worked by scanning too: payoffs, lanes, loads, packs, tanks?"""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.goods import goods
from lotroot.identity import Command, ItemNumber, number_from
from lotroot.identity.showing import shown
from lotroot.labelling.printed import waiting_jobs
from lotroot.production.runs import find_run, latest_runs, open_runs_at
from lotroot.stock.carriers import find_carrier


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


# ---- slitting: widths once, then weights in order


def test_a_coil_is_slit_by_typing_widths_once_and_weights_in_order(house: House) -> None:
    coil = lay(house, "coil_40x1250", 5_000_000, "coil_yard")
    slit = at(house, "slitter")
    assert ok(slit.scan(coil))["next"] == "Type the widths of the strips, mm: 305 305 305, or 3x305"
    assert slit.scan("1600")["verdict"] == "refused"
    assert ok(slit.scan("3x412"))["next"] == "Weigh strip 1 of 3, 412 mm: type kg"
    for weight in ("1650", "1651", "1649"):
        ok(slit.scan(weight))
    assert slit.last["next"] == "All 3 strips are weighed. DONE, or scan the next coil"
    made = run_at(house, "slitter").outputs
    assert [(one.lane_from, one.lane_to) for one in made] == [(7, 419), (419, 831), (831, 1243)]
    assert house.ask(find_lot, made[0].lot).product == "strip_412"


def test_the_next_coil_is_slit_to_the_same_widths(house: House) -> None:
    slit = at(house, "slitter")
    ok(slit.scan(lay(house, "coil_40x1250", 5_000_000, "coil_yard")))
    ok(slit.scan("412 412 412"))
    for _ in range(3):
        ok(slit.scan("1650"))
    following = lay(house, "coil_40x1250", 5_000_000, "coil_yard")
    slit.answer(following, "ended")
    assert slit.last["next"] == "Weigh strip 1 of 3, 412 mm: type kg"


# ---- together: named payoffs


def test_barbed_wire_takes_payoff_and_coil_and_weighs_each_roll(house: House) -> None:
    barb = at(house, "barb_1")
    assert barb.scan("HELP")["word"] == "Help"
    line = [lay(house, "galv_25", 800_000) for _ in range(2)]
    asked = barb.scan(line[0])
    assert (asked["verdict"], asked["say"]) == ("refused", "Which payoff is it on?")
    for payoff, coil in (("L1", line[0]), ("L2", line[1]), ("B1", lay(house, "galv_20", 500_000))):
        ok(barb.scan(house.thing("payoff", payoff, "barb_1")))
        ok(barb.scan(coil))
    assert barb.last["next"] == "Weigh the roll: type kg"
    ok(barb.scan("23.6"))
    ok(barb.scan("23.7"))
    made = run_at(house, "barb_1").outputs
    assert [(one.first, one.last) for one in made] == [(1, 1), (2, 2)]
    item = ItemNumber(number_from(made[1].lot), 2)
    assert house.ask(goods, str(item))[0].amount == 23_700


def test_wire_of_another_size_is_refused_where_it_is_scanned(house: House) -> None:
    barb, thin = at(house, "barb_1"), lay(house, "galv_20", 500_000)
    barb.scan(house.thing("payoff", "L1", "barb_1"))
    refused = barb.scan(thin)
    assert refused["verdict"] == "refused"
    assert plain(refused["say"]).startswith("Line wire of 2.5 mm goes into Barbed wire 2.5/2.0")
    barb.scan(house.thing("payoff", "B1", "barb_1"))
    ok(barb.scan(thin))
    assert [(one.payoff, one.role) for one in run_at(house, "barb_1").loaded] == [("B1", "barb")]


def test_the_last_free_payoff_of_a_kind_needs_no_scan(house: House) -> None:
    coat = at(house, "coater")
    ok(coat.scan(lay(house, "wire_25", 800_000)))
    ok(coat.scan(lay(house, "pvc_green", 100_000)))
    assert sorted(load.payoff for load in run_at(house, "coater").loaded) == ["H1", "W1"]


def test_a_mesh_welder_is_closed_with_one_question_for_all_payoffs(house: House) -> None:
    mesh = at(house, "mesh_1")
    for number in range(1, 13):
        ok(mesh.scan(house.thing("payoff", f"P{number:02d}", "mesh_1")))
        ok(mesh.scan(lay(house, "wire_60", 900_000)))
    for number in (1, 2):
        ok(mesh.scan(house.thing("payoff", f"C{number}", "mesh_1")))
        ok(mesh.scan(lay(house, "wire_60", 900_000)))
    assert plain(mesh.last["next"]) == "Type how many bundles of 40 pcs"
    ok(mesh.scan("2"))
    ok(mesh.scan("SAME AGAIN"))
    assert [one.last for one in run_at(house, "mesh_1").outputs] == [2, 4]
    done = mesh.answer("DONE", "off")
    assert done["verdict"] == "asked_done"
    assert done["next"].startswith("Scan a payoff")


def test_a_change_on_one_payoff_is_payoff_and_ended(house: House) -> None:
    barb = at(house, "barb_1")
    for payoff, product in (("L1", "galv_25"), ("L2", "galv_25"), ("B1", "galv_20")):
        ok(barb.scan(house.thing("payoff", payoff, "barb_1")))
        ok(barb.scan(lay(house, product, 800_000)))
    assert barb.scan("ENDED")["verdict"] == "refused"
    ok(barb.scan(house.thing("payoff", "L2", "barb_1")))
    ok(barb.scan("ENDED"))
    assert barb.last["next"] == "1 of 3 payoffs are empty. Scan a payoff, then its coil"


# ---- mixed: a tumbler's load


def test_pans_are_tumbled_and_filled_again(house: House) -> None:
    pans = [house.ask(find_carrier, f"pan_{number:02d}").number for number in (1, 2, 3)]
    nail = at(house, "nail_1")
    nail.scan(lay(house, "wire_25", 900_000))
    nail.answer(lay(house, "wire_25", 900_000), "nail_25x50")
    for pan in pans[:2]:
        ok(nail.scan("200"))
        ok(nail.scan(pan))
    tumble = at(house, "tumbler_1")
    for pan in pans[:2]:
        ok(tumble.scan(pan))
    run = run_at(house, "tumbler_1")
    assert run.row.product == "tumbled_25x50"  # of the same size as what went in
    ok(tumble.scan("396"))
    ok(tumble.scan(pans[2]))
    ok(tumble.scan("DONE"))
    lot = house.ask(goods, pans[2])[0].lot
    assert len(house.ask(links_of, lot.id)) == 2


# ---- two kinds of output


def test_next_turns_to_the_web_and_back(house: House) -> None:
    blank = at(house, "blanking")
    ok(blank.scan(lay(house, "strip_412", 2_000_000, "coil_yard")))
    ok(blank.scan("400"))
    assert ok(blank.scan(Command.NEXT.code))["next"] == "Weigh the web: type kg"
    ok(blank.scan("310"))
    assert ok(blank.scan("NEXT"))["next"] == "Count the blanks: type how many"
    assert [one.output for one in run_at(house, "blanking").outputs] == ["blanks", "web"]


# ---- roofing: bundles of sheets, tiles, caps


def test_a_roll_former_counts_bundles_and_not_the_sheets_in_them(house: House) -> None:
    roll = at(house, "roll_1")
    coils = [lay(house, "coil_40x1250", 5_000_000, "coil_yard") for _ in range(2)]
    on = roll.answer(coils[0], "sheet_t35")
    assert plain(on["next"]) == "Type how many bundles of 50 pcs"
    ok(roll.scan("3"))
    ok(roll.scan("SAME AGAIN"))
    ok(roll.scan("ENDED"))
    assert roll.last["next"] == "Scan the coil"
    ok(roll.scan(coils[1]))  # the product is not asked for again
    assert "100 pcs" in plain(ok(roll.scan("2"))["say"])
    assert roll.answer("DONE", "off")["verdict"] == "asked_done"
    made = house.ask(find_run, roll_run(house)).outputs
    assert [(one.first, one.last, one.own) for one in made] == [(1, 3, 150), (4, 6, 150), (7, 8, 100)]


def roll_run(house: House) -> str:
    """The number of the run that was closed at roll former 1."""
    found: str = house.ask(latest_runs, house.thing("station", "roll_1"), "roll_forming")[0].number
    return found


def test_blanks_are_pressed_and_the_next_stack_goes_in_without_a_question(house: House) -> None:
    press = at(house, "tile_press")
    stacks = [lay(house, "blank_tile", 400, "tile_floor") for _ in range(2)]
    assert ok(press.scan(stacks[0]))["next"] == "Count the tiles: type how many"
    ok(press.scan("200"))
    ok(press.scan("SAME AGAIN"))
    ok(press.scan(stacks[1]))
    ok(press.scan("100"))
    made = run_at(house, "tile_press").outputs
    assert [one.own for one in made] == [200, 200, 100]
    assert {house.ask(find_lot, one.lot).product for one in made} == {"tile_wave"}
    assert ok(press.scan("PART"))["next"] == "Scan what comes off"
    assert press.answer(stacks[1], "yes")["verdict"] == "asked_done"
    assert house.ask(goods, stacks[1])[0].amount == 300


def test_the_web_of_the_tiles_becomes_short_caps_by_itself(house: House) -> None:
    caps = at(house, "capping")
    web = lay(house, "web_tile", 300_000, "tile_floor")
    assert plain(ok(caps.scan(web))["next"]) == "Type how many stacks of 10 pcs"
    ok(caps.scan("10"))
    ok(caps.scan("SAME AGAIN"))
    assert caps.scan("1.5")["verdict"] == "refused"
    made = run_at(house, "capping").outputs
    assert [(one.first, one.last, one.own) for one in made] == [(1, 10, 100), (11, 20, 100)]
    assert house.ask(find_lot, made[0].lot).product == "cap_120"
    assert caps.answer("DONE", "ended")["verdict"] == "asked_done"


# ---- chain link: two wires, rolls weighed one by one


@pytest.mark.parametrize(
    ("weaver", "wire", "roll"),
    [("weaver_1", "galv_25", "chain_50x25"), ("weaver_2", "coated_25", "chain_50x33_pvc")],
)
def test_chain_link_is_woven_of_two_wires_and_each_roll_is_weighed(
    house: House, weaver: str, wire: str, roll: str
) -> None:
    weave = at(house, weaver)
    for payoff in ("1", "2"):
        ok(weave.scan(house.thing("payoff", payoff, weaver)))
        assert weave.last["next"] == f"Wire {payoff}: scan its coil"
        ok(weave.scan(lay(house, wire, 500_000)))
    assert weave.last["next"] == "Weigh the roll: type kg"
    for text in ("52.9", "BROKE", "WAIT", "WAIT", "53.1"):
        ok(weave.scan(text))
    made = run_at(house, weaver).outputs
    assert [(one.first, one.last, one.own) for one in made] == [(1, 1, 52_900), (2, 2, 53_100)]
    assert house.ask(find_lot, made[0].lot).product == roll
    ok(weave.scan(house.thing("payoff", "2", weaver)))
    assert weave.last["next"] == "Wire 2: scan its coil, ENDED or PART"
    ok(weave.scan("ENDED"))
    assert weave.last["next"] == "1 of 2 payoffs are empty. Scan a payoff, then its coil"
    assert weave.answer("DONE", "off")["verdict"] == "asked_done"


# ---- a tank that keeps a heel


def test_a_container_goes_in_whole_or_in_part(house: House) -> None:
    container = lay(house, "concentrate_ca", 1_000_000, "treating_bay", mass=1_100_000)
    mix = at(house, "mixing", "treater")
    part = mix.answer(container, "some")
    assert part["next"] == f"Type how much of {shown(container)} goes in"
    ok(mix.scan("250"))
    assert [one.own for one in run_at(house, "mixing").inputs] == [250_000]


# ---- as it is


@pytest.mark.parametrize(("dies", "product"), [("dies_25_a", "wire_25"), ("dies_60_a", "wire_60")])
def test_a_die_set_that_opens_a_run_draws_its_own_size_whatever_was_drawn_before(
    house: House, dies: str, product: str
) -> None:
    machine = at(house, "draw_2")
    for before in ("wire_38", "wire_50"):
        ok(machine.scan(before))
        house.clock.forward(minutes=1)
        ok(machine.scan("DONE"))
        house.clock.forward(minutes=1)
    told = ok(machine.scan(house.thing("resource", dies)))
    assert "is open" in plain(told["say"])
    assert run_at(house, "draw_2").row.product == product


def test_a_number_typed_at_a_furnace_is_told_what_goes_there(house: House) -> None:
    furnace = at(house, "furnace")
    told = furnace.scan("12")
    assert told["verdict"] == "refused"
    assert "pack" not in str(told)
    assert "Scan what goes in; DONE when it is finished." in str(told)


def test_a_furnace_gives_back_what_it_took_without_a_question(house: House) -> None:
    strippers = [lay(house, "wire_25", 400_000) for _ in range(3)]
    furnace = at(house, "furnace")
    for stripper in strippers:
        ok(furnace.scan(stripper))
    assert furnace.last["next"] == "Scan what else goes in; DONE when all are out"
    ok(furnace.scan("DONE"))
    assert [house.ask(goods, one)[0].amount for one in strippers] == [400_000] * 3


# ---- boxes


def test_boxes_are_counted_and_labelled_as_a_block(house: House) -> None:
    pack = at(house, "packing")
    ok(pack.scan(lay(house, "tumbled_25x50", 900_000, "pack_floor")))
    said = ok(pack.scan("12"))
    assert "items 1 to 12: Nails 2.5 x 50, box of 25 kg" in plain(said["say"])
    assert [(job.first, job.last) for job in house.ask(waiting_jobs)][-1] == (1, 12)


# ---- what is not worked here


def test_a_bench_without_a_process_says_so(house: House) -> None:
    bench = at(house, "dispatch", "dispatcher")
    assert bench.last["next"] == "Dispatch works no process. Open another page."
    assert bench.scan("12")["verdict"] == "refused"


@pytest.mark.parametrize("command", ["ENDED", "PART", "SCRAP", "BROKE", "WAIT", "SAME AGAIN", "EMPTY"])
def test_a_command_without_a_run_is_answered_not_swallowed(house: House, command: str) -> None:
    refused = at(house, "draw_1").scan(command)
    assert refused["verdict"] == "refused"
    assert refused["say"] == "No run is open at Drawing machine 1."
    assert refused["detail"].endswith("Scan what goes in first.")


@pytest.mark.parametrize(("station", "offered"), [("draw_1", True), ("slitter", False), ("treating", False)])
def test_a_product_is_offered_only_where_nothing_else_tells_it(
    house: House, station: str, offered: bool
) -> None:
    acts = at(house, station, "administrator").last["fragments"]["station-acts"]
    assert ("The next run makes" in acts) is offered


# ---- a slip of the hand


def test_undo_takes_back_a_weight_that_waits_for_its_pan_and_not_what_was_recorded_before(
    house: House,
) -> None:
    nail = at(house, "nail_1")
    nail.answer(lay(house, "wire_25", 900_000), "nail_25x50")
    for text in ("200", house.ask(find_carrier, "pan_01").number, "2000"):
        ok(nail.scan(text))
    said = ok(nail.scan("UNDO"))["say"]
    assert plain(said) == "2 000 kg is forgotten; nothing had been recorded of it."
    assert nail.last["next"] == "Weigh the nails: type kg, then scan the pan"
    assert [one.own for one in run_at(house, "nail_1").outputs] == [200_000]
    assert "Taken back" in ok(nail.scan("UNDO", late=timedelta(seconds=3)))["say"]


def test_more_of_a_container_than_stands_there_is_asked_about(house: House) -> None:
    container = lay(house, "concentrate_ca", 750_000, "treating_bay", mass=825_000)
    mix = at(house, "mixing", "treater")
    mix.answer(container, "some")
    asked = mix.send(mix.body("7500")).get_json()
    assert plain(asked["question"]["text"]).startswith("7 500 l goes in, 750 l of")
    assert not house.ask(open_runs_at, house.thing("station", "mixing"))
    mix.answer("7500", "yes")
    assert "in question" in mix.last["detail"]
    assert [one.own for one in run_at(house, "mixing").inputs] == [7_500_000]


def test_a_lot_that_another_machine_has_by_the_record_is_refused_with_its_name(house: House) -> None:
    stripper = lay(house, "wire_25", 900_000)
    nail = at(house, "nail_1")
    nail.answer(stripper, "nail_25x50")
    assert nail.scan(stripper)["verdict"] == "already"
    refused = at(house, "furnace").scan(stripper)
    assert refused["verdict"] == "refused", "it must not sound as if it were in the furnace"
    assert "is on Nail machine 1 by the record" in refused["say"]
    assert "at Nail machine 1 scan PART" in refused["detail"]


def test_a_pan_is_called_as_it_is_painted_on_it(house: House) -> None:
    """The plant's own code, pan_01, stands on no pan."""
    pan = house.ask(find_carrier, "pan_01").number
    nail = at(house, "nail_1")
    nail.answer(lay(house, "wire_25", 900_000), "nail_25x50")
    for text in ("200", pan, "201"):
        ok(nail.scan(text))
    asked = nail.send(nail.body(pan)).get_json()
    assert asked["question"]["text"].startswith("Pan 1 still shows ")
    empty = at(house, "nail_1").on("packing")
    ok(empty.scan("EMPTY"))
    assert empty.scan(pan)["say"] == "Pan 1 is empty."


def test_a_weight_typed_over_one_that_waits_for_its_pan_says_that_it_took_its_place(house: House) -> None:
    """It may be a slip put right, or a second pan while the first stands unrecorded: the word tells."""
    nail = at(house, "nail_1")
    nail.answer(lay(house, "wire_25", 900_000), "nail_25x50")
    ok(nail.scan("200"))
    assert plain(ok(nail.scan("201"))["say"]) == "201 kg instead of 200 kg. Scan the pan it is in."
