"""What is said of a figure: how sure it is, and who at the plant stands behind it?"""

from lotroot.confirmed.standing import Standing
from lotroot.tracing.words import Words

SURE = {
    "memory": "from memory",
    "sourced": "published",
    "cross-checked": "published, two agree",
    "ours": "our own rule",
    "plant": "the plant’s own",
}
"""How sure a figure is by itself, in words."""


def by_whom(person: str, at: int, words: Words, *, overridden: bool) -> str:
    """Confirmed by Ada Okafor on 24 Nov 2026 14:05."""
    act = "overridden" if overridden else "confirmed"
    return f"{act} by {words.named(person).name} on {words.moment(at).shown}"


def stands(said: Standing, words: Words) -> str:
    """Who stands behind a figure; what is from memory and confirmed by nobody says so."""
    if said.by_name:
        return by_whom(said.person, said.at, words, overridden=said.overridden)
    return "" if said.counts else "not confirmed"
