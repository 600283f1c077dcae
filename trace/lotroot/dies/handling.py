"""How is it recorded that a die was recut, moved or replaced?"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.dies.facts import DieRecut
from lotroot.dies.fitting import bare
from lotroot.dies.sizes import Die, dies_in_force, listed_words, recuts_of
from lotroot.errors import Question, Refused, Unreadable
from lotroot.plant.adopted import code_of
from lotroot.processes.definition import Resource
from lotroot.quantities import read_number
from lotroot.theory.sizes import LEAST_WIRE_MM, MICROMETRE, MOST_WIRE_MM
from lotroot.work import Answer, Handler, Work

HOWS = {"recut": "Recut and put back", "moved": "Moved there from another place", "new": "A new die"}


@dataclass(frozen=True)
class RecutDie:
    """A place of a die set (1 at the entry) holds a die of this size from now on: `size` in mm as read.

    `how` is recut, moved or new; `words` what else is to be said of it.
    """

    thing: str
    place: int
    size: str
    how: str = "recut"
    words: str = ""


def recut_die(work: Work, command: RecutDie) -> Answer:
    """Record the size; what has gone through the die counts from now on."""
    code = code_of(work.connection, command.thing, "resource")
    resource = work.plant.resource(code)
    before = [row for row in recuts_of(work.connection, command.thing) if row.at <= work.happened]
    dies = dies_in_force(resource, before)
    was = _die_at(resource, dies, command.place)
    _check_how(command.how)
    size = _size(command.size, was)
    _check_falls(dies, was, size)
    if command.how == "recut" and size <= Decimal(was.size_mm):
        _ask_smaller(work, was, size)
    words = " ".join(command.words.split())
    listed = listed_words(resource)
    work.record(DieRecut(command.thing, was.place, bare(size), was.size_mm, command.how, listed, words))
    said = f"{resource.name}, die {was.place}: {bare(size)} mm from now on, {was.size_mm} mm before."
    return Answer(said, (command.thing,))


def _die_at(resource: Resource, dies: list[Die], place: int) -> Die:
    if not dies:
        raise Refused(
            f"plant.toml does not tell the dies of {resource.name}.",
            value=resource.code,
            expected=f'dies_mm in [resource.{resource.code}], as ["4.90", "4.36"].',
            next_step="Have the administrator add them, then record the recut.",
        )
    if not 1 <= place <= len(dies):
        raise Unreadable(
            f"{resource.name} has no die {place}.",
            value=str(place),
            expected=f"From 1, at the entry, to {len(dies)}.",
            next_step="Choose the place of the die.",
        )
    return dies[place - 1]


def _check_how(how: str) -> None:
    if how not in HOWS:
        raise Unreadable(
            "It is not known how the die became another.",
            value=how,
            expected=f"One of: {', '.join(HOWS)}.",
            next_step="Choose one.",
        )


def _size(text: str, was: Die) -> Decimal:
    expected = f"Expected a size from {LEAST_WIRE_MM} to {MOST_WIRE_MM} mm."
    try:
        size = read_number(text, Decimal(was.size_mm))
    except Question:  # neither reading is near the size it was
        raise _unfit(text, was, expected) from None
    except Unreadable as error:
        raise _unfit(text, was, f"{error.what} {error.expected}") from None
    if not LEAST_WIRE_MM <= size <= MOST_WIRE_MM:
        raise _unfit(text, was, expected)
    if size % MICROMETRE:
        raise _unfit(text, was, "Expected at most three decimals; no micrometer reads more.")
    return size


def _check_falls(dies: list[Die], was: Die, size: Decimal) -> None:
    """Wire passes a die that is no smaller than the one before it without being drawn."""
    before = next((one.size_mm for one in dies if one.place == was.place - 1), "")
    behind = next((one.size_mm for one in dies if one.place == was.place + 1), "")
    if (not before or size < Decimal(before)) and (not behind or size > Decimal(behind)):
        return
    wanted = [f"less than {before} mm, the die before it"] if before else []
    wanted += [f"more than {behind} mm, the die behind it"] if behind else []
    raise _unfit(bare(size), was, f"Expected {' and '.join(wanted)}.")


def _unfit(text: str, was: Die, expected: str) -> Unreadable:
    return Unreadable(
        f"Die {was.place} cannot be {text.strip()[:40]} mm.",
        value=text.strip()[:40],
        expected=expected,
        next_step="Read it again; where its neighbour is another too, record that one first.",
    )


def _ask_smaller(work: Work, was: Die, size: Decimal) -> None:
    work.ask(
        f"no-larger-{was.place}-{bare(size)}",
        f"Die {was.place} was {was.size_mm} mm, and a recut die is larger. Is {bare(size)} mm right?",
        {"yes": "Yes, as read"},
    )


HANDLERS: dict[type, Handler] = {RecutDie: Handler(recut_die)}
