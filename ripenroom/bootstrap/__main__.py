"""``python3 -m ripenroom.bootstrap run``, ``... test``, ``... bundle``; see README.md."""

import sys

OLDEST = (3, 11)


def main() -> int:
    """Refuse a Python that cannot even read the rest of the program, else hand over to it."""
    if sys.version_info < OLDEST:
        found = ".".join(str(part) for part in sys.version_info[:3])
        sys.exit("ripenroom needs Python 3.11 or later; this is Python " + found + ".")
    # Only now, since an older Python fails on reading these.
    from ripenroom.bootstrap.command import main as command

    return command(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
