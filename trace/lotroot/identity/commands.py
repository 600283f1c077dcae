"""Which words can a person say by scanning the laminated command sheet?

A code is `VX`, two digits that name the command for good, and a MOD 97-10 pair over all four: `VX0128`.
V is no family of numbers and an X never stands second in one, so no code can be taken for a lot nor a
lot for a code. V, X and the digits come through QWERTZ and AZERTY like every number of ours, and the
pair lets no single slip or swap turn one command into another. The word itself may be typed instead.
"""

from enum import Enum
from functools import cached_property

from lotroot.identity.checks import pair_for

COMMAND_PREFIX = "VX"


class Command(Enum):
    """The commands. The value is the command's two digits; once given it is never given again."""

    DONE = "01"
    UNDO = "02"
    PRINT_AGAIN = "03"
    SAME_AGAIN = "04"
    WAIT = "05"
    HELP = "06"
    PART = "07"
    ENDED = "08"
    SCRAP = "09"
    BROKE = "10"
    NEXT = "11"
    EMPTY = "12"
    YES = "13"
    NO = "14"
    ROW = "15"
    STACK = "16"
    SIGN_OFF = "17"
    NOT_ON_TAG = "18"
    EMERGENCY = "19"
    PRODUCT = "20"
    ANSWER_1 = "21"
    ANSWER_2 = "22"
    ANSWER_3 = "23"
    ANSWER_4 = "24"
    ANSWER_5 = "25"
    ANSWER_6 = "26"
    ANSWER_7 = "27"
    ANSWER_8 = "28"
    ANSWER_9 = "29"
    LEAVE_IT = "30"
    SUPPLIER = "31"
    CERTIFICATE = "32"
    HOLD = "33"
    ELSEWHERE = "34"

    @cached_property
    def code(self) -> str:
        """What the symbol on the sheet holds."""
        body = COMMAND_PREFIX + self.value
        return body + pair_for(body)

    @property
    def word(self) -> str:
        """What stands under the symbol and may be typed: PRINT AGAIN."""
        return self.name.replace("_", " ")

    @property
    def meaning(self) -> str:
        """What scanning it says, for the sheet."""
        return _MEANINGS[self]


ANSWERS = tuple(Command[f"ANSWER_{number}"] for number in range(1, 10))
"""What chooses one of a question's numbered answers, so that a question too is answered by a scan."""

_MEANINGS = {
    Command.DONE: "this is finished",
    Command.UNDO: "take back my last entry here",
    Command.PRINT_AGAIN: "the label that waits, else the last one once more, as a copy",
    Command.ELSEWHERE: "the label that waits, at the next printer",
    Command.SAME_AGAIN: "another one like the last",
    Command.WAIT: "stopped for now",
    Command.HELP: "show what can be scanned here",
    Command.PART: "take the rest off and put it back",
    Command.ENDED: "the coil ended, the next is welded on",
    Command.SCRAP: "this goes to scrap",
    Command.BROKE: "the wire broke",
    Command.NEXT: "go on to the next",
    Command.EMPTY: "nothing is left in it",
    Command.YES: "yes",
    Command.NO: "no",
    Command.ROW: "a row of boxes or rolls: its first, then its last",
    Command.STACK: "pallets are re-stacked onto a new one",
    Command.SIGN_OFF: "nobody works here for now",
    Command.NOT_ON_TAG: "the tag names no heat",
    Command.EMERGENCY: "a number at once, its details later",
    Command.PRODUCT: "say what the goods are",
    Command.SUPPLIER: "say who sent them",
    Command.CERTIFICATE: "the certificate is to follow",
    Command.HOLD: "hold what came in: the reason is asked",
    Command.LEAVE_IT: "no answer: nothing is recorded",
} | dict.fromkeys(ANSWERS, "the answer of that number")

_BY_TEXT = {command.code: command for command in Command} | {
    command.name.replace("_", ""): command for command in Command
}


def command_from(text: str) -> Command | None:
    """The command whose code or word, in capitals and without spaces, is `text`; None if there is none."""
    return _BY_TEXT.get(text)
