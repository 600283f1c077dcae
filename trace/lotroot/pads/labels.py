"""Is this the number of a label kept ready, free for goods to come (RULES 22)?"""

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import lot_or_none
from lotroot.identity import Number, number_from
from lotroot.identity.showing import shown
from lotroot.reserved import DESTROYED, is_reserved, spent_label
from lotroot.work import Work


def reserved_number(work: Work, text: str, letter: str) -> str:
    """A number that stands on a label kept ready, for its goods; empty for none.

    Raises Unreadable where it does not fit the goods, Refused where it is on other goods, was destroyed, or
    was never reserved.
    """
    if not text:
        return ""
    number = number_from(text)
    if number.letter != letter:
        raise Unreadable(
            "The number on the label does not fit these goods.",
            value=number.shown,
            expected=f"A number beginning with {letter}.",
            next_step="Take a label from the right pad.",
        )
    require_free(work, number)
    return text


def require_free(work: Work, number: Number) -> None:
    """Raise Refused unless a label was kept ready and is on no goods yet."""
    text = str(number)
    known = lot_or_none(work.connection, text)
    if known is not None:
        raise Refused(
            f"{shown(text)} is given already, since {work.local_time(known.born_at)}.",
            word="already",
            value=text,
            expected="A label from the pad that is on no other goods.",
            next_step="Take the next label, or look at the lot's page.",
        )
    if not is_reserved(work.connection, number):
        raise Refused(
            f"{shown(text)} was never set aside for goods to come.",
            value=text,
            expected="A number from a printed pad, or one skipped by a restore.",
            next_step="Leave the number empty: a new one is given.",
        )
    _refuse_spent(work, text)


def _refuse_spent(work: Work, text: str) -> None:
    row = spent_label(work.connection, text)
    if row is None:
        return
    at = work.local_time(row.at)
    if row.state == DESTROYED:
        raise Refused(
            f"{shown(text)} was recorded as destroyed, {at}: {row.reason}.",
            value=text,
            expected="A label from the pad that is still to be used.",
            next_step="Take the next label. If this one is on goods, call the supervisor.",
        )
    raise Refused(
        f"{shown(text)} is the emergency label of {shown(row.goods)}, since {at}.",
        word="already",
        value=text,
        expected="A label from the pad that is on no other goods.",
        next_step="Take the next label.",
    )
