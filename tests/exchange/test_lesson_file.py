"""Lessons go out and come back the same; anything else is refused in words."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest

from ripenroom.exchange.lesson_file import read_lessons, write_lessons
from ripenroom.records.check import TreeLesson
from ripenroom.records.refusal import Refusal
from ripenroom.season.learning.lessons import SharedLesson, SharedLessons

EARLY = SharedLesson("pawpaw", "Früh – Nº 1", 0.25, 0.1, 7, 0.62, 20.0)
CROP = SharedLesson("pawpaw", None, 0.2, 0.2, 7, 0.62, 20.0, 0.35, 0.12, 1.67, 20.0)
ON_TREE = TreeLesson(
    id="tree-1",
    crop="pawpaw",
    cultivar="Früh – Nº 1",
    by_heat=True,
    needs_days=141.25,
    needs_sd=2.5,
    log_spread=1.3,
    log_spread_sd=0.2,
    log_pace=-0.1,
    log_pace_sd=0.3,
    walks=9,
    taught_by="Hill farm 2025",
    days_off=2.1,
)
SHARED = SharedLessons("Hill farm 2025", (EARLY, CROP), (ON_TREE,))


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    path = write_lessons(SHARED, tmp_path / "what 2025 taught")
    assert path.name == "what 2025 taught.json"
    assert read_lessons(path) == SHARED
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_what_only_trees_taught_is_a_file_as_well(tmp_path: Path) -> None:
    shared = SharedLessons("Hill farm 2025", (), (ON_TREE,))
    assert read_lessons(write_lessons(shared, tmp_path / "trees")) == shared


def of_trees(*changes: dict[str, object]) -> dict[str, Any]:
    """The layout with a lesson of trees for each of these changes."""
    lesson = asdict(ON_TREE)
    del lesson["taught_by"]
    return {**whole(), "trees": [{**lesson, **change} for change in changes]}


def whole() -> dict[str, Any]:
    lessons = [
        {
            "crop": "pawpaw",
            "cultivar": "Early",
            "log_rate": 0.25,
            "log_rate_sd": 0.1,
            "checks": 7,
            "per_day": 0.62,
            "reference_c": 20,
        }
    ]
    return {"format": "ripenroom lessons", "version": 1, "taught_by": "Hill", "lessons": lessons}


def test_the_documented_layout_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text(json.dumps(whole()), "utf-8")
    [read] = read_lessons(path).lessons
    assert (read.cultivar, read.reference_c) == ("Early", 20.0)


def lasting(**changed: object) -> dict[str, Any]:
    """The layout with a lesson of how long ripe fruit lasts."""
    life = {"log_life": 0.3, "log_life_sd": 0.1, "life_days": 1.67, "life_c": 20}
    [one] = whole()["lessons"]
    return {**whole(), "version": 2, "lessons": [{**one, **life, **changed}]}


def test_a_file_of_the_layout_before_says_nothing_of_how_long_ripe_fruit_lasts(
    tmp_path: Path,
) -> None:
    path = tmp_path / "a.json"
    read: list[SharedLesson] = []
    for given in (whole(), lasting()):
        path.write_text(json.dumps(given), "utf-8")
        read += read_lessons(path).lessons
    before, now = read
    assert (before.log_life, before.log_life_sd, before.life_days, before.life_c) == (None,) * 4
    assert (now.log_life, now.log_life_sd, now.life_days, now.life_c) == (0.3, 0.1, 1.67, 20.0)


def lesson(name: str, value: object) -> dict[str, Any]:
    changed = whole()
    changed["lessons"][0][name] = value
    return changed


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ([], "not a lessons file"),
        ({**whole(), "format": "ripenroom season"}, "not a lessons file"),
        ({**whole(), "version": 3}, "layout 3"),
        ({**whole(), "version": 2}, "unknown"),
        (lasting(log_life=None), "either all or none"),
        (lasting(life_days=0.0), "“life_days”"),
        (lasting(log_life_sd=0.0), "“log_life_sd”"),
        ({**lasting(), "version": 1}, "unknown"),
        ({**whole(), "version": True}, "layout True"),
        ({**whole(), "macro": "x"}, "unknown"),
        ({**whole(), "lessons": []}, "1 to 1000 lessons"),
        ({**whole(), "lessons": whole()["lessons"] * 1001}, "1 to 1000 lessons"),
        ({**whole(), "lessons": whole()["lessons"] * 2}, "twice"),
        ({**whole(), "lessons": [7]}, "lesson 1"),
        ({**whole(), "taught_by": " "}, "taught_by"),
        ({**whole(), "taught_by": "a\nb"}, "taught_by"),
        ({**whole(), "taught_by": "a\u202eb"}, "taught_by"),
        (lesson("cultivar", "x" * 201), "200 characters"),
        (lesson("crop", 3), "“crop”"),
        (lesson("log_rate", "0.2"), "“log_rate” must be a number"),
        (lesson("log_rate", 1e300), "“log_rate” must be a number"),
        (lesson("log_rate_sd", 0.0), "“log_rate_sd”"),
        (lesson("per_day", True), "“per_day”"),
        (lesson("per_day", 10**400), "“per_day”"),
        (lesson("checks", 0), "“checks”"),
        (lesson("checks", 2.5), "“checks”"),
        (lesson("extra", 1), "unknown"),
        ({**whole(), "trees": {}}, "must list its lessons"),
        ({**whole(), "trees": [7]}, "lesson 1 of trees"),
        (of_trees({"taught_by": "Other"}), "unknown"),
        (of_trees({}, {"id": "b", "cultivar": "früh – nº 1"}), "twice"),
        (of_trees({}, {"cultivar": "Late"}), "twice"),
        (of_trees({"id": ""}), "“id”"),
        (of_trees({"needs_days": 0.0}), "lesson 1 of trees: “needs_days”"),
        (of_trees({}, {"id": "b", "by_heat": 1}), "lesson 2 of trees: “by_heat”"),
    ],
)
def test_what_is_not_of_the_layout_is_refused(tmp_path: Path, given: object, words: str) -> None:
    path = tmp_path / "a.json"
    path.write_text(json.dumps(given), "utf-8")
    with pytest.raises(Refusal) as refused:
        read_lessons(path)
    assert words in refused.value.message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"{", "cannot be read as JSON"),
        (b'{"format": 1, "format": 2}', "twice"),
        (b'{"a": NaN}', "NaN"),
        (b"[" * 100_000, "cannot be read as JSON"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b" " * 500_001, "too large"),
    ],
)
def test_what_is_no_json_is_refused(tmp_path: Path, text: bytes, words: str) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(text)
    with pytest.raises(Refusal) as refused:
        read_lessons(path)
    assert words in refused.value.message


def test_a_file_that_is_not_there_and_a_folder_that_is_none(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match=r"none\.json"):
        read_lessons(tmp_path / "none.json")
    with pytest.raises(Refusal, match="lost"):
        write_lessons(SHARED, tmp_path / "lost" / "a.json")
    with pytest.raises(Refusal, match="learned nothing yet"):
        write_lessons(SharedLessons("Hill", ()), tmp_path / "b.json")
    assert list(tmp_path.iterdir()) == []
