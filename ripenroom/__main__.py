"""``python -m ripenroom`` is the ``ripenroom`` command."""

import sys

from ripenroom.cli import main

if __name__ == "__main__":
    sys.exit(main())
