"""The shipped files are found from a checkout and from an installed wheel."""

import importlib.util
import shutil
from pathlib import Path

import pytest

from ripenroom import paths


def test_a_checkout_finds_its_resources() -> None:
    root = Path(paths.__file__).resolve().parent.parent
    assert paths.resource("crops") == root / "resources" / "crops"
    assert paths.resource("crops").is_dir()


@pytest.mark.parametrize("layout", ["checkout", "wheel", "wheel beside other resources"])
def test_both_layouts_find_the_same_file(tmp_path: Path, layout: str) -> None:
    package = tmp_path / "ripenroom"
    if layout == "wheel beside other resources":
        (tmp_path / "resources").mkdir()
    inside = tmp_path if layout == "checkout" else package
    (inside / "resources" / "crops").mkdir(parents=True)
    package.mkdir(exist_ok=True)
    copy = package / "paths.py"
    shutil.copy(paths.__file__, copy)
    spec = importlib.util.spec_from_file_location(f"paths_of_{layout}", copy)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    found = module.resource("crops", "pawpaw.toml")
    assert found == inside.resolve() / "resources" / "crops" / "pawpaw.toml"
