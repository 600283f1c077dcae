"""What can go wrong, in words for whoever can act on it.

    LotrootError
    ├── Unreadable      the text, number or file given cannot be used as it is
    ├── Unknown         nothing with that number or name is recorded
    ├── Refused         an act that decides is wrong as things stand
    ├── Question        the act is possible but looks odd: answered once, then recorded
    ├── NotSignedIn     nobody has said who they are
    ├── NotAllowed      this person's roles do not cover the act
    ├── KeyMissing      a command came without the key that makes it safe to repeat
    ├── KeyReused       the key was used for another command
    ├── Unavailable     the database is absent, in use, not empty or of another version
    └── Fault           the record contradicts itself

Every error says what could not be done, the value met, what was expected and what to do next.
`lotroot.web` maps the classes to HTTP once, `lotroot.cli` to exit codes once.
"""

from collections.abc import Mapping


class LotrootError(Exception):
    """Base of all errors shown to people.

    `what` is what could not be done; `value` the text or amount met; `expected` what would have
    fitted; `next_step` what the reader does now.
    """

    def __init__(self, what: str, *, value: str = "", expected: str = "", next_step: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.value = value
        self.expected = expected
        self.next_step = next_step

    def __str__(self) -> str:
        return " ".join(part for part in (self.what, self.expected, self.next_step) if part)


class Unreadable(LotrootError):
    """The text, number or file given cannot be used as it is."""


class Unknown(LotrootError):
    """Nothing with that number or name is recorded here."""


class Refused(LotrootError):
    """An act that decides is wrong as things stand; `word` is held, wrong or already."""

    def __init__(
        self, what: str, *, word: str = "wrong", value: str = "", expected: str = "", next_step: str = ""
    ) -> None:
        super().__init__(what, value=value, expected=expected, next_step=next_step)
        self.word = word


class Question(LotrootError):
    """The act looks odd and is asked about once; the answer is sent with a new key.

    `choices` maps the code to send back to the words on the button.
    """

    def __init__(self, identifier: str, text: str, choices: Mapping[str, str]) -> None:
        super().__init__(text, next_step="Choose one answer.")
        self.identifier = identifier
        self.choices = dict(choices)


class NotSignedIn(LotrootError):
    """Nobody has said who they are, or the badge or PIN does not fit."""


class NotAllowed(LotrootError):
    """This person's roles do not cover the act."""


class KeyMissing(LotrootError):
    """A command came without the key that makes it safe to repeat."""


class KeyReused(LotrootError):
    """The key was used before, for another command."""


class Unavailable(LotrootError):
    """The database is absent, in use, not empty or of another version."""


class Fault(LotrootError):
    """The record contradicts itself; somebody must look before work goes on."""
