"""Does any text in any field of any layout print as it is, or get refused in words that help?

Some texts for every layout by default, 2,000 with LOTROOT_CI=1, each in every field in turn.
"""

import json
import random
import unicodedata

import pytest
from label_pictures import AT, LAYOUTS
from labels_at_random import a_label
from lotroot.errors import Unreadable
from lotroot.labelling.rendering import texts_read_back
from lotroot_printing import png
from lotroot_printing.compose import compose
from lotroot_printing.drawing import Drawing
from lotroot_printing.errors import PrintingError
from lotroot_printing.layout import Layout, TextBox, fields_in
from lotroot_printing.symbols import ReadSymbol, read_back
from odd_texts import odd_text

OFTEN = ("coil", "lumber_end", "nail_box", "pallet_gs1", "stripper")
NAMES = pytest.mark.parametrize(
    "name", [pytest.param(name, marks=() if name in OFTEN else pytest.mark.in_ci) for name in LAYOUTS]
)


def often(thorough: bool) -> int:
    """How many texts each layout gets."""
    return -(-(2000 if thorough else 60) // len(LAYOUTS))


@NAMES
def test_a_text_prints_whole_or_is_refused_saying_what_to_do(name: str, thorough: bool) -> None:
    chance = random.Random(f"texts {name}")
    for _ in range(often(thorough)):
        layout, text = AT[name, chance.choice(LAYOUTS[name].resolutions)], odd_text(chance)
        for field in sorted(layout.fields):
            fields = {**layout.sample, field: text}
            try:
                drawing = compose(layout, fields)
                expected = [ReadSymbol(each.symbology, each.text) for each in drawing.symbols]
                read_back(png.bitmap(drawing), expected)
            except PrintingError as error:
                helps(error.what, error.value, error.expected, error.next_step)
            else:
                printed_right(layout, drawing, field, text)


def helps(what: str, value: str, expected: str, next_step: str) -> None:
    """A message a person can use: short, of signs that can be shown, with a next step."""
    assert what
    assert expected
    assert next_step
    sentence = " ".join((what, value, expected, next_step))
    assert len(sentence) < 1200
    assert not any(unicodedata.category(each)[0] == "C" for each in sentence)


def printed_right(layout: Layout, drawing: Drawing, field: str, text: str) -> None:
    """All of the text stands on the label, and its symbols say the number that was given."""
    shown = _joined(unicodedata.normalize("NFC", text))
    named = [each for each in layout.elements if isinstance(each, TextBox) and field in fields_in(each.text)]
    if shown and named and (field, text) != ("copy", "1"):
        assert shown in _joined("".join(run.text for run in drawing.texts))
    number = text if field == "number" else layout.sample["number"]
    own = [each.text for each in drawing.symbols if not each.symbology.startswith("gs1")]
    assert len(own) >= 2
    assert all(each.startswith(number) for each in own)


def _joined(text: str) -> str:
    return "".join(text.split())


@NAMES
def test_a_print_job_with_any_text_prints_its_number_or_is_refused_saying_what_to_do(
    name: str, thorough: bool
) -> None:
    chance = random.Random(f"jobs {name}")
    for _ in range(often(thorough)):
        meant = a_label(chance, (name, LAYOUTS[name].dpi))
        field = chance.choice(("kind", "product", "station", "held", "date", "cautions", "amount"))
        text = odd_text(chance)
        fields = json.loads(meant.facts.fields) | {field: [text] if field == "cautions" else text}
        meant.facts.fields = json.dumps(fields)
        try:
            found = texts_read_back(meant.facts, meant.holder)
        except Unreadable as error:
            helps(error.what, "", "-", error.next_step)
        else:
            assert set(found) >= {meant.bars, meant.square}
