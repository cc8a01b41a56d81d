"""A digest of the file's content, kept row by row.

SQLite's own integrity check looks at the structure of the file; more than half of all flipped
bits change a value without touching the structure. So every row carries a digest of its own
content, which names the row that has changed, and the *seal* holds the sum of all row digests,
which shows that a row is missing or was not put there by ripenroom. A sum does not depend on the
order and is carried along with every change in the time of the rows that change.

This is a guard against decaying disks and careless programs, not against a forger.
"""

import json
import sqlite3
from collections.abc import Iterable, Sequence
from hashlib import blake2b
from typing import Any, Final

SIZE: Final = 16
_MODULUS: Final = 1 << (8 * SIZE)
# ASCII with escapes: the same bytes on every Python, whatever its Unicode tables.
_ENCODER: Final = json.JSONEncoder(default=bytes.hex, separators=(",", ":"))

UNSEALED: Final = bytes(SIZE)
"""What stands in a row until its digest is known."""

_DIGESTED_TABLES: Final = (
    "SELECT m.name FROM sqlite_master AS m, pragma_table_info(m.name) AS c"
    " WHERE m.type = 'table' AND c.name = 'digest' ORDER BY m.name"
)


def digest_of(*values: Any) -> bytes:
    """The digest of a sequence of texts, numbers, Nones, bytes and lists of these."""
    return blake2b(_ENCODER.encode(values).encode("ascii"), digest_size=SIZE).digest()


def row_digest(table: str, row: Sequence[Any]) -> bytes:
    """The digest of a row as ``SELECT *`` gives it, without its first column, the digest."""
    return digest_of(table, *row[1:])


def total_of(digests: Iterable[Any], start: bytes = UNSEALED) -> bytes:
    """``start`` plus the sum of digests."""
    total = sum((int.from_bytes(digest) for digest in digests), int.from_bytes(start))
    return (total % _MODULUS).to_bytes(SIZE)


def total_without(digests: Iterable[Any], start: bytes) -> bytes:
    """``start`` minus the sum of digests."""
    total = int.from_bytes(start) - sum(int.from_bytes(digest) for digest in digests)
    return (total % _MODULUS).to_bytes(SIZE)


def stored_seal(connection: sqlite3.Connection) -> bytes:
    """The seal as the file holds it.

    Raises ``sqlite3.DatabaseError`` when there is none.
    """
    row = connection.execute("SELECT total FROM seal").fetchone()
    if row is None or not isinstance(row[0], bytes):
        raise sqlite3.DatabaseError("the seal is gone")
    return row[0]


def write_seal(connection: sqlite3.Connection, total: bytes) -> None:
    """Put ``total`` into the seal."""
    connection.execute(
        "INSERT INTO seal (only, total) VALUES (1, ?)"
        " ON CONFLICT (only) DO UPDATE SET total = excluded.total",
        (total,),
    )


def digested_tables(connection: sqlite3.Connection) -> list[str]:
    """Every table with a digest in each row, whatever the version of the file."""
    return [name for (name,) in connection.execute(_DIGESTED_TABLES)]


def reseal(connection: sqlite3.Connection) -> None:
    """Digest every row anew, and the seal: after a migration, and never over rows unchecked."""
    total = UNSEALED
    for table in digested_tables(connection):
        rows = connection.execute(f"SELECT id, * FROM {table}").fetchall()
        digests = [row_digest(table, row[1:]) for row in rows]
        connection.executemany(
            f"UPDATE {table} SET digest = ? WHERE id = ?",
            [(digest, row[0]) for digest, row in zip(digests, rows, strict=True)],
        )
        total = total_of(digests, total)
    write_seal(connection, total)
