"""What a dialog proposes to call a new file: a plain name, and one that is free."""

import re
from pathlib import Path

from ripenroom.private_file import free_path

_NOT_PLAIN = re.compile(r"[^\w ()+,'’-]+")
_LONGEST = 80


def proposed(folder: Path, stem: str, suffix: str) -> str:
    """A free name in a folder, as a file dialog takes it.

    Of ``stem``, which may come out of a file, only letters, digits and harmless signs are kept: it
    can lead to no other folder, and not be hidden.

    >>> Path(proposed(Path("/no/such/place"), "../.plan/of 3", ".csv")).name
    'plan of 3.csv'
    """
    plain = " ".join(_NOT_PLAIN.sub(" ", stem).split())[:_LONGEST].strip()
    return str(free_path(folder / f"{plain or 'ripenroom'}{suffix}"))
