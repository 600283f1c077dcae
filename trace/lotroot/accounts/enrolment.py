"""How does the administrator let a device in, or out for good?"""

from dataclasses import dataclass

from lotroot.accounts import devices, signins
from lotroot.errors import Unknown, Unreadable
from lotroot.ledger.events import event
from lotroot.ledger.names import give_name, name_of
from lotroot.plant.adopted import code_of
from lotroot.work import Answer, Handler, Work


@event
@dataclass(frozen=True)
class DeviceAllowed:
    """A device may take part from now on, at a station or at none."""

    number: str
    station: str = ""


@event
@dataclass(frozen=True)
class DeviceRevoked:
    """A device may take part no more: its sign-ins and its token end."""

    number: str


@dataclass(frozen=True)
class AllowDevice:
    """Let a new device in: `name` is what people call it, `at` the number of its station or empty."""

    name: str
    at: str = ""


@dataclass(frozen=True)
class RevokeDevice:
    """A device is lost, broken or strange: it is let in no more."""

    device: str


def _allow(work: Work, command: AllowDevice) -> Answer:
    if not command.name.strip():
        raise Unreadable(
            "A device needs a name.", expected="Where it is or whose it is.", next_step="Enter the name."
        )
    if command.at:
        code_of(work.connection, command.at, "station")
    number = work.number("T")
    work.record(DeviceAllowed(number, command.at))
    give_name(work.connection, number, command.name.strip())
    devices.make_code(work.connection, number, command.at, work.posting.entered)
    return Answer(f"{command.name.strip()} may be signed in with its code, until tomorrow.", (number,))


def _revoke(work: Work, command: RevokeDevice) -> Answer:
    row = devices.device_or_none(work.connection, command.device)
    if row is None or row.revoked:
        raise Unknown(
            "No device with that number takes part.",
            value=command.device,
            expected="A device on the list.",
            next_step="Choose from the list of devices.",
        )
    work.record(DeviceRevoked(command.device))
    devices.revoke(work.connection, command.device)
    signins.end_all_of(work.connection, command.device)
    return Answer(f"{name_of(work.connection, command.device)} is let in no more.", (command.device,))


HANDLERS: dict[type, Handler] = {
    AllowDevice: Handler(_allow, pin=True),
    RevokeDevice: Handler(_revoke, pin=True),
}
