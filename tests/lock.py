"""Writes ``constraints.txt``: every package the program and its tests use, with hashes.

    python -m tests.lock             adds what pyproject.toml newly asks for, keeps the rest
    python -m tests.lock --upgrade   takes the newest versions that pyproject.toml allows

Needs ``uv`` on the path. The file has three parts, so that running the program fetches neither
test tools nor the packager, and it names no registry: pip asks whichever one it is set up to use.
"""

import argparse
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Final

from ripenroom.bootstrap.environment import HEADINGS, LOCK, PYPROJECT, Part

HEADER = """\
# Exact versions and hashes for Python 3.11 and later on Linux, macOS and Windows.
# Written by "python -m tests.lock" from pyproject.toml; do not edit by hand.
"""


def resolve(*extras: str, known: str, upgrade: bool) -> str:
    """The packages of pyproject.toml with ``extras``, in pip's own format.

    ``known`` is an earlier answer, whose versions are kept unless ``upgrade``. What builds the
    package is among them, since installing the program itself must fetch nothing unpinned.
    """
    build_tools = tomllib.loads(PYPROJECT.read_text("utf-8"))["build-system"]["requires"]
    with tempfile.TemporaryDirectory() as folder:
        answer = Path(folder, "answer.txt")
        answer.write_text(known, "utf-8")
        command = ["uv", "pip", "compile", str(PYPROJECT), "-", "--output-file", str(answer)]
        # One version for every Python where there is one: a fault seen on one is seen on all.
        command += ["--universal", "--python-version", "3.11", "--fork-strategy", "fewest"]
        command += ["--generate-hashes", "--no-header", "--no-annotate", "--no-emit-index-url"]
        command += [f"--extra={extra}" for extra in extras] + ["--upgrade"] * upgrade
        subprocess.run(
            command, input="\n".join(build_tools), text=True, check=True, stdout=subprocess.DEVNULL
        )
        return answer.read_text("utf-8")


def entries(requirements: str) -> list[str]:
    """Each requirement with its hashes, as the lines it stands on."""
    return [e.strip() + "\n" for e in re.split(r"\n(?=\S)", requirements) if "==" in e]


def name_of(entry: str) -> str:
    """The package that an entry is about."""
    return entry.partition("==")[0]


EXTRAS: Final[dict[Part, list[str]]] = {"run": [], "test": ["dev"], "bundle": ["bundle"]}
"""What pyproject.toml calls the packages that a part needs besides those to run."""


def main() -> None:
    """Resolve the parts together, so that no package has two versions, and write them."""
    parser = argparse.ArgumentParser(prog="python -m tests.lock", description=__doc__)
    parser.add_argument("--upgrade", action="store_true", help="take the newest allowed versions")
    upgrade = parser.parse_args().upgrade
    known = LOCK.read_text("utf-8") if LOCK.exists() else ""
    everything = resolve("dev", "bundle", known=known, upgrade=upgrade)
    text, to_run = HEADER, set[str]()
    for part, extras in EXTRAS.items():
        wanted = {
            name_of(entry) for entry in entries(resolve(*extras, known=everything, upgrade=False))
        }
        # A package that only some Pythons run with may be tested with on all: it is locked for all.
        held = [entry for entry in entries(everything) if name_of(entry) in wanted - to_run]
        text += HEADINGS[part] + "\n" + "".join(held)
        sys.stdout.write(f"{LOCK.name}: {len(held)} entries to {part}\n")
        to_run = to_run or wanted
    LOCK.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
