"""The one door through which anything is written beside the season that is worked on.

What goes through it only its owner may read, and it is there whole or as it was before. Nothing
that a season is made of is ever written over: not a season file, whatever it is called, not the
journal or the lock that belong to one, not the copies that are kept.
"""

import contextlib
import errno
import os
import re
import stat
import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final
from uuid import uuid4

from ripenroom.paths import copies_folder
from ripenroom.texts import tr

SEASON_SUFFIX: Final = ".ripenroom"
JOURNAL_SUFFIX: Final = "-journal"
LOCK_SUFFIX: Final = ".lock"

_SIDES: Final = (JOURNAL_SUFFIX, "-wal", "-shm", LOCK_SUFFIX)
"""Endings of what lies beside a season file while it is changed."""

_DATABASE: Final = b"SQLite format 3\0"
"""How a season file begins (https://sqlite.org/fileformat2.html, section 1.3)."""


_JOURNALS: Final = (
    b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7",
    b"\x37\x7f\x06\x82",
    b"\x37\x7f\x06\x83",
)
"""How a journal and the two kinds of a write-ahead log begin (sections 3 and 4 of the same)."""


class OfASeason(FileExistsError):  # noqa: N818 - it refuses; the program has not erred
    """What was to be written would take the place of something that a season is made of."""

    def __init__(self, path: Path, what: str) -> None:
        super().__init__(
            errno.EEXIST,
            tr("it is {what}, and nothing may be saved over that; choose another name").format(
                what=what
            ),
            str(path),
        )


@contextmanager
def private_file(path: Path) -> Iterator[Path]:
    """The path of a new file to write, which takes the place of ``path`` at the end of the block.

    Where the block fails, or the disk does, what was at ``path`` stays. Something there that is no
    file, such as a pipe, is written to as it is. Raises ``OSError`` that names ``path``, and
    :class:`OfASeason` as :func:`require_no_season` does.

    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name) / "season.json"
    >>> with private_file(path) as unfinished:
    ...     _ = unfinished.write_text("{}")
    >>> path.read_text(), oct(path.stat().st_mode & 0o077)
    ('{}', '0o0')
    >>> folder.cleanup()
    """
    if path.exists() and not path.is_file() and not path.is_dir():
        if path.is_block_device():
            raise OSError(errno.ENOTSUP, tr("it is a whole disk"), str(path))
        yield path
        return
    require_no_season(path)
    with whole_or_not(path) as unfinished:
        yield unfinished


@contextmanager
def whole_or_not(path: Path) -> Iterator[Path]:
    """As :func:`private_file`, for a season's own copies: it asks not what it takes the place of.

    The folder is synced too, so that a power cut does not bring the old file back.
    """
    path = real_path(path)  # a link stays one
    unfinished = unfinished_beside(path)
    try:
        if path.exists() and (path.is_dir() or not os.access(path, os.W_OK)):
            code = errno.EISDIR if path.is_dir() else errno.EACCES
            raise OSError(code, os.strerror(code))
        os.close(os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        yield unfinished
        with unfinished.open("rb+") as written:
            os.fsync(written.fileno())
        unfinished.replace(path)
        sync_folder(path.parent)
    except OSError as error:
        if error.filename not in (None, str(unfinished)):
            raise  # it is about a file that was read in the block
        raise OSError(error.errno, error.strerror or str(error), str(path)) from error
    finally:
        unfinished.unlink(missing_ok=True)


def unfinished_beside(path: Path) -> Path:
    """Where to write what takes the place of ``path`` when it is whole; a kill may leave it."""
    return path.with_name(f".{uuid4().hex}.part")


def is_unfinished(name: str) -> bool:
    """Whether a name is exactly one of :func:`unfinished_beside`, or of a journal of one.

    >>> is_unfinished(unfinished_beside(Path("plan.csv")).name), is_unfinished(".plan.part")
    (True, False)
    """
    return _UNFINISHED.fullmatch(name) is not None


_UNFINISHED: Final = re.compile(
    r"\.[0-9a-f]{12}4[0-9a-f]{3}[89ab][0-9a-f]{15}\.part(?:" + JOURNAL_SUFFIX + ")?"
)
"""With the digits that make it a random UUID (RFC 9562, section 5.4)."""


def private_folder(path: Path) -> None:
    """Make a folder to write into, with those above it, unless it is there already.

    Raises ``OSError`` where something else has its name, and :class:`OfASeason`.
    """
    require_no_season(path)
    if path.exists() and not path.is_dir():
        why = tr("it is there already and is not a folder; name a folder")
        raise NotADirectoryError(errno.ENOTDIR, why, str(path))
    path.mkdir(mode=0o700, parents=True, exist_ok=True)


def sync_folder(folder: Path) -> None:
    """See to it that what a folder was given or lost stays so through a power cut."""
    if sys.platform == "win32":  # folders cannot be opened there
        return
    with contextlib.suppress(OSError):  # not every file system can; the file itself is written
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def require_no_season(path: Path, *, for_season: bool = False) -> None:
    """Raise :class:`OfASeason` if ``path`` leads to what a season is made of.

    By whatever name: through links, in other letters (``A.JSON`` is ``a.json`` on many a disk,
    and on the one that this folder is synced to), or before there is anything at that name. A
    file that is to become a season itself (``for_season``) may be called like one and take the
    place of another, never that of a journal, a lock or a kept copy.
    """
    real = real_path(path)
    if is_kept_copy(path):
        raise OfASeason(path, tr("among the copies of seasons that are kept"))
    name = _folded(real.name)
    of_side = next((name.removesuffix(side) for side in _SIDES if name.endswith(side)), None)
    if of_side is not None and (
        of_side.endswith(SEASON_SUFFIX) or any(map(is_season, _called(of_side, real.parent)))
    ):
        raise OfASeason(path, tr("the journal or the lock of a season"))
    if for_season:
        if any(other.name != real.name for other in filter(is_season, _called(name, real.parent))):
            raise OfASeason(path, tr("a season file but for capital letters"))
        if os.path.lexists(real.with_name(real.name + JOURNAL_SUFFIX)):
            raise OfASeason(path, tr("beside the unfinished change of a season of that name"))
        return
    if name.endswith(SEASON_SUFFIX):
        raise OfASeason(path, tr("named as season files are"))
    if any(map(is_season, (real, *_called(name, real.parent)))):
        raise OfASeason(path, tr("a season file"))


def real_path(path: Path) -> Path:
    """Where a path leads through all links; ``OSError`` where they lead in a circle."""
    try:
        return path.resolve()
    except RuntimeError as error:  # what Python before 3.13 raises
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path)) from error


def is_kept_copy(path: Path) -> bool:
    """Whether ``path`` leads into the folder of the copies that are kept by themselves."""
    real, copies = real_path(path), copies_folder()
    return any(_is_same(folder, copies) for folder in (real, *real.parents))


def free_path(path: Path) -> Path:
    """A path to propose: ``path``, or with a number behind its name where that is taken.

    >>> free_path(Path("/no/such/folder/plan.csv")).name
    'plan.csv'
    """
    number = 1
    proposed = path
    while os.path.lexists(proposed) or next(_called(_folded(proposed.name), path.parent), None):
        number += 1
        proposed = path.with_name(f"{path.stem} {number}{path.suffix}")
    return proposed


def with_ending(path: Path, suffix: str) -> Path:
    """``path`` with an ending, in capitals or not; where that has to be added, a free path.

    Whoever was asked whether the file may be replaced was asked about another name.

    >>> with_ending(Path("/no/plan.CSV"), ".csv").name, with_ending(Path("/no/plan"), ".csv").name
    ('plan.CSV', 'plan.csv')
    """
    if path.suffix.casefold() == suffix:
        return path
    return free_path(path.with_name(path.name + suffix))


def _called(name: str, folder: Path) -> Iterator[Path]:
    """What a folder holds under a folded name, in whatever letters."""
    with contextlib.suppress(OSError):
        yield from (each for each in folder.iterdir() if _folded(each.name) == name)


def _folded(name: str) -> str:
    """A name as a file system may read it that knows no capitals and drops dots at the end."""
    return unicodedata.normalize("NFKC", name).casefold().rstrip(". ")


def is_season(path: Path) -> bool:
    """Whether a file begins as a season file does; what is no file is not opened."""
    return _beginning(path) == _DATABASE


def begins_as_season(path: Path) -> bool:
    """Whether a file begins as a season file, its journal or its log does."""
    beginning = _beginning(path)
    return beginning == _DATABASE or beginning.startswith(_JOURNALS)


def _beginning(path: Path) -> bytes:
    """The first bytes of a file; none of what is no file, or cannot be read."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return b""
        with path.open("rb") as file:
            return file.read(len(_DATABASE))
    except OSError:
        return b""


def _is_same(one: Path, other: Path) -> bool:
    try:
        return one == other or one.samefile(other)
    except OSError:
        return False
