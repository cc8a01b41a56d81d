"""Circles and doors are found in packages made for it."""

import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from grimp import ImportGraph

from tests.house.imports import circles_of_modules, circles_of_siblings, doors, imports

Made = Callable[[Mapping[str, str]], ImportGraph]


@pytest.fixture
def made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Made:
    """Writes a package ``farm`` of the given modules and reads who imports whom."""

    def make(modules: Mapping[str, str]) -> ImportGraph:
        for name, text in modules.items():
            path = tmp_path / "farm" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8")
        for folder in {path.parent for path in (tmp_path / "farm").rglob("*.py")}:
            (folder / "__init__.py").touch()
        (tmp_path / "farm" / "__init__.py").touch()
        monkeypatch.syspath_prepend(tmp_path)
        sys.modules.pop("farm", None)
        return imports("farm")

    return make


def test_one_way_is_no_circle(made: Made) -> None:
    graph = made({"a.py": "import farm.b\nimport farm.c", "b.py": "import farm.c", "c.py": ""})
    assert circles_of_modules(graph) == []
    assert circles_of_siblings(graph) == []


def test_a_circle_of_three_is_found_also_within_a_function(made: Made) -> None:
    graph = made(
        {
            "a.py": "import farm.b",
            "b.py": "def late():\n    import farm.c",
            "c.py": "import farm.a",
            "d.py": "import farm.a",
        }
    )
    circle = ("farm.a", "farm.b", "farm.c")
    assert circles_of_modules(graph) == [circle]
    assert circles_of_siblings(graph) == [circle]


def test_folders_may_go_in_a_circle_where_no_module_does(made: Made) -> None:
    graph = made(
        {
            "barn/hay.py": "import farm.house.door",
            "barn/straw.py": "",
            "house/door.py": "",
            "house/window.py": "import farm.barn.straw",
        }
    )
    assert circles_of_modules(graph) == []
    assert circles_of_siblings(graph) == [("farm.barn", "farm.house")]


def test_two_circles_that_do_not_meet_are_two(made: Made) -> None:
    graph = made(
        {
            "a.py": "import farm.b\nimport farm.c",
            "b.py": "import farm.a",
            "c.py": "import farm.d",
            "d.py": "import farm.c",
        }
    )
    assert circles_of_modules(graph) == [("farm.a", "farm.b"), ("farm.c", "farm.d")]


def test_a_door_is_a_module_that_is_entered_from_outside(made: Made) -> None:
    graph = made(
        {
            "barn/hay.py": "import farm.barn.straw",
            "barn/straw.py": "",
            "barn/loft.py": "",
            "house/kitchen.py": "import farm.barn.hay",
            "house/attic/roof.py": "from farm.barn import hay, loft",
        }
    )
    assert doors(graph, "farm.house", "farm.barn") == ["farm.barn.hay", "farm.barn.loft"]
    assert doors(graph, "farm.barn", "farm.house") == []
