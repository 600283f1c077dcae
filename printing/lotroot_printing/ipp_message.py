"""How is a request to a printer written as bytes, and what does its answer say?

The encoding of RFC 8010: version, operation or status, request number, then groups of attributes, each a
tag, a name and a value. Only what a label needs is written; everything is read.
"""

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

OPERATION, JOB, END, PRINTER = 0x01, 0x02, 0x03, 0x04
"""Delimiter tags, RFC 8010 section 3.5.1."""

INTEGER, BOOLEAN, ENUM = 0x21, 0x22, 0x23
RESOLUTION, BEGIN_COLLECTION, END_COLLECTION, MEMBER = 0x32, 0x34, 0x37, 0x4A
TEXT, NAME, KEYWORD, URI, CHARSET, LANGUAGE, MIME = 0x41, 0x42, 0x44, 0x45, 0x47, 0x48, 0x49
"""Value tags, RFC 8010 section 3.5.2."""

_TEXT_WITH_LANGUAGE = (0x35, 0x36)
_MOST_GROUPS = 5_000
_DOTS_PER_INCH = 3
_CM_PER_INCH = 2.54

Value = int | bool | str | tuple[int, ...] | Mapping[str, Sequence["Value"]]
"""A resolution is a pair of dots an inch, a range a pair, a collection its members by name."""

Group = Mapping[str, Sequence[Value]]


class Garbled(ValueError):
    """The bytes are no IPP message."""


@dataclass(frozen=True)
class Reply:
    """An answer: its status code (RFC 8011, appendix B) and its groups by delimiter tag, in order."""

    status: int
    groups: tuple[tuple[int, Group], ...]

    def first(self, tag: int) -> Group:
        """The first group of that kind; an empty one where there is none."""
        return next((group for kind, group in self.groups if kind == tag), {})

    def all(self, tag: int) -> list[Group]:
        """Every group of that kind."""
        return [group for kind, group in self.groups if kind == tag]


Written = tuple[int, str, Value]
"""An attribute to write: value tag, name, value."""


def request(operation: int, number: int, attributes: Sequence[Written], job: Sequence[Written] = ()) -> bytes:
    """An IPP/1.1 request; `attributes` follow charset and language in the operation group."""
    head = [(CHARSET, "attributes-charset", "utf-8"), (LANGUAGE, "attributes-natural-language", "en")]
    out = struct.pack(">bbHI", 1, 1, operation, number) + bytes([OPERATION])
    out += b"".join(_attribute(*each) for each in [*head, *attributes])
    if job:
        out += bytes([JOB]) + b"".join(_attribute(*each) for each in job)
    return out + bytes([END])


def _attribute(tag: int, name: str, value: Value) -> bytes:
    if isinstance(value, Mapping):
        members = b"".join(
            _one(MEMBER, "", member.encode()) + _value_of(inner[0]) for member, inner in value.items()
        )
        return _one(BEGIN_COLLECTION, name, b"") + members + _one(END_COLLECTION, "", b"")
    return _one(tag, name, _packed(tag, value))


def _value_of(value: Value) -> bytes:
    """A member of a collection: whole numbers and collections are all that media sizes need."""
    if isinstance(value, Mapping):
        return _attribute(BEGIN_COLLECTION, "", value)
    return _one(INTEGER, "", _packed(INTEGER, value))


def _one(tag: int, name: str, content: bytes) -> bytes:
    called = name.encode()
    return bytes([tag]) + struct.pack(">H", len(called)) + called + struct.pack(">H", len(content)) + content


def _packed(tag: int, value: Value) -> bytes:
    if tag == RESOLUTION and isinstance(value, tuple):
        return struct.pack(">iib", *value, _DOTS_PER_INCH)
    if tag == BOOLEAN:
        return bytes([bool(value)])
    return struct.pack(">i", value) if isinstance(value, int) else str(value).encode()


def reply(content: bytes) -> Reply:
    """The answer in these bytes. Raises Garbled."""
    try:
        return _Reader(content).read()
    except (struct.error, IndexError, UnicodeDecodeError, RecursionError) as error:
        raise Garbled(f"{len(content)} bytes that are no IPP message: {error}") from error


class _Reader:
    """Reads one message from front to back."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        self._at = 8

    def read(self) -> Reply:
        status = struct.unpack_from(">H", self._content, 2)[0]
        groups: list[tuple[int, dict[str, list[Value]]]] = []
        name = ""
        while True:
            tag = self._content[self._at]
            if tag == END:
                return Reply(status, tuple(groups))
            if tag < 0x10:
                self._at += 1
                groups.append((tag, {}))
                if len(groups) > _MOST_GROUPS:
                    raise IndexError("it has groups without end")
                continue
            tag, called, value = self._next()
            name = called or name
            found = self._members() if tag == BEGIN_COLLECTION else _read(tag, value)
            groups[-1][1].setdefault(name, []).append(found)

    def _next(self) -> tuple[int, str, bytes]:
        """Tag, name and value of the next attribute."""
        tag = self._content[self._at]
        name = self._counted(self._at + 1)
        return tag, name.decode(), self._counted(self._at)

    def _counted(self, at: int) -> bytes:
        """Bytes with their count of two bytes before them; the reader stands behind them afterwards."""
        length = struct.unpack_from(">H", self._content, at)[0]
        self._at = at + 2 + length
        if self._at > len(self._content):
            raise IndexError("it ends within a value")
        return self._content[at + 2 : self._at]

    def _members(self) -> dict[str, list[Value]]:
        """The members of a collection, up to its end."""
        members: dict[str, list[Value]] = {}
        name = ""
        while True:
            tag, _, value = self._next()
            if tag == END_COLLECTION:
                return members
            if tag == MEMBER:
                name = value.decode()
                members[name] = []
            else:
                found = self._members() if tag == BEGIN_COLLECTION else _read(tag, value)
                members.setdefault(name, []).append(found)


def _read(tag: int, value: bytes) -> Value:
    if tag in (INTEGER, ENUM):
        return int(struct.unpack(">i", value)[0])
    if tag == BOOLEAN:
        return value != b"\0"
    if tag == RESOLUTION:
        across, along, unit = struct.unpack(">iib", value)
        factor = 1 if unit == _DOTS_PER_INCH else _CM_PER_INCH
        return round(across * factor), round(along * factor)
    if tag == 0x33:
        return tuple(struct.unpack(">ii", value))
    if tag in _TEXT_WITH_LANGUAGE:
        skipped = struct.unpack_from(">H", value)[0] + 4
        return value[skipped:].decode("utf-8", "replace")
    return value.decode("utf-8", "replace")
