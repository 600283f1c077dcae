"""What does `lotroot WORDS` do, and with which exit code does it end?

0  done
1  a fault was found
2  a number, option or file cannot be used: one line on stderr, nothing on stdout
3  the database is absent, in use, not empty, or of another release
"""

import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from lotroot.cli.options import Parser, command_words
from lotroot.errors import Fault, LotrootError, Unavailable

MODULES = {
    "init": "setting_up",
    "serve": "serving",
    "demo": "showing",
    "trace": "lineage",
    "tables": "tables",
    "label": "labels",
    "label-damage": "spoiling",
    "people": "people",
    "verify": "keeping",
    "export": "keeping",
    "backup": "keeping",
    "restore": "keeping",
    "bench": "benchmarking",
    "bench-labels": "label_pace",
    "bench-yields": "yield_pace",
}
"""Which module of this package has which command. Only the one asked for is imported: verify needs no web."""

FAULT, UNUSABLE, UNAVAILABLE, INTERRUPTED = 1, 2, 3, 130


def main(words: Sequence[str] | None = None) -> int:
    """Run one command line and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8")
    try:
        said = sys.argv[1:] if words is None else list(words)
        arguments = parser(said[:1]).parse_args(said)
        code = int(arguments.run(arguments))
        sys.stdout.flush()
        return code
    except LotrootError as error:
        sys.stderr.write("lotroot: " + " ".join(str(error).split()) + "\n")
        return exit_code(error)
    except BrokenPipeError:
        # Whoever read our lines has seen enough; nothing more may be written, not even at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED


def exit_code(error: LotrootError) -> int:
    """The exit code of an error: the one place where the classes are mapped."""
    if isinstance(error, Unavailable):
        return UNAVAILABLE
    return FAULT if isinstance(error, Fault) else UNUSABLE


def parser(first: Sequence[str] = ()) -> Parser:
    """Every command with its options, or only what the first word of a command line needs."""
    top = Parser(
        prog="lotroot",
        description="Shop-floor batch traceability with label printing.",
        epilog="Each command explains itself: lotroot COMMAND --help",
    )
    commands = command_words(top)
    asked = [MODULES[word] for word in first if word in MODULES]
    for module in dict.fromkeys(asked or MODULES.values()):
        import_module(f"lotroot.cli.{module}").add_to(commands)
    return top
