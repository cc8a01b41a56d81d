"""Making ``.venv``, on a small stand-in project with its own packages, and the lock file.

There is no network. The lock file has parts, holds what pyproject.toml asks for, and no address.
"""

import hashlib
import inspect
import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
import venv
from pathlib import Path
from zipfile import ZipFile

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from ripenroom.bootstrap.environment import (
    HEADINGS,
    LOCK,
    PYPROJECT,
    ROOT,
    STAMP,
    Part,
    requirements,
)

WITH_PIP = str(getattr(sys, "_base_executable", sys.executable))
"""The interpreter that environments are made from; a made one has no pip of its own."""

FIRST_WORDS = "Fetching the packages: some 150 MB, once; it can take minutes.\n"

STAND_IN = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "ripenroom"
version = "1"
"""

BACKEND = """\
from pathlib import Path
from zipfile import ZipFile

{write_wheel}

def build_editable(folder, config_settings=None, metadata_directory=None):
    return write_wheel(Path(folder), "ripenroom", "1").name
"""


def write_wheel(folder: Path, name: str, version: str) -> Path:
    """Write a wheel of one module that says its version."""
    path = folder / f"{name}-{version}-py3-none-any.whl"
    info = f"{name}-{version}.dist-info/"
    named = f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n"
    kind = "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    with ZipFile(path, "w") as wheel:
        wheel.writestr(f"{name}.py", f"version = {version!r}\n")
        wheel.writestr(info + "METADATA", named)
        wheel.writestr(info + "WHEEL", kind)
        wheel.writestr(info + "RECORD", "")
    return path


def pin(folder: Path, name: str, version: str = "1") -> str:
    """Write a wheel, and say how the lock file names it."""
    path = write_wheel(folder, name, version)
    return f"{name}=={version} --hash=sha256:{hashlib.sha256(path.read_bytes()).hexdigest()}\n"


class Checkout:
    """A project of one runtime package, ``fruit``, and one test tool, ``knife``."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.wheels = root.parent / "wheels"
        self.wheels.mkdir()
        unread = shutil.ignore_patterns("__pycache__")
        for part in ("__init__.py", "bootstrap"):
            source, target = ROOT / "ripenroom" / part, root / "ripenroom" / part
            if source.is_dir():
                shutil.copytree(source, target, ignore=unread)
            else:
                target.parent.mkdir(parents=True)
                shutil.copy(source, target)
        (root / "pyproject.toml").write_text(STAND_IN, "utf-8")
        backend = BACKEND.format(write_wheel=inspect.getsource(write_wheel))
        (root / "backend.py").write_text(backend, "utf-8")
        self.lock(pin(self.wheels, "fruit"), pin(self.wheels, "knife"))

    def lock(self, to_run: str, to_test: str) -> None:
        text = f"{HEADINGS['run']}\n{to_run}{HEADINGS['test']}\n{to_test}{HEADINGS['bundle']}\n"
        (self.root / "constraints.txt").write_text(text, "utf-8")

    def prepare(self, part: str, interpreter: str = WITH_PIP) -> tuple[int, str]:
        """Exit code and complaint of preparing ``part``, with no index but our own wheels."""
        program = (
            "from ripenroom.bootstrap.environment import prepare, SetUpError\n"
            "import sys\n"
            f"try: prepare({part!r})\n"
            "except SetUpError as trouble: sys.exit(str(trouble))\n"
        )
        offline = {
            "PIP_NO_INDEX": "1",
            "PIP_FIND_LINKS": str(self.wheels),
            "PIP_CONFIG_FILE": "/dev/null",
        }
        done = subprocess.run(
            [interpreter, "-c", program],
            cwd=self.root,
            env=os.environ | offline,
            capture_output=True,
            text=True,
            check=False,
        )
        return done.returncode, done.stderr

    def installed(self) -> set[str]:
        """The distributions in the environment, as ``name-version``."""
        found = self.root.joinpath(".venv").glob("**/site-packages/*.dist-info")
        return {path.name.removesuffix(".dist-info") for path in found}


pytestmark = pytest.mark.xdist_group("environment")  # made once for all that look at it


@pytest.fixture
def checkout(tmp_path: Path) -> Checkout:
    return Checkout(tmp_path / "a checkout")  # with a space, as home folders have


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Checkout:
    """A checkout that is ready to run, set up where Python was told to write no bytecode."""
    made = Checkout(tmp_path_factory.mktemp("prepared") / "a checkout")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONDONTWRITEBYTECODE", "1")
        assert made.prepare("run") == (0, FIRST_WORDS)
    return made


@pytest.mark.long
def test_running_fetches_no_test_tools_and_a_second_start_nothing(prepared: Checkout) -> None:
    assert prepared.installed() == {"fruit-1", "ripenroom-1"}
    away = prepared.wheels.rename(prepared.root / "away")
    assert prepared.prepare("run") == (0, "")
    away.rename(prepared.wheels)


def test_bytecode_is_there_even_if_python_writes_none(prepared: Checkout) -> None:
    assert list(prepared.root.glob("ripenroom/bootstrap/__pycache__/environment.*.pyc"))
    assert list(prepared.root.glob(".venv/**/__pycache__/fruit.*.pyc"))


@pytest.mark.long
def test_testing_adds_the_tools_and_running_keeps_them(checkout: Checkout) -> None:
    for part in ("run", "test", "run"):
        code, complaint = checkout.prepare(part)
        assert code == 0, complaint
    assert checkout.installed() == {"fruit-1", "knife-1", "ripenroom-1"}
    shutil.rmtree(checkout.wheels)
    assert checkout.prepare("test") == (0, "")
    assert checkout.prepare("run") == (0, "")


@pytest.mark.long
def test_a_changed_lock_leaves_nothing_old_behind(checkout: Checkout) -> None:
    assert checkout.prepare("test")[0] == 0
    checkout.lock(pin(checkout.wheels, "fruit", "2"), "")
    code, complaint = checkout.prepare("test")
    assert code == 0, complaint
    assert checkout.installed() == {"fruit-2", "ripenroom-1"}


@pytest.mark.long
def test_a_changed_pyproject_installs_the_program_again(checkout: Checkout) -> None:
    assert checkout.prepare("run")[0] == 0
    before = checkout.root.joinpath(".venv", STAMP).read_text("utf-8")
    checkout.root.joinpath("pyproject.toml").write_text(STAND_IN + "# changed\n", "utf-8")
    assert checkout.prepare("run")[0] == 0
    after = checkout.root.joinpath(".venv", STAMP).read_text("utf-8")
    assert json.loads(after)["packages"] == json.loads(before)["packages"]
    assert json.loads(after)["program"] != json.loads(before)["program"]


@pytest.mark.long
def test_a_moved_checkout_is_set_up_anew(checkout: Checkout) -> None:
    assert checkout.prepare("run")[0] == 0
    moved = checkout.root.rename(checkout.root.with_name("moved"))
    checkout.root = moved
    assert checkout.prepare("run")[0] == 0
    config = moved.joinpath(".venv", "pyvenv.cfg").read_text("utf-8")
    assert "a checkout" not in config


def test_a_package_that_is_not_the_locked_one_is_refused(checkout: Checkout) -> None:
    checkout.lock(pin(checkout.wheels, "fruit"), "")
    with ZipFile(checkout.wheels / "fruit-1-py3-none-any.whl", "a") as wheel:
        wheel.writestr("more.py", "")
    code, complaint = checkout.prepare("run")
    assert code == 1
    assert "DO NOT MATCH THE HASHES" in complaint


@pytest.mark.long
def test_packages_out_of_reach_are_explained_and_a_later_try_succeeds(checkout: Checkout) -> None:
    away = checkout.wheels.rename(checkout.root / "away")
    code, complaint = checkout.prepare("run")
    assert code == 1
    assert complaint.splitlines()[-1].startswith("pip could not install the packages")
    assert "Traceback" not in complaint
    away.rename(checkout.wheels)
    assert checkout.prepare("run")[0] == 0
    assert checkout.installed() == {"fruit-1", "ripenroom-1"}


def test_an_environment_made_by_someone_else_is_left_alone(checkout: Checkout) -> None:
    theirs = checkout.root / ".venv" / "notes.txt"
    theirs.parent.mkdir()
    theirs.write_text("mine", "utf-8")
    code, complaint = checkout.prepare("run")
    assert code == 1
    assert "was not made by ripenroom" in complaint
    assert theirs.read_text("utf-8") == "mine"


def test_a_folder_that_cannot_be_made_is_named(checkout: Checkout) -> None:
    nowhere = checkout.root / ".venv"
    nowhere.symlink_to(checkout.root / "unplugged" / "drive")
    code, complaint = checkout.prepare("run")
    assert code == 1
    assert complaint.strip() == f"Cannot write {nowhere}: File exists."


def test_a_python_without_pip_is_told_how_to_get_it(checkout: Checkout, tmp_path: Path) -> None:
    bare = tmp_path / "bare"
    venv.EnvBuilder(with_pip=False, symlinks=os.name != "nt").create(bare)
    interpreter = bare / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    code, complaint = checkout.prepare("run", str(interpreter))
    assert code == 1
    assert "has no pip" in complaint
    assert not checkout.root.joinpath(".venv").exists()


SMALL = (
    f"# header\n{HEADINGS['run']}\nnumpy==2.0\n{HEADINGS['test']}\npytest==9.0\n"
    f"{HEADINGS['bundle']}\npacker==1.0\n"
)


def pins(part: Part) -> dict[str, Requirement]:
    """The pinned requirements of one part of the real file, by name."""
    lines = requirements(LOCK.read_text("utf-8"), part).splitlines()
    found = [Requirement(line.rstrip("\\ ")) for line in lines if re.match(r"\w", line)]
    return {canonicalize_name(pin.name): pin for pin in found}


def asked_for(part: Part) -> list[Requirement]:
    """What pyproject.toml wants for ``part``, the tools that install the package included."""
    project = tomllib.loads(PYPROJECT.read_text("utf-8"))
    wanted = project["build-system"]["requires"] + project["project"]["dependencies"]
    if part != "run":
        extra = {"test": "dev", "bundle": "bundle"}[part]
        wanted += project["project"]["optional-dependencies"][extra]
    return [Requirement(text) for text in wanted]


def test_running_needs_the_first_part_only() -> None:
    assert requirements(SMALL, "run").split() == ["numpy==2.0"]


def test_testing_and_bundling_need_that_and_their_own() -> None:
    assert requirements(SMALL, "test").split() == ["numpy==2.0", "pytest==9.0"]
    assert requirements(SMALL, "bundle").split() == ["numpy==2.0", "packer==1.0"]


@pytest.mark.parametrize("heading", HEADINGS.values())
def test_a_missing_heading_is_named(heading: str) -> None:
    with pytest.raises(ValueError, match=re.escape(heading)):
        requirements(SMALL.replace(heading, ""), "run")


@pytest.mark.parametrize("part", HEADINGS)
def test_the_lock_satisfies_pyproject(part: Part) -> None:
    locked = pins(part)
    for wanted in asked_for(part):
        (version,) = locked[canonicalize_name(wanted.name)].specifier
        assert wanted.specifier.contains(version.version), f"{wanted} against {version}"


def test_the_test_tools_are_not_fetched_to_run() -> None:
    run, test = pins("run"), pins("test")
    assert {"pytest", "ruff", "mypy"} <= test.keys() - run.keys()
    assert run.items() <= test.items()


def test_the_packager_is_fetched_to_bundle_only() -> None:
    run, bundle = pins("run"), pins("bundle")
    assert "pyinstaller" in bundle.keys() - run.keys() - pins("test").keys()
    assert run.items() <= bundle.items()


@pytest.mark.parametrize("part", ["test", "bundle"])
def test_every_pin_is_exact_and_has_hashes(part: Part) -> None:
    for entry in re.split(r"\n(?=\w)", requirements(LOCK.read_text("utf-8"), part).strip()):
        if entry.startswith("#"):
            continue
        assert re.match(r"[\w.-]+==[\w.]+", entry)
        assert re.search(r"--hash=sha256:[0-9a-f]{64}$", entry, re.MULTILINE), entry


def test_the_lock_names_no_address() -> None:
    assert not re.search(r"://|index|find-links", LOCK.read_text("utf-8"))
