"""May somebody of the invented plant post every command there is, and nobody what is not theirs?"""

import plants
import pytest
from lotroot.posting.features import COMMANDS, HANDLERS

PLANT = plants.demo_plant()
ROLES = PLANT.roles
NAMES = sorted(command.__name__ for command in COMMANDS.values())


def asking_a_pin() -> set[str]:
    return {command.__name__ for command, handler in HANDLERS.items() if handler.pin}


@pytest.mark.parametrize("command", NAMES)
def test_every_command_is_named_by_some_role(command: str) -> None:
    assert [role for role, commands in ROLES.items() if command in commands] != []


def test_no_role_of_the_demo_plant_may_do_everything() -> None:
    assert [role for role, commands in ROLES.items() if "*" in commands] == []


def test_no_role_names_a_command_twice() -> None:
    assert [role for role, commands in ROLES.items() if len(set(commands)) != len(commands)] == []


@pytest.mark.parametrize(
    ("command", "roles"),
    [
        # DESIGN.md section 1: who must leave with what
        ("ReleaseHold", {"qa"}),
        ("EndHold", {"qa"}),
        ("ConfirmLinks", {"qa"}),
        ("AdoptPlant", {"administrator"}),
        ("AddPerson", {"administrator"}),
        ("ChangeRoles", {"administrator"}),
        ("AllowDevice", {"administrator"}),
        ("SendShipment", {"dispatcher"}),
        ("LoadShipment", {"dispatcher"}),
        ("CorrectInput", {"supervisor", "qa"}),
        ("MakeOutput", {"operator", "treater", "supervisor"}),
        ("ReceiveLot", {"receiver", "supervisor"}),
        ("CloseComplaint", {"qa", "manager"}),
        ("CloseMonth", {"manager"}),
        ("ConfirmFigure", {"manager"}),
        ("OverrideFigure", {"manager"}),
        ("WithdrawFigure", {"manager"}),
    ],
)
def test_what_one_person_answers_for_no_other_may_do(command: str, roles: set[str]) -> None:
    assert {role for role, commands in ROLES.items() if command in commands} == roles


@pytest.mark.parametrize("command", ["RecordCheck", "PlaceHold"])
def test_whoever_handles_goods_may_check_and_stop_them(command: str) -> None:
    at_work = ("receiver", "operator", "treater", "supervisor", "qa", "dispatcher")
    assert [role for role in at_work if command not in ROLES[role]] == []


def test_what_lifts_a_stop_or_changes_people_and_settings_asks_the_pin() -> None:
    # Issue, slice 3: a PIN only for QA, overrides, people and settings.
    assert asking_a_pin() == {
        "ReleaseHold", "EndHold", "ConfirmLinks", "CloseMonth", "SetFactor", "WithdrawFactor",
        "AdoptPlant", "AddPerson", "ChangeRoles", "RemovePerson", "IssueBadge", "SetPin", "AllowDevice",
        "RevokeDevice", "ConfirmFigure", "OverrideFigure", "WithdrawFigure",
    }  # fmt: skip
