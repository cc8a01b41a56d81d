"""Lessons as a file that growers may pass on: JSON (RFC 8259), read strictly.

The file is one object. ``format`` is ``"ripenroom lessons"``, ``version`` is 1, ``taught_by`` is
the name of the season that taught, and ``lessons`` is a list of objects with exactly these members:

``crop``
    Key of the crop profile, such as ``"pawpaw"``.
``cultivar``
    Name of the cultivar as the farm calls it; ``null`` for the crop as a whole.
``log_rate``, ``log_rate_sd``
    Natural logarithm of how many times as fast as ``per_day`` its fruit softened, and the standard
    deviation of that, from the season's own checks alone.
``checks``
    How many checks it was learned from.
``per_day``, ``reference_c``
    The crop's speed (physiological age per day at that temperature, in degrees Celsius) in the
    profile that it was learned with.
"""

import json
import math
import unicodedata
from collections.abc import Mapping
from dataclasses import asdict, fields
from pathlib import Path

from ripenroom.exchange.json_text import load_json
from ripenroom.private_file import private_file, with_ending
from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.season.lessons import SharedLesson, SharedLessons

FORMAT = "ripenroom lessons"
VERSION = 1
SUFFIX = ".json"

_MOST_BYTES = 500_000
_MOST_LESSONS = 1_000
_LONGEST_TEXT = 200
_MOST_CHECKS = 1_000_000
_FIGURES: Mapping[str, tuple[float, float]] = {
    "log_rate": (-math.log(20.0), math.log(20.0)),
    "log_rate_sd": (0.001, 3.0),
    "per_day": (1e-4, 100.0),
    "reference_c": (-5.0, 60.0),
}
"""Least and greatest that a figure can be."""

_MEMBERS = frozenset(field.name for field in fields(SharedLesson))


def write_lessons(shared: SharedLessons, path: Path) -> Path:
    """Write lessons to a file, whole or not at all; where it is. Raises ``Refusal``."""
    if not shared.lessons:
        raise Refusal(
            "", "This season has taught nothing yet: check some batches, and let the checks count."
        )
    path = with_ending(path, SUFFIX)
    whole = {
        "format": FORMAT,
        "version": VERSION,
        "taught_by": shared.taught_by,
        "lessons": [asdict(lesson) for lesson in shared.lessons],
    }
    text = json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    try:
        with private_file(path) as unfinished:
            unfinished.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise refused_by_system(str(path), error) from error
    return path


def read_lessons(path: Path) -> SharedLessons:
    """The lessons in a file; raises :class:`Refusal` that says what is wrong and where."""
    return _shared(load_json(path, _MOST_BYTES), path.name)


def _shared(whole: object, file: str) -> SharedLessons:
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        raise Refusal("", "{file} is no file of lessons from ripenroom.", file=file)
    if whole.get("version") != VERSION or isinstance(whole.get("version"), bool):
        raise Refusal(
            "",
            "{file} is written in layout {version}; here only layout {known} is read.",
            file=file,
            version=repr(whole.get("version"))[:20],
            known=VERSION,
        )
    if set(whole) != {"format", "version", "taught_by", "lessons"}:
        raise Refusal("", "{file} has members that are missing or unknown.", file=file)
    listed = whole["lessons"]
    if not isinstance(listed, list) or not 1 <= len(listed) <= _MOST_LESSONS:
        raise Refusal("", "{file} must list 1 to {most} lessons.", file=file, most=_MOST_LESSONS)
    lessons = tuple(_lesson(each, f"lesson {n}") for n, each in enumerate(listed, start=1))
    about = [(x.crop, (x.cultivar or "").casefold()) for x in lessons]
    if len(set(about)) != len(about):
        raise Refusal("", "{file} tells of one cultivar twice.", file=file)
    return SharedLessons(_text(whole["taught_by"], "taught_by"), lessons)


def _lesson(given: object, where: str) -> SharedLesson:
    if not isinstance(given, dict) or set(given) != _MEMBERS:
        raise Refusal(
            "",
            "In {where} members are missing or unknown; it needs {members}.",
            where=where,
            members=", ".join(sorted(_MEMBERS)),
        )
    checks = given["checks"]
    if isinstance(checks, bool) or not isinstance(checks, int) or not 1 <= checks <= _MOST_CHECKS:
        raise Refusal("", "{where}: “checks” must be a whole number from 1 on.", where=where)
    cultivar = given["cultivar"]
    figures = {name: _figure(given[name], f"{where}: “{name}”", name) for name in _FIGURES}
    return SharedLesson(
        crop=_text(given["crop"], f"{where}: “crop”"),
        cultivar=None if cultivar is None else _text(cultivar, f"{where}: “cultivar”"),
        checks=checks,
        **figures,
    )


def _text(value: object, where: str) -> str:
    text = value.strip() if isinstance(value, str) else ""
    # Names are shown and kept: one line, and nothing that turns it around or hides in it.
    odd = any(unicodedata.category(character)[0] == "C" for character in text)
    if not text or len(text) > _LONGEST_TEXT or odd:
        raise Refusal(
            "",
            "{where} must be a plain text of 1 to {most} characters.",
            where=where,
            most=_LONGEST_TEXT,
        )
    return text


def _figure(value: object, where: str, name: str) -> float:
    low, high = _FIGURES[name]
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise Refusal(
            "",
            "{where} must be a number from {low:.4g} to {high:.4g}.",
            where=where,
            low=low,
            high=high,
        )
    return float(value)
