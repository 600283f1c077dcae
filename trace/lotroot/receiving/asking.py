"""What about a receipt looks odd, so that it is asked about once and then recorded?"""

from collections.abc import Iterable

from lotroot.errors import Refused
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of
from lotroot.receiving.birth import Amounts, Birth, ours
from lotroot.receiving.receipts import received_as
from lotroot.work import Work

TOLERANCE_PERMILLE = 10
"""How far our mass may be from the supplier's before it is asked about: 1 %, common practice, no source.

It lies well above what two scales in order differ by, and below what a missing bundle or a gross for a
net mass would make.
"""

ANOTHER, SAME, OURS, THEIRS = "another", "same", "ours", "theirs"


def ask_another(work: Work, supplier: str, numbers: Iterable[str], but: str = "") -> dict[str, str]:
    """Ask once where a supplier's numbers were received before, or come twice; returns those numbers,
    each with what is known of it. The lot `but` is the one asked about.

    Raises Refused where the answer is that it is the same piece.
    """
    known: dict[str, str] = {}
    seen: set[str] = set()
    for number in numbers:
        found = received_as(work.connection, supplier, number) if number and supplier else []
        before = [row for row in found if row.lot != but]
        if before:
            last = before[-1]
            known[number] = f"{number} was received at {work.local_time(last.born_at)} as {shown(last.lot)}"
        elif number and number in seen:
            known[number] = f"{number} stands twice in this list"
        seen.add(number)
    if not known:
        return {}
    words = "; ".join(list(known.values())[:3]) + ("" if len(known) <= 3 else f"; and {len(known) - 3} more")
    text = f"{name_of(work.connection, supplier)}: {words}. Another piece with the same number?"
    choices = {ANOTHER: "Another piece, same number", SAME: "The same piece"}
    if work.ask("received-already", text, choices) == SAME:
        raise Refused(
            f"Received already: {words}.",
            word="already",
            value=", ".join(known),
            expected="A piece that has no label of ours yet.",
            next_step="Look for its label; print it again if it is lost.",
        )
    return known


def ask_difference(work: Work, birth: Birth, question: str = "mass-differs") -> tuple[Birth, str]:
    """Ask once where our mass is not the supplier's; returns what is born, and the doubt about it."""
    theirs, mine = birth.details.mass_theirs, ours(birth.kind, birth.amounts)
    if not theirs or not mine or abs(mine - theirs) * 1000 <= theirs * TOLERANCE_PERMILLE:
        return birth, ""
    apart = mine - theirs
    way = "more" if apart > 0 else "less"
    said = (
        f"Their tag says {work.show(theirs, 'g')}, ours is {work.show(mine, 'g')}: "
        f"{work.show(abs(apart), 'g')} {way}"
    )
    choices = {
        OURS: f"Ours is right: {work.show(mine, 'g')}",
        THEIRS: f"Take theirs: {work.show(theirs, 'g')}",
    }
    if work.ask(question, f"{said}. Which one counts?", choices) == OURS:
        return birth, f"{said}. Ours was taken."
    return birth._replace(amounts=_theirs(birth, theirs)), f"{said}. Theirs was taken."


def _theirs(birth: Birth, theirs: int) -> Amounts:
    if birth.kind.unit == "g":
        return birth.amounts._replace(amount=theirs, how="theirs")
    return birth.amounts._replace(mass=theirs, mass_how="theirs")


def put_in_question(work: Work, number: str, *doubts: str) -> None:
    """Mark a lot for each doubt there is; it stops nothing."""
    for doubt in doubts:
        if doubt:
            work.put_in_question(number, doubt)
