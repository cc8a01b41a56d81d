"""Printing, whoever reads it."""

import io
import os
import sys

import pytest

from ripenroom.cli.answer import say_aside
from ripenroom.cli.output import Unprinted, printing


def test_letters_without_a_sign_are_shown_by_number(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    with printing():
        print("Kühlraum")
    assert raw.getvalue() == b"K\\xfchlraum" + os.linesep.encode()


def test_a_reader_that_has_gone_is_found_out_at_the_end_of_the_block(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    writer = os.fdopen(theirs, "w")
    monkeypatch.setattr(sys, "stdout", writer)
    with pytest.raises(BrokenPipeError), printing():
        print("never heard")
    writer.close()  # what was left went nowhere: no second complaint


def test_a_program_without_output_prints_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", None)
    with printing():
        print("never heard")


def test_no_name_moves_the_cursor_or_colours_the_screen(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with printing():
        print("Cold\x1b[2J room\x9b1m\r\tKühlraum\x07")
    say_aside("Old \x1b]0;fridge\x07")
    printed = capsys.readouterr()
    assert printed.out == "Cold\ufffd[2J room\ufffd1m\ufffd\tKühlraum\ufffd\n"
    assert printed.err == "ripenroom: Old \ufffd]0;fridge\ufffd\n"


def test_one_full_stop_ends_what_was_done() -> None:
    said = str(Unprinted("2 records came. Undo takes that back.", "No space left on device"))
    assert "takes that back. That could not be printed: No space left on device." in said
    assert ".." not in said
