"""How does a plant's record leave a machine, and come back whole on another?"""

from lotroot.archive.packing import Manifest, backup
from lotroot.archive.restoring import restore

__all__ = ["Manifest", "backup", "restore"]
