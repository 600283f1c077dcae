"""Texts that somebody, or something, may one day put into a field: odd signs, odd scripts, far too long."""

import random

_ALPHABETS = {
    "plain": "abcdefghij ABCDEFGHIJ 0123456789 -/.,()",
    "Latin, Greek, Cyrillic": "ÅÄÖß Łódź żółć ñçé ĄĘ Ελλάδα Привет ґї ",
    "controls": "ab \x00\x01\x07\x08\t\n\x0b\x0c\r\x1b\x1d\x1f\x7f\x85",
    "emoji": "🐎🔩⚠️👷‍♀️🇵🇱 box ",
    "right to left": "שלום مرحبا ١٢٣ \u200fab",
    "marks and nothings": "e\u0301x\u20e0a\u200bb\u00adc\u2028\u2029d\ufeff\ufe0f\u202e ",
    "other scripts": "線材 ขวด हिन्दी 한국",
    "syntax": "{number}{0}%s\\n<b>&amp;\"'`$(x)]]>;-- ",
    "halves": "a\ud800\udfffb ",
    "bars' own": "99 ^~!\"#$%&'()*+,-./:;<=>?@[]_`{|} 0123",
}
_LONG = 10_000


def odd_text(chance: random.Random) -> str:
    """A text at random: one of the alphabets or several mixed, empty to 10,000 characters."""
    names = chance.sample(sorted(_ALPHABETS), chance.choice((1, 1, 1, 2)))
    letters = "".join(_ALPHABETS[name] for name in names)
    length = chance.choice((0, 1, 2, 5, 10, 20, 40, 80, 200, _LONG))
    return "".join(chance.choices(letters, k=length))
