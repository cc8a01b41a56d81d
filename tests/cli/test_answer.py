"""Exit codes, and the one line."""

import pytest

from ripenroom.cli.answer import say_file_refused, say_refused, say_stopped
from ripenroom.records.file import FileRefusal
from ripenroom.records.refusal import Refusal


@pytest.mark.parametrize(
    ("kind", "code"),
    [
        ("missing", 2),
        ("busy", 2),
        ("unwritable", 2),
        ("full", 2),
        ("foreign", 3),
        ("newer", 3),
        ("damaged", 3),
    ],
)
def test_a_file_that_is_no_good_is_three_and_bad_use_is_two(
    kind: str, code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert say_file_refused(FileRefusal(kind, "farm is not\n\tgood")) == code  # type: ignore[arg-type]
    assert capsys.readouterr().err == "ripenroom: farm is not good\n"


def test_a_refusal_names_its_field_if_it_has_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert say_refused(Refusal("count", "{n} is too many.", n=7)) == 2
    assert say_refused(Refusal("", "No.")) == 2
    assert capsys.readouterr().err == "ripenroom: count: 7 is too many.\nripenroom: No.\n"


def test_what_stopped_the_system_is_told_with_its_reason(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert say_stopped(OSError(28, "No space left on device", "/mnt/farm")) == 2
    assert say_stopped(OSError("broken")) == 2
    assert capsys.readouterr().err == (
        "ripenroom: /mnt/farm cannot be used: No space left on device.\n"
        "ripenroom: the output cannot be used: broken.\n"
    )
