"""What a passage records, on modules made for it."""

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from tests.house.passage import Name, Passage

_INSIDE = """
class Box:
    pass

class Shelf:
    def __init__(self, box):
        self.kept = box

    def take(self):
        return self.kept

def carry(parcel, other=None):
    def open_it():
        return 1
    return open_it()

def make():
    fresh = Box()
    carry(fresh)

def not_called():
    pass
"""


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    (tmp_path / "farm").mkdir()
    (tmp_path / "farm" / "inside.py").write_text(_INSIDE, "utf-8")
    (tmp_path / "outside.py").write_text("def beyond(box):\n    return box\n", "utf-8")
    return tmp_path / "farm"


def _loaded(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_functions_that_ran_are_passed_and_no_others(farm: Path) -> None:
    inside, outside = _loaded(farm / "inside.py"), _loaded(farm.parent / "outside.py")
    with Passage(farm, inside.Box) as passage:
        inside.make()
        outside.beyond(inside.Box())
    inside.not_called()
    assert passage.files == ["inside.py"]
    assert passage.functions == [
        ("inside.py", "carry"),
        ("inside.py", "carry.<locals>.open_it"),
        ("inside.py", "make"),
    ]


def test_a_file_that_is_only_imported_is_not_passed(farm: Path) -> None:
    with Passage(farm, str) as passage:
        _loaded(farm / "inside.py")
    assert passage.files == []


def test_each_place_that_holds_the_thing_is_a_name_of_it(farm: Path) -> None:
    inside = _loaded(farm / "inside.py")
    box = inside.Box()
    with Passage(farm, inside.Box) as passage:
        inside.make()
        inside.Shelf(box).take()
    assert passage.names == {
        Name("inside.py", "make", "fresh"),
        Name("inside.py", "carry", "parcel"),
        Name("inside.py", "Shelf.__init__", "box"),
        Name("inside", "Shelf", "self.kept"),
    }


def test_nothing_is_recorded_after_a_fault(farm: Path) -> None:
    inside = _loaded(farm / "inside.py")
    passage = Passage(farm, inside.Box)
    with pytest.raises(TypeError), passage:
        inside.carry()
    inside.make()
    assert passage.functions == []
