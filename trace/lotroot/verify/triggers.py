"""Does everything that keeps the ledger from being changed stand, word for word?"""

from sqlalchemy import Connection

from lotroot.ledger.proof import Finding
from lotroot.ledger.triggers import expected_triggers, standing_triggers


def trigger_finding(connection: Connection) -> Finding | None:
    """The first trigger, by name, that is missing or does something else."""
    standing = standing_triggers(connection)
    for name, words in sorted(expected_triggers(connection).items()):
        if name not in standing:
            return Finding(name, "nothing", "a trigger")
        if standing[name] != words:
            return Finding(name, f"“{_line(standing[name])}”", f"“{_line(words)}”")
    return None


def _line(words: str) -> str:
    return " ".join(words.split())
