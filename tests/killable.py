"""What does a program do that is to be killed in the middle of it?"""

from itertools import count
from multiprocessing.connection import Connection
from threading import Event

from lotroot.accounts.handling import AddParty, AddPerson
from lotroot.house import open_house
from lotroot.posting.door import Door
from lotroot.work import Envelope
from lotroot.worker import Worker


def post_for_ever(url: str, person: str, turn: int, acknowledged: Connection) -> None:
    """Post without end; each key is sent on once its answer is there."""
    door = Door(open_house(url))
    for number in count():
        key = f"killed-{turn:03d}-{number:06d}"
        command = AddPerson(f"Person {number}", ("operator",)) if number % 3 == 0 else firm(turn, number)
        door.post(command, Envelope(key, person, proved=True))
        acknowledged.send(key)


def firm(turn: int, number: int) -> AddParty:
    """A firm of its own for each post."""
    return AddParty(f"firm-{turn}-{number}", "A firm", "customer")


def print_for_ever(url: str, at_work: Connection) -> None:
    """Print what is queued, and whatever comes."""
    Worker(Door(open_house(url))).start()
    at_work.send("at work")
    Event().wait()
