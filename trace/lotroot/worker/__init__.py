"""Who prints what was queued, without holding up anybody who posts?

`lane` brings one printer its labels, `tray` those that no printer takes, and `crew` runs a thread for each.
No transaction and no lock is held while anything is drawn, read back or sent (RULES 27): a job is claimed in
a short write, and what came of it is posted under a key of job and attempt.
"""

from lotroot.worker.crew import Worker
from lotroot.worker.outcome import MOST_ATTEMPTS
from lotroot.worker.tray import drain, print_next, recover

__all__ = ["MOST_ATTEMPTS", "Worker", "drain", "print_next", "recover"]
