"""What does a printer say of itself, and of a job it has?

The attributes of RFC 8011 sections 5.3 and 5.4 and of PWG 5100.7, as far as a label needs them.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from lotroot_printing import ipp_message as message
from lotroot_printing.errors import shortened

COMPLETED, CANCELED, ABORTED, PROCESSING, STOPPED = 9, 7, 8, 5, 6
"""Job states, RFC 8011 section 5.3.7; 7, 8 and 9 are the last ones."""

PRINTER_STOPPED = 5
"""A printer's state, RFC 8011 section 5.4.11."""

Span = tuple[int, int]
"""A lowest and a highest length."""


@dataclass(frozen=True)
class Offer:
    """What a printer says of itself: formats, bitmap kinds and resolutions, and how it is.

    `sizes` are the labels it can be told it has, each a lowest and highest width and length in hundredths of
    a millimetre; `unscaled`: it can be told to print as large as it is.
    `up` is its printer-up-time in seconds: since its start, where that is how it counts.
    """

    name: str
    formats: tuple[str, ...]
    kinds: tuple[str, ...]
    resolutions: tuple[int, ...]
    sizes: tuple[tuple[Span, Span], ...]
    unscaled: bool
    state: int
    accepting: bool
    reasons: tuple[str, ...]
    message: str
    up: int


@dataclass(frozen=True)
class Job:
    """A job as its printer sees it."""

    id: int
    name: str
    state: int
    reasons: tuple[str, ...]
    message: str

    @property
    def ended(self) -> bool:
        """Whether it is completed, cancelled or aborted."""
        return self.state >= CANCELED


def offer_of(found: message.Group) -> Offer:
    """What a printer's attributes say it offers, and how it is."""
    kinds = _texts(found, "pwg-raster-document-type-supported")
    offered = found.get("pwg-raster-document-resolution-supported") or found.get(
        "printer-resolution-supported", ()
    )
    return Offer(
        name=text_of(found, "printer-make-and-model") or text_of(found, "printer-name"),
        formats=_texts(found, "document-format-supported"),
        kinds=kinds,
        resolutions=tuple(sorted({dpi for dpi in map(_square, offered) if dpi})),
        sizes=_sizes(found) if "media-size" in _texts(found, "media-col-supported") else (),
        unscaled="none" in _texts(found, "print-scaling-supported"),
        state=number_of(found, "printer-state"),
        accepting=bool(next(iter(found.get("printer-is-accepting-jobs", (True,))))),
        reasons=_reasons(found, "printer-state-reasons"),
        message=text_of(found, "printer-state-message"),
        up=number_of(found, "printer-up-time"),
    )


def wanted() -> list[message.Written]:
    """What is wanted of a job; the further values of an attribute have no name (RFC 8010 section 3.1.5)."""
    names = ("job-id", "job-name", "job-state", "job-state-reasons", "job-state-message")
    return [
        (message.KEYWORD, "requested-attributes" if at == 0 else "", name) for at, name in enumerate(names)
    ]


def job_of(group: message.Group) -> Job:
    return Job(
        id=number_of(group, "job-id"),
        name=text_of(group, "job-name"),
        state=number_of(group, "job-state"),
        reasons=_reasons(group, "job-state-reasons"),
        message=text_of(group, "job-state-message"),
    )


def _texts(group: message.Group, name: str) -> tuple[str, ...]:
    """Texts as they can be shown and kept: some printers end theirs with a NUL."""
    return tuple(shortened(str(value).strip("\0 ")) for value in group.get(name, ()))


def text_of(group: message.Group, name: str) -> str:
    return next(iter(_texts(group, name)), "")


def number_of(group: message.Group, name: str) -> int:
    found = next(iter(group.get(name, ())), 0)
    return found if isinstance(found, int) else 0


def _reasons(group: message.Group, name: str) -> tuple[str, ...]:
    return tuple(reason for reason in _texts(group, name) if reason != "none")


def _sizes(group: message.Group) -> tuple[tuple[Span, Span], ...]:
    """The media sizes it lists, a fixed one being a span of one (PWG 5100.7, media-size-supported)."""
    found = []
    for size in group.get("media-size-supported", ()):
        spans = [_span(size, name) for name in ("x-dimension", "y-dimension")]
        found.append((spans[0], spans[1]))
    return tuple(found)


def _span(size: message.Value, name: str) -> Span:
    value = next(iter(size.get(name, ())), 0) if isinstance(size, Mapping) else 0
    if isinstance(value, tuple):
        return value[0], value[1]
    return (value, value) if isinstance(value, int) else (0, 0)


def within(length: int, span: Span) -> bool:
    """Whether a length is one of the span, to a tenth of a millimetre: sizes are rounded on both sides."""
    return span[0] - 10 <= length <= span[1] + 10


def _square(value: message.Value) -> int:
    """The dots an inch of a resolution that is the same both ways; 0 for any other."""
    return value[0] if isinstance(value, tuple) and value[0] == value[1] else 0
