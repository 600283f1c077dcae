"""How is a figure known, in a sentence for whoever does not know the word?"""

from collections.abc import Iterable

MEANT = {
    "theirs": "Theirs: by the supplier's papers.",
    "calculated": "Calculated: by length, count or size, not weighed.",
    "estimated": "Estimated: judged by a person.",
    "apportioned": "Apportioned: one weight divided over several lots, by marks or by what went in.",
    "bounded": "Bounded: goods were mixed or met at a boundary, so which lot it is of cannot be told for "
    "certain; the figure is what is expected.",
}


def explained(bases: Iterable[str]) -> str:
    """A sentence for each of some bases that says less than weighed or counted."""
    some = set(bases)
    return " ".join(sentence for basis, sentence in MEANT.items() if basis in some)
