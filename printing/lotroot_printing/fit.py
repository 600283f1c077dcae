"""How does a text fit into its area: at which size, broken into which lines, or not at all?

The rule never cuts: the text is shrunk down to a stated least size; only then it takes one more
line, large again; when the last allowed line is not enough, it is refused.
"""

from dataclasses import dataclass

from lotroot_printing import fonts


@dataclass(frozen=True)
class Room:
    """Where a text may go: dots wide and high, the pitches allowed, the most lines.

    `number` marks lot numbers: capitals, digits and hyphens only, so a line needs no room for
    accents and descenders, and breaks after a hyphen instead of at a space.
    """

    width: int
    height: int
    largest: int
    least: int
    lines: int = 1
    number: bool = False


@dataclass(frozen=True)
class Fitted:
    """The lines of a text, the pitch they are set at, and the step from line to line in dots."""

    lines: tuple[str, ...]
    pitch: int
    step: int
    height: int


def height_of(lines: int, pitch: int, *, number: bool) -> int:
    """Room that `lines` lines need at `pitch`, in dots."""
    if number:
        return fonts.capital_dots(pitch) + (lines - 1) * step_of(pitch, number=True)
    return lines * fonts.line_dots(pitch)


def step_of(pitch: int, *, number: bool) -> int:
    """From one baseline to the next, in dots."""
    return round(fonts.capital_dots(pitch) * 1.3) if number else fonts.line_dots(pitch)


def _pieces(paragraph: str, *, number: bool) -> list[str]:
    """What a line break may stand between; a number keeps its hyphens at the line's end."""
    if not number:
        return [piece for piece in paragraph.split(" ") if piece]
    groups = paragraph.split("-")
    return [group + "-" for group in groups[:-1]] + groups[-1:]


def _wrap(text: str, columns: int, *, number: bool) -> list[str] | None:
    """The lines of `text` at `columns` characters a line; None if a piece is wider than that."""
    joint = "" if number else " "
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for piece in _pieces(paragraph, number=number):
            if len(piece) > columns:
                return None
            longer = f"{line}{joint}{piece}" if line else piece
            if len(longer) > columns:
                lines.append(line)
                longer = piece
            line = longer
        lines.append(line)
    return lines


def fit(text: str, room: Room) -> Fitted | None:
    """The largest setting of `text` with the fewest lines, or None if it does not fit.

    An explicit line break in `text` is kept.
    """
    if len("".join(text.split())) > room.lines * (room.width // room.least):
        return None  # at no size: a page of text is not wrapped a hundred times to find that out
    for allowed in range(1, room.lines + 1):
        for pitch in range(room.largest, room.least - 1, -1):
            lines = _wrap(text, room.width // pitch, number=room.number)
            if lines is None or len(lines) > allowed:
                continue
            height = height_of(len(lines), pitch, number=room.number)
            if height <= room.height:
                return Fitted(tuple(lines), pitch, step_of(pitch, number=room.number), height)
    return None
