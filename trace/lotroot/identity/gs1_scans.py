"""What does a GS1 symbol say, however a reader sends it: with separators, in brackets, or as a web address?

The other way round, `digital_link` writes the address a phone opens (GS1 Digital Link: primary key, then
qualifiers in the path, everything else behind the question mark).
"""

import re
from collections.abc import Iterable, Mapping
from urllib.parse import quote, unquote

from lotroot.errors import Unreadable
from lotroot.identity.gs1 import Part, gtin, in_order, is_sscc
from lotroot.identity.gs1_identifiers import IDENTIFIERS, MEASURES

SEPARATOR = "\x1d"
"""How readers send the FNC1 behind a part of variable length."""

_SYMBOLOGY = re.compile(r"\](C1|d2|Q3|e0)")
_BRACKETED = re.compile(r"\((\d{2,4})\)([^()]+)")
_LINK = re.compile(
    r"https?://[^/\s]+/(?:[^?#\s]*/)?(0[01])/([0-9]{8,18})((?:/[0-9]{2,4}/[^/?#\s]+)*)/?(\?\S*)?"
)
_PATH = re.compile(r"/([0-9]{2,4})/([^/?#\s]+)")
_QUALIFIERS = ("10", "21")  # of a GTIN, in this order; of an SSCC there are none
_DOMAIN = re.compile(r"(?=.{4,253}$)([a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?\.)+[a-z]{2,63}")


def parts_scanned(text: str) -> tuple[Part, ...]:
    """The parts of a GS1 symbol's text, keys proved; empty for a text that is none.

    A symbology prefix (]C1, ]d2, ]Q3), brackets, a web address, or a bare SSCC say so; bare digits alone
    are no GS1 text, for they may be anything.
    """
    core = text.strip(" \t\r\n")
    if is_sscc(core):
        return (("00", core),)
    if (address := _LINK.fullmatch(core)) is not None:
        return _proved(_of_address(address))
    if (prefix := _SYMBOLOGY.match(core)) is not None:
        return _proved(_separated(core[prefix.end() :]))
    found = [(ai, value.strip()) for ai, value in _BRACKETED.findall(core)]
    whole = "".join(core.split()) == "".join("".join(f"({ai}){value}".split()) for ai, value in found)
    if found and whole:
        return _proved(found)
    return _proved(_separated(core)) if SEPARATOR in core or re.match("00[0-9]{18}$", core) else ()


def _proved(parts: Iterable[Part]) -> tuple[Part, ...]:
    """The parts, where the keys among them prove themselves; nothing where one does not."""
    found = tuple(parts)
    for ai, value in found:
        if ai == "00" and not is_sscc(value):
            return ()
        if ai in ("01", "02"):
            try:
                gtin(value)
            except Unreadable:
                return ()
    return found


def _of_address(address: re.Match[str]) -> list[Part]:
    key, value, path, query = address.groups()
    parts = [(key, value.zfill(14) if key == "01" else value)]
    parts += [(ai, unquote(told)) for ai, told in _PATH.findall(path)]
    for pair in (query or "?")[1:].split("&"):
        ai, _, told = pair.partition("=")
        if ai.isdecimal():
            parts.append((ai, unquote(told)))
    return parts


def _separated(text: str) -> list[Part]:
    """Parts one behind the other, a separator behind each of variable length; empty where one is unknown."""
    parts: list[Part] = []
    rest = text.lstrip(SEPARATOR)
    while rest:
        ai = next((rest[:size] for size in (2, 3) if rest[:size] in IDENTIFIERS), "")
        known = IDENTIFIERS.get(ai)
        if known is None:
            return []
        ai = rest[:4] if ai in MEASURES else ai
        rest = rest[len(ai) :]
        value = rest[: known.longest] if known.fixed else rest.partition(SEPARATOR)[0]
        rest = rest[len(value) :].lstrip(SEPARATOR)
        if not value or (known.fixed and len(value) != known.longest):
            return []
        parts.append((ai, value))
    return parts


def domain_of(text: str) -> str:
    """The domain of a plant's Digital Links, small letters. Raises Unreadable."""
    if not _DOMAIN.fullmatch(text):
        raise Unreadable(
            "This is no domain for web addresses on labels.",
            value=text,
            expected="Expected a name as labels.example.org, in small letters, without https://.",
            next_step="Correct it and try again.",
        )
    return text


def digital_link(domain: str, parts: Iterable[Part]) -> str:
    """The web address that says the parts: https://DOMAIN/01/.../10/...?11=...

    Raises Unreadable where the parts may not stand together or have neither an SSCC nor a GTIN of their own.
    """
    given = in_order(parts)
    told: Mapping[str, str] = dict(given)
    key = next((ai for ai in ("00", "01") if ai in told), "")
    if not key:
        raise Unreadable(
            "A web address of GS1 needs a number of its own.",
            value=", ".join(f"({ai})" for ai in told) or "nothing",
            expected="Expected (00) number of a logistic unit, or (01) GTIN.",
            next_step="Add it and try again.",
        )
    path = [ai for ai in _QUALIFIERS if ai in told] if key == "01" else []
    address = f"https://{domain_of(domain)}/{key}/{told[key]}"
    address += "".join(f"/{ai}/{quote(told[ai], safe='')}" for ai in path)
    rest = [f"{ai}={quote(value, safe='')}" for ai, value in given if ai not in (key, *path)]
    return address + ("?" + "&".join(rest) if rest else "")
