"""What does a text become where a reader presses the keys of one keyboard and the computer expects another?

A wedge reader is set to a country and presses its keys; the computer has a country too. Rows name the same
physical keys in the same order, unshifted and shifted. Source: xkeyboard-config symbols us, de, fr, be
(levels one and two; dead keys stand as the accent they make). That Caps Lock acts as a shift lock on all keys
of German and French Windows layouts is from memory.
"""

from dataclasses import dataclass
from functools import cache

US = "US"
_ROWS = {
    US: (
        "`1234567890-=qwertyuiop[]asdfghjkl;'zxcvbnm,./",
        '~!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:"ZXCVBNM<>?',
    ),
    "German": (
        "^1234567890ß´qwertzuiopü+asdfghjklöäyxcvbnm,.-",
        '°!"§$%&/()=?`QWERTZUIOPÜ*ASDFGHJKLÖÄYXCVBNM;:_',
    ),
    "French": (
        "²&é\"'(-è_çà)=azertyuiop^$qsdfghjklmùwxcvbn,;:!",
        "~1234567890°+AZERTYUIOP¨£QSDFGHJKLM%WXCVBN?./§",
    ),
    "Belgian": (
        "²&é\"'(§è!çà)-azertyuiop^$qsdfghjklmùwxcvbn,;:=",
        "³1234567890°_AZERTYUIOP¨*QSDFGHJKLM%WXCVBN?./+",
    ),
}
KEYBOARDS = tuple(_ROWS)

NO_LOCK, CAPS_LOCK, SHIFT_LOCK = "", "caps", "shift"
LOCKS = (NO_LOCK, CAPS_LOCK, SHIFT_LOCK)
"""Caps Lock on letters alone, as on most computers; or on every key, as the Shift key held down."""


@dataclass(frozen=True, slots=True)
class Way:
    """The keyboard a reader is set to, the one the computer expects, and what Caps Lock does there."""

    reader: str = US
    computer: str = US
    lock: str = NO_LOCK

    @property
    def plain(self) -> bool:
        """Whether every text arrives as it is."""
        return self.reader == self.computer and not self.lock

    def arrives(self, text: str) -> str:
        """What the computer makes of the keys that the reader presses for a text."""
        swapped = text.translate(_keys(self.reader, self.computer, self.lock == SHIFT_LOCK))
        return swapped.swapcase() if self.lock == CAPS_LOCK else swapped


@cache
def _keys(reader: str, computer: str, shift_lock: bool) -> dict[int, str]:
    there = _ROWS[computer] if not shift_lock else _ROWS[computer][::-1]
    keys: dict[int, str] = {}
    for pressed, made in zip(_ROWS[reader], there, strict=True):
        for key, character in zip(pressed, made, strict=True):
            keys.setdefault(ord(key), character)
    return keys


WAYS = tuple(Way(reader, computer, lock) for lock in LOCKS for reader in KEYBOARDS for computer in KEYBOARDS)
"""Every way, those without Caps Lock first and a reader set to US before the others."""
