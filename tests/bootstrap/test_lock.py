"""The lock file: its parts, and that it holds what pyproject.toml asks for and no address."""

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from ripenroom.bootstrap.lock import HEADINGS, LOCK, PYPROJECT, Part, requirements

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
