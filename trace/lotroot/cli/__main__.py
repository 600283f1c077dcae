"""What does `python -m lotroot.cli` do? The same as `lotroot`."""

import sys

from lotroot.cli import main

if __name__ == "__main__":
    sys.exit(main())
