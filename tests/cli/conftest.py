"""The command line as it is called, within this process."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from ripenroom.cli import main
from tests.cli.launcher import Launcher


@pytest.fixture(autouse=True)
def answers(worked_out_once: None) -> None:
    """Plans and advice of the practice season are worked out once for all tests here."""


@dataclass(frozen=True)
class Answer:
    """What a call gave back and printed."""

    code: int
    out: str
    err: str

    def said_in_one_line(self, *words: str) -> bool:
        """Whether it failed with nothing but one line, which holds the words."""
        lines = self.err.splitlines()
        assert len(lines) == 1, self.err
        assert self.err.startswith("ripenroom: ")
        assert "Traceback" not in self.err
        for word in words:
            assert word in self.err, self.err
        return self.out == ""


Call = Callable[..., Answer]


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str]) -> Call:
    """Runs the command with arguments; paths are turned into text."""

    def run(*arguments: object) -> Answer:
        try:
            code = main([str(argument) for argument in arguments])
        except SystemExit as ended:
            code = int(ended.code or 0)
        printed = capsys.readouterr()
        return Answer(code, printed.out, printed.err)

    return run


@pytest.fixture(scope="session")
def launcher() -> Iterator[Launcher]:
    """Runs commands in processes of their own."""
    made = Launcher()
    yield made
    made.close()


@pytest.fixture
def season(written_practice: Path, tmp_path: Path) -> Path:
    """A practice season of this test's own."""
    return Path(shutil.copyfile(written_practice, tmp_path / "farm.ripenroom"))


@pytest.fixture
def few_season(written_few: Path, tmp_path: Path) -> Path:
    """A practice season of this test's own in which little is to be decided."""
    return Path(shutil.copyfile(written_few, tmp_path / "few.ripenroom"))
