"""How does a plant's record leave a machine, and come back whole on another?"""

from lotroot.archive.packing import Manifest, backup
from lotroot.archive.restoring import Restored, restore

__all__ = ["Manifest", "Restored", "backup", "restore"]
