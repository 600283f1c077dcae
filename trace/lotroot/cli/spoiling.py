"""How much may a label suffer on the floor before nobody can scan it?"""

import argparse
import json
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from lotroot.cli.options import Commands, add_own, say
from lotroot.errors import Unreadable
from lotroot.labelling.survival import (
    Cell,
    Task,
    block_text,
    joined,
    shipped_layouts,
    spoiled,
    verdict_text,
)

MOST_LABELS = 100_000
_PART = 25  # labels a task: small enough that the processors end together


def add_to(commands: Commands) -> None:
    """Add label-damage."""
    one = add_own(
        commands,
        "label-damage",
        label_damage,
        "Spoil labels of every layout in every way, and count which are still read.",
        "Blur, specks, scratches, fading, skew, a torn side, and frames of a camera. Needs no database. A\n"
        "label takes about half a second of a processor: 50 labels of eleven layouts some five minutes.\n"
        "Exit code 1 where a goal is missed or a number was read wrong.\n\n"
        "  lotroot label-damage --labels 500 --layout item --layout lot",
    )
    one.add_argument(
        "--labels", type=_count, default=50, help="of each layout, for each damage (default: 50)"
    )
    one.add_argument("--layout", action="append", metavar="NAME", help="this layout only; may be repeated")
    one.add_argument(
        "--every-resolution", action="store_true", help="at each resolution, not only at a layout's first"
    )
    one.add_argument("--seed", type=int, default=1, help="other numbers and other damage (default: 1)")
    one.add_argument("--json", action="store_true", help="the counts as JSON")


def label_damage(arguments: argparse.Namespace) -> int:
    """Spoil, read and count; exit code 1 where a cell is not good."""
    layouts = shipped_layouts(every_resolution=arguments.every_resolution)
    known = dict.fromkeys(name for name, _ in layouts)
    asked = arguments.layout or list(known)
    for name in asked:
        if name not in known:
            raise Unreadable(
                f"There is no label layout {name!r}.",
                value=name,
                expected="One of: " + ", ".join(known) + ".",
                next_step="Name a layout of the folder templates/labels.",
            )
    cells: list[Cell] = []
    with ProcessPoolExecutor(os.cpu_count(), mp_context=get_context("spawn")) as pool:
        for name, dpi in layouts:
            if name in asked:
                block = joined(pool.map(spoiled, _tasks(name, dpi, arguments)))
                cells += block
                if not arguments.json:
                    say(block_text(block))
                    sys.stdout.flush()  # the next one takes minutes
    say(json.dumps([cell.as_json() for cell in cells], indent=1) if arguments.json else verdict_text(cells))
    return 0 if all(cell.good for cell in cells) else 1


def _tasks(name: str, dpi: int, arguments: argparse.Namespace) -> list[Task]:
    """All labels of a layout, in parts."""
    labels = arguments.labels
    return [
        Task(name, dpi, first, min(_PART, labels - first), arguments.seed)
        for first in range(0, labels, _PART)
    ]


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= MOST_LABELS):
        raise argparse.ArgumentTypeError(f"{text} is no such number: 1 to {MOST_LABELS}")
    return int(text)
