"""How does a plant's name for a thing stand inside a sentence?"""


def inside(name: str) -> str:
    """The name without its capitals, but for words that are written in them: PVC compound, line wire."""
    return " ".join(word if word[1:].lower() != word[1:] else word.lower() for word in name.split(" "))
