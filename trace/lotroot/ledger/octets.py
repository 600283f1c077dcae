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
        """The text they stand for, a UUID with its hyphens (RFC 9562, section 4)."""
        if value is None:
            return None
        return str(UUID(bytes=bytes(value))) if len(value) == _UUID else bytes(value).hex()
