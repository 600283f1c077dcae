"""How are hashes and UUIDs kept in half the room of their text?"""

from uuid import UUID

from sqlalchemy import Dialect, LargeBinary, TypeDecorator

_UUID = 16


class Octets(TypeDecorator[str]):
    """A text of hexadecimal digits, kept as the bytes they stand for; sixteen bytes are a UUID."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> bytes | None:
        """The bytes that are stored."""
        return None if value is None else bytes.fromhex(value.replace("-", ""))

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> str | None:
        """The text they stand for."""
        return None if value is None else digits(value)


def digits(value: bytes | str) -> str:
    """The text that octets stand for, a UUID with its hyphens (RFC 9562, section 4).

    What somebody put there instead is given as it is: it fits no hash, and `verify` tells where.
    """
    if isinstance(value, str):
        return value
    return str(UUID(bytes=bytes(value))) if len(value) == _UUID else bytes(value).hex()
