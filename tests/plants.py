"""Which plants do tests work with: the whole invented one, and one small enough to read?"""

import re
from functools import cache

from lotroot.processes.adoption import resolve
from lotroot.processes.definition import Plant
from lotroot.processes.reading import parse
from lotroot.settings import data_folder

SMALL = """\
[plant]
name = "Two machines"
site = "TWO"
day_start = "06:00"
zone = "America/Jamaica"

[shift]
day = { name = "Day", start = "06:00" }

[kind]
rod = { name = "Rod", letter = "C", unit = "g" }
stripper = { name = "Stripper", letter = "R", unit = "g" }

[product]
rod_55 = { name = "Rod 5.5", kind = "rod" }
wire_25 = { name = "Wire 2.5", kind = "stripper" }

[characteristic]
wire_diameter = { name = "Diameter", unit = "mm", low = "2.45", high = "2.55" }

[place]
rack = { name = "Rack", use = "rack" }

[resource]
dies = { name = "Dies 2.50", kind = "die_set" }

[carrier]
pan_01 = { name = "Pan 1", kind = "pan" }

[station.draw_1]
name = "Drawing machine"
processes = ["drawing"]
resources = ["die_set"]
place = "rack"

[process.drawing]
name = "Drawing"
feed = "in_turn"
order = "reversed"
tolerance_permille = 20
uses = ["die_set"]
checks = ["wire_diameter"]

[process.drawing.streams]
steel = "g"

[process.drawing.input.rod]
name = "Rod"
stream = "steel"
kinds = ["rod"]

[process.drawing.output.stripper]
name = "Stripper"
kind = "stripper"
as = "lot"
stream = "steel"
asks = ["weight"]

[reason]
ends = { words = "Ends", group = "scrap" }

[role]
administrator = ["*"]
operator = ["OpenRun", "MakeOutput"]
"""


def demo_text() -> str:
    """The invented plant's text as it stands in demo_seed, not yet written in full."""
    return (data_folder("demo_seed") / "plant.toml").read_text(encoding="utf-8")


@cache
def demo_plant() -> Plant:
    """The invented plant as it would be adopted."""
    return parse(resolve(demo_text()))


def with_bins(text: str) -> str:
    """The invented plant's text with these bins in the place of its own."""
    return re.sub(r"(?ms)^\[bin\]\n.*?(?=^# -----|^\[)", "", demo_text()) + text


def parsed(text: str) -> Plant:
    """A plant of a text that takes from the catalogue."""
    return parse(resolve(text))
