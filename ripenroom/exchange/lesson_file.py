"""Lessons as a file that growers may pass on: JSON (RFC 8259), read strictly.

The file is one object. ``format`` is ``"ripenroom lessons"``, ``version`` is 2, ``taught_by`` is
the name of the season that taught. ``lessons``, what checks taught of picked fruit, is a list of
objects with exactly these members:

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
``log_life``, ``log_life_sd``
    Natural logarithm of how many times as long as ``life_days`` ripe fruit of the crop lasted, and
    the standard deviation of that, from the season's own packings alone; the same in all lessons
    of a crop.
``life_days``, ``life_c``
    How long ripe fruit lasts (days at that temperature, in degrees Celsius) in the profile that it
    was learned with.

The last four are all ``null`` where nothing was learned of them; files of version 1 lack them.

``trees``, what walks and picks taught of fruit on the tree, may be missing; it is a list of objects
with exactly the members of :class:`ripenroom.records.check.TreeLesson`, but for ``taught_by``. The
``id`` is the same whenever that season is asked for the lesson: it counts once, whether it came in
this file or in the season file.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, TypeVar

from ripenroom.exchange.strict_json import load_json
from ripenroom.private_file import private_file, with_ending
from ripenroom.records.check import TreeLesson
from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.records.refusal_words import expected, hints_of
from ripenroom.records.validation import record_from
from ripenroom.season.learning.lessons import SharedLesson, SharedLessons
from ripenroom.texts import tr

FORMAT = "ripenroom lessons"
VERSION = 2
_OF_VERSION_2 = frozenset({"log_life", "log_life_sd", "life_days", "life_c"})
SUFFIX = ".json"

_MOST_BYTES = 500_000
_MOST_LESSONS = 1_000

_MEMBERS = frozenset(field.name for field in fields(SharedLesson))
_TREE_MEMBERS = frozenset(field.name for field in fields(TreeLesson)) - {"taught_by"}


def write_lessons(shared: SharedLessons, path: Path) -> Path:
    """Write lessons to a file, whole or not at all; where it is. Raises ``Refusal``."""
    if not shared.lessons and not shared.trees:
        raise Refusal(
            "",
            "This season has learned nothing yet: check some batches and let the checks "
            "count, or walk some rows.",
        )
    path = with_ending(path, SUFFIX)
    whole = {
        "format": FORMAT,
        "version": VERSION,
        "taught_by": shared.taught_by,
        "lessons": [asdict(lesson) for lesson in shared.lessons],
        "trees": [
            {name: value for name, value in asdict(lesson).items() if name in _TREE_MEMBERS}
            for lesson in shared.trees
        ],
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
        raise Refusal("", "{file} is not a lessons file of ripenroom.", file=file)
    version = whole.get("version")
    if version not in (1, VERSION) or isinstance(version, bool):
        raise Refusal(
            "",
            "{file} is from another ripenroom (layout {version}; this one reads {known}).",
            file=file,
            version=repr(version)[:20],
            known=VERSION,
        )
    if set(whole) | {"trees"} != {"format", "version", "taught_by", "lessons", "trees"}:
        raise Refusal("", "{file} has members that are missing or unknown.", file=file)
    listed, of_trees = whole["lessons"], whole.get("trees", [])
    if not isinstance(listed, list) or not isinstance(of_trees, list):
        raise Refusal("", "{file} must list its lessons.", file=file)
    if not 1 <= len(listed) + len(of_trees) <= _MOST_LESSONS:
        raise Refusal("", "{file} must list 1 to {most} lessons.", file=file, most=_MOST_LESSONS)
    lessons = tuple(
        _lesson(each, tr("lesson {n}").format(n=n), version)
        for n, each in enumerate(listed, start=1)
    )
    trees = tuple(
        _tree_lesson(each, whole["taught_by"], tr("lesson {n} of trees").format(n=n))
        for n, each in enumerate(of_trees, start=1)
    )
    _require_once([(x.crop, (x.cultivar or "").casefold()) for x in lessons], file)
    _require_once([(x.crop, (x.cultivar or "").casefold(), x.by_heat) for x in trees], file)
    _require_once([x.id for x in trees], file)
    given = {"taught_by": whole["taught_by"], "lessons": lessons, "trees": trees}
    return _declared(SharedLessons, given)


def _require_once(about: Sequence[object], file: str) -> None:
    if len(set(about)) != len(about):
        raise Refusal("", "{file} has one cultivar twice.", file=file)


def _lesson(given: object, where: str, version: int) -> SharedLesson:
    members = _MEMBERS - _OF_VERSION_2 if version == 1 else _MEMBERS
    values = _with_members(given, members, where)
    none = {values.get(name) is None for name in _OF_VERSION_2}
    if len(none) > 1:
        raise Refusal(
            "",
            "In {where} either all or none of {members} must be null.",
            where=where,
            members=", ".join(sorted(_OF_VERSION_2)),
        )
    return _declared(SharedLesson, values, f"{where}: ")


def _tree_lesson(given: object, taught_by: object, where: str) -> TreeLesson:
    members = _with_members(given, _TREE_MEMBERS, where)
    return _declared(TreeLesson, {**members, "taught_by": taught_by}, f"{where}: ")


def _with_members(given: object, members: frozenset[str], where: str) -> dict[str, Any]:
    if not isinstance(given, dict) or set(given) != members:
        raise Refusal(
            "",
            "In {where} members are missing or unknown; it needs {members}.",
            where=where,
            members=", ".join(sorted(members)),
        )
    return given


Declared = TypeVar("Declared")


def _declared(kind: type[Declared], values: Mapping[str, Any], where: str = "") -> Declared:
    """What the values make, if each is as its field declares it."""
    try:
        return record_from(kind, values)
    except Refusal as refusal:
        raise Refusal(
            "",
            "{where}“{name}” must be {expected}.",
            where=where,
            name=refusal.field,
            expected=expected(hints_of(kind)[refusal.field]),
        ) from refusal
