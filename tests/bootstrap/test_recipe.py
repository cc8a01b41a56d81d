"""The packager's recipe runs through for every system, with the packager's own part stood in for:
only the system it runs on can be packed for, so what it hands over elsewhere is looked at here."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from ripenroom.bootstrap.bundle import SPEC
from ripenroom.bootstrap.environment import ROOT

_RUN = """
import json, sys, types
from pathlib import Path

import PySide6.QtGui

spec, root, work, system = sys.argv[1:]
sys.path.insert(0, root)
names = ("PyInstaller", "PyInstaller.config", "PyInstaller.utils", "PyInstaller.utils.hooks")
for name in names:
    sys.modules[name] = types.ModuleType(name)
sys.modules["PyInstaller.config"].CONF = {"workpath": work}
sys.modules["PyInstaller.utils.hooks"].collect_submodules = lambda package: [package]

handed = {}


def step(name):
    def made(*parts, **named):
        handed[name] = {key: value for key, value in named.items() if key in WANTED}
        return types.SimpleNamespace(binaries=[], datas=[], pure=[], scripts=[])

    return made


WANTED = ("icon", "console", "hide_console", "info_plist", "name")
given = {name: step(name) for name in ("Analysis", "PYZ", "EXE", "COLLECT", "BUNDLE")}
sys.platform = system
exec(compile(Path(spec).read_text(encoding="utf-8"), spec, "exec"), given)
print(json.dumps(handed))
"""


@pytest.mark.parametrize(
    ("system", "kind", "begins"),
    [("linux", None, b""), ("darwin", ".icns", b"icns"), ("win32", ".ico", b"\0\0\1\0")],
)
def test_it_runs_through_for_each_system(
    system: str, kind: str | None, begins: bytes, tmp_path: Path
) -> None:
    line = [sys.executable, "-c", _RUN, str(SPEC), str(ROOT), str(tmp_path), system]
    ran = subprocess.run(line, capture_output=True, text=True, check=False, timeout=60)
    assert ran.returncode == 0, ran.stderr
    handed = json.loads(ran.stdout)
    drawn = handed["EXE"]["icon"]
    assert ("BUNDLE" in handed) == (system == "darwin")
    assert handed["EXE"]["console"] == (system != "darwin")
    assert (drawn and Path(drawn).suffix) == kind
    if drawn:
        assert Path(drawn).read_bytes().startswith(begins)
    if "BUNDLE" in handed:
        assert handed["BUNDLE"]["icon"] == drawn
        (opened,) = handed["BUNDLE"]["info_plist"]["CFBundleDocumentTypes"]
        assert opened["CFBundleTypeExtensions"] == ["ripenroom"]
