"""What does the plant know of a supplier or customer: market, language, and their code for a product?"""

import re
from dataclasses import dataclass

from lotroot.errors import Refused, Unreadable
from lotroot.ledger.names import name_of
from lotroot.plant.adopted import find_customer_item, find_party, party_or_none
from lotroot.plant.facts import CustomerItemSet, PartyChanged
from lotroot.work import Answer, Handler, Work

LONGEST_ITEM = 30
"""Characters of a customer's item code: what a label has room for (our own choice)."""

_COUNTRY = re.compile(r"[A-Z]{2}")
_MARKET = re.compile(r"[A-Z][A-Z0-9-]{1,11}")
# The short form of BCP 47: a language of ISO 639 and, where it matters, a region of ISO 3166-1.
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Z]{2})?")


@dataclass(frozen=True)
class ChangeParty:
    """What is known of a firm is this: country (ISO 3166-1), market, and the language of its labels."""

    code: str
    country: str = ""
    market: str = ""
    language: str = ""


@dataclass(frozen=True)
class SetCustomerItem:
    """A customer calls one of our products by this code; an empty one ends that."""

    customer: str
    product: str
    item: str


def check_market(market: str, language: str) -> None:
    """Refuse a market or language that could not be matched. Raises Unreadable."""
    if market and not _MARKET.fullmatch(market):
        raise Unreadable(
            "This market cannot be used.",
            value=market,
            expected="2 to 12 capital letters, digits and hyphens, beginning with a letter, such as EU.",
            next_step="Write it as plant.toml does, or leave it empty.",
        )
    if language and not _LANGUAGE.fullmatch(language):
        raise Unreadable(
            "This language cannot be used.",
            value=language,
            expected="Its short code, such as pl, de or pt-BR.",
            next_step="Correct it, or leave it empty.",
        )


def _change(work: Work, command: ChangeParty) -> Answer:
    known = party_or_none(work.connection, command.code)
    if known is None:
        known = find_party(work.connection, command.code, "customer")  # says which there are
    if command.country and not _COUNTRY.fullmatch(command.country):
        raise Unreadable(
            "This country cannot be used.",
            value=command.country,
            expected="Two capital letters, as in ISO 3166.",
            next_step="Correct it, or leave it empty.",
        )
    check_market(command.market, command.language)
    told = (command.country, command.market, command.language)
    name = name_of(work.connection, command.code)
    if told == (known.country, known.market, known.language):
        raise Refused(
            f"That is what is known of {name} already.",
            word="already",
            value=command.code,
            expected="Another country, market or language.",
            next_step="Go on; nothing was recorded again.",
        )
    work.record(PartyChanged(command.code, known.kind, *told))
    return Answer(f"What is known of {name} is changed.", (command.code,))


def _set_item(work: Work, command: SetCustomerItem) -> Answer:
    find_party(work.connection, command.customer, "customer")
    product = work.plant.product(command.product)
    item = " ".join(command.item.split())
    if len(item) > LONGEST_ITEM or not item.isprintable():
        raise Unreadable(
            "This is no item code.",
            value=item[:LONGEST_ITEM] + "…",
            expected=f"At most {LONGEST_ITEM} characters on one line.",
            next_step="Correct it as the customer writes it.",
        )
    name = name_of(work.connection, command.customer)
    if item == find_customer_item(work.connection, command.customer, command.product):
        raise Refused(
            f"{name} calls {product.name} {item or 'by no code of theirs'} already.",
            word="already",
            value=item,
            expected="Another code.",
            next_step="Go on; nothing was recorded again.",
        )
    work.record(CustomerItemSet(command.customer, command.product, item))
    say = (
        f"{name} calls {product.name} {item}." if item else f"{name} has no code for {product.name} any more."
    )
    return Answer(say, (command.customer,))


HANDLERS: dict[type, Handler] = {
    ChangeParty: Handler(_change),
    SetCustomerItem: Handler(_set_item),
}
