"""How does a text arrive when a reader presses US keys and the computer believes in another keyboard?

The rows name the same physical keys in the same order. Source: xkeyboard-config symbols us, de, fr, be
(levels one and two; dead keys stand as the accent they make).
"""

from collections.abc import Callable

_US = (
    "`1234567890-=qwertyuiop[]asdfghjkl;'zxcvbnm,./",
    '~!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:"ZXCVBNM<>?',
)
_ROWS = {
    "US": _US,
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


def _swap_case(text: str) -> str:
    """Caps Lock that acts on letters only, accented ones included (XKB; Windows outside AZERTY)."""
    return text.swapcase()


def _arrive(text: str, layout: str, *, shift_lock: bool = False) -> str:
    plain, shifted = _ROWS[layout]
    low = dict(zip(_US[0], shifted if shift_lock else plain, strict=True))
    high = dict(zip(_US[1], plain if shift_lock else shifted, strict=True))
    keys = low | high
    return "".join(keys.get(character, character) for character in text)


ARRIVALS: dict[str, Callable[[str], str]] = {
    "US": lambda text: _arrive(text, "US"),
    "US, Caps Lock": lambda text: _swap_case(_arrive(text, "US")),
    "US, shift lock": lambda text: _arrive(text, "US", shift_lock=True),
    "German": lambda text: _arrive(text, "German"),
    "German, Caps Lock": lambda text: _swap_case(_arrive(text, "German")),
    "German, shift lock": lambda text: _arrive(text, "German", shift_lock=True),
    "French": lambda text: _arrive(text, "French"),
    "French, Caps Lock": lambda text: _swap_case(_arrive(text, "French")),
    "French, shift lock": lambda text: _arrive(text, "French", shift_lock=True),
    "Belgian": lambda text: _arrive(text, "Belgian"),
    "Belgian, Caps Lock": lambda text: _swap_case(_arrive(text, "Belgian")),
    "Belgian, shift lock": lambda text: _arrive(text, "Belgian", shift_lock=True),
}
