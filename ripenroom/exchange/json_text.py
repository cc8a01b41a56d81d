"""JSON (RFC 8259) from files of strangers, within what memory and patience allow."""

import json
from pathlib import Path
from typing import Any, Final

from ripenroom.bounded_file import read_file
from ripenroom.records.refusal import Refusal, refused_by_system

_MOST_VALUES: Final = 3_000_000
"""Two hundred thousand records. Each value takes some sixty bytes, three of a file may make one."""


def load_json(path: Path, most_bytes: int) -> Any:
    """What a file of at most ``most_bytes`` holds; raises :class:`Refusal` in words.

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
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refusal("", "{file} is not written in UTF-8.", file=path.name) from error
    del content
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise Refusal(
            "", "{file} cannot be read as JSON: {reason}.", file=path.name, reason=str(error)
        ) from error


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a member is there twice")
    return found


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number of JSON")
