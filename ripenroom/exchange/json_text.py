"""JSON (RFC 8259) from files of strangers, within what memory and patience allow.

RFC 8259 leaves open what an object with a member twice means (section 4). One that is read for the
last of them and shown elsewhere for the first would be two files in one, so it is none here.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from ripenroom.bounded_file import read_file
from ripenroom.records.refusal import Refusal, refused_by_system

_MOST_VALUES: Final = 3_000_000
"""Two hundred thousand records. Each value takes some sixty bytes, three of a file may make one."""


_UTF8_MARK: Final = b"\xef\xbb\xbf"


def content_of(path: Path, most_bytes: int) -> bytes:
    """The bytes of a JSON file of at most ``most_bytes``; raises :class:`Refusal` in words.

    Nothing is read that is no file, is too large, or would swell: values are counted before any
    is made.
    """
    try:
        content = read_file(path, most_bytes)
    except OSError as error:
        raise refused_by_system(path.name, error) from error
    # Every value but the first of a list or an object stands behind a comma; commas within texts
    # count too, which no season has so many of.
    if sum(content.count(sign) for sign in (b",", b"[", b"{")) > _MOST_VALUES:
        raise Refusal(
            "",
            "{file} holds more than {most} values, more than any season. It was not read.",
            file=path.name,
            most=_MOST_VALUES,
        )
    return content.removeprefix(_UTF8_MARK)


def load_json(path: Path, most_bytes: int) -> Any:
    """What a file of at most ``most_bytes`` holds; raises :class:`Refusal` in words."""
    content = content_of(path, most_bytes)
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refusal("", "{file} is not written in UTF-8.", file=path.name) from error
    del content
    return _parsed(text, _once, path.name)


def require_members_once(content: bytes, file: str) -> None:
    """Raise :class:`Refusal` where an object has a member twice; nothing is kept of what is read.

    For what another reader takes, which lets the last of them count. Names of members are compared
    by their bytes: that is enough where no names but those of ASCII letters are known.
    """
    # As Latin-1, which has a letter for every byte, one letter of Greek makes the text no larger.
    _parsed(content.decode("latin-1"), _looked_at, file)


def _parsed(text: str, made_of: Callable[[list[tuple[str, Any]]], Any], file: str) -> Any:
    try:
        return json.loads(text, object_pairs_hook=made_of, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise Refusal(
            "", "{file} cannot be read as JSON: {reason}.", file=file, reason=str(error)
        ) from error


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a member is there twice")
    return found


def _looked_at(pairs: list[tuple[str, Any]]) -> None:
    _once(pairs)


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number of JSON")
