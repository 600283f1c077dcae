"""What becomes of labels kept ready: do goods get them as number, do they answer for goods, are they gone?"""

from lotroot.pads.labels import reserved_number

__all__ = ["reserved_number"]
