"""Modules and lines are counted in a package made for it."""

from pathlib import Path

import pytest

from tests.house.rooms import Room, all_rooms, rooms


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    for name, lines in {
        "__init__.py": 1,
        "units.py": 4,
        "barn/__init__.py": 1,
        "barn/hay.py": 10,
        "barn/loft/__init__.py": 3,
        "barn/loft/straw.py": 30,
        "house/__init__.py": 0,
    }.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("x = 1\n" * lines, "utf-8")
    (tmp_path / "barn" / "notes.txt").write_text("no module\n" * 50, "utf-8")
    return tmp_path


def test_what_lies_in_folders_of_a_room_is_in_the_room(farm: Path) -> None:
    assert rooms(farm) == [
        Room("barn", modules=4, bare=1, lines=44, median_lines=10),
        Room("", modules=2, bare=1, lines=5, median_lines=4),
        Room("house", modules=1, bare=1, lines=0, median_lines=0),
    ]


def test_the_package_is_all_of_them(farm: Path) -> None:
    assert all_rooms(farm) == Room("all", modules=7, bare=3, lines=49, median_lines=7)
