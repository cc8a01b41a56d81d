"""Files that only their owner may read, and that are there whole or as they were before."""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4


@contextmanager
def private_file(path: Path) -> Iterator[Path]:
    """The path of a new file to write, which takes the place of ``path`` at the end of the block.

    Where the block fails, or the disk does, what was at ``path`` stays. Something there that is no
    file, such as a pipe, is written to as it is. Raises ``OSError`` that names ``path``.

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
        yield path
        return
    path = path.resolve()  # a link stays one
    unfinished = path.with_name(f".{uuid4().hex}.part")
    try:
        if path.exists() and (path.is_dir() or not os.access(path, os.W_OK)):
            code = errno.EISDIR if path.is_dir() else errno.EACCES
            raise OSError(code, os.strerror(code))
        os.close(os.open(unfinished, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        yield unfinished
        with unfinished.open("rb+") as written:
            os.fsync(written.fileno())
        unfinished.replace(path)
    except OSError as error:
        if error.filename not in (None, str(unfinished)):
            raise  # it is about a file that was read in the block
        raise OSError(error.errno, error.strerror or str(error), str(path)) from error
    finally:
        unfinished.unlink(missing_ok=True)
