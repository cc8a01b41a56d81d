"""The records in the pages of a database file, read without its table of contents.

Where the pages that say which table begins where are damaged, SQLite finds nothing any more. The
rows themselves mostly are still there. Layout: "Database File Format", sqlite.org/fileformat2.html
(sections 1.6 B-tree pages, 2.1 record format, 1.5 free pages and overflow).

Pages that are no longer in use may hold rows that were changed or deleted since: whoever asks must
know which row is the later one.
"""

import struct
from collections.abc import Iterator
from typing import Any

_INDEX_INTERIOR, _INDEX_LEAF = 0x02, 0x0A
_FIRST_PAGE_HEADER = 100
_USUAL_PAGE = 4096
_MOST_COLUMNS = 100
_MOST_TIMES = 8
"""Each byte of a sound file is of one record; damage may let some be read again."""


def records_in(content: bytes) -> Iterator[tuple[Any, ...]]:
    """Every whole record in the index pages of a file, page after page.

    A table WITHOUT ROWID keeps its rows in such pages, the columns of its key first. Cells may be
    made to lie over each other, and pages to lead in circles, so that a small file holds records
    without end: of a page, and of all overflow pages, a few times their bytes are read.
    """
    size = _page_size(content)
    overflow = _Allowance(_MOST_TIMES * len(content))
    for start in range(0, len(content), size):
        page = content[start : start + size]
        head = _FIRST_PAGE_HEADER if start == 0 else 0
        if len(page) <= head + 12 or page[head] not in (_INDEX_INTERIOR, _INDEX_LEAF):
            continue
        interior = page[head] == _INDEX_INTERIOR
        (cells,) = struct.unpack_from(">H", page, head + 3)
        first = head + (12 if interior else 8)
        own = _Allowance(_MOST_TIMES * size)
        for number in range(min(cells, (len(page) - first) // 2)):
            (at,) = struct.unpack_from(">H", page, first + 2 * number)
            try:
                payload = _payload(content, page, at + (4 if interior else 0), own, overflow)
                yield tuple(_values(payload))
            except _Spent:
                break
            except (IndexError, ValueError, struct.error):
                continue  # a cell that was hit; the next may be whole


class _Spent(Exception):  # noqa: N818 - an answer, not an error
    """More was asked for than there can be."""


class _Allowance:
    """So many bytes may be taken."""

    def __init__(self, left: int) -> None:
        self._left = left

    def take(self, size: int) -> None:
        if size > self._left:
            raise _Spent
        self._left -= size


def _page_size(content: bytes) -> int:
    stated = int.from_bytes(content[16:18])
    size = 65_536 if stated == 1 else stated
    return size if size >= 512 and size & (size - 1) == 0 else _USUAL_PAGE


def _payload(content: bytes, page: bytes, at: int, own: _Allowance, overflow: _Allowance) -> bytes:
    """The bytes of a record, gathered from overflow pages where it is long."""
    size = len(page)
    length, at = _varint(page, at)
    if length > len(content):
        raise ValueError("longer than the file")
    # Section 1.6: how much of a long payload an index page keeps itself.
    most = (size - 12) * 64 // 255 - 23
    least = (size - 12) * 32 // 255 - 23
    if length <= most:
        own.take(length)
        return _slice(page, at, length)
    kept = least + (length - least) % (size - 4)
    kept = kept if kept <= most else least
    own.take(max(kept, 0))
    found = [_slice(page, at, kept)]
    (following,) = struct.unpack_from(">I", page, at + kept)
    left = length - kept
    while left > 0:
        start = (following - 1) * size
        overflow.take(size)
        part = _slice(content, start + 4, min(left, size - 4))
        (following,) = struct.unpack_from(">I", content, start)
        found.append(part)
        left -= len(part)
    return b"".join(found)


def _slice(content: bytes, at: int, length: int) -> bytes:
    if at < 0 or at + length > len(content) or length < 0:
        raise IndexError("beyond the end")
    return content[at : at + length]


def _varint(content: bytes, at: int) -> tuple[int, int]:
    value = 0
    for number in range(9):
        byte = content[at + number]
        if number == 8:
            return (value << 8) | byte, at + 9
        value = (value << 7) | (byte & 0x7F)
        if byte < 0x80:
            return value, at + number + 1
    raise AssertionError("nine bytes are the most")


def _values(payload: bytes) -> Iterator[Any]:
    head, at = _varint(payload, 0)
    if head > len(payload):
        raise ValueError("a head longer than the record")
    kinds = []
    while at < head:
        kind, at = _varint(payload, at)
        kinds.append(kind)
        if len(kinds) > _MOST_COLUMNS:
            raise ValueError("too many columns")
    at = head
    for kind in kinds:
        value, at = _value(payload, at, kind)
        yield value
    if at != len(payload):
        raise ValueError("bytes left over")


_INTEGER_BYTES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}


def _value(payload: bytes, at: int, kind: int) -> tuple[Any, int]:
    if kind == 0:
        return None, at
    if kind in (8, 9):
        return kind - 8, at
    if kind in _INTEGER_BYTES:
        size = _INTEGER_BYTES[kind]
        return int.from_bytes(_slice(payload, at, size), signed=True), at + size
    if kind == 7:
        return struct.unpack(">d", _slice(payload, at, 8))[0], at + 8
    if kind < 12:
        raise ValueError("a kind of value that is not in use")
    size = (kind - 12) // 2
    raw = _slice(payload, at, size)
    return (raw.decode("utf-8") if kind % 2 else raw), at + size
