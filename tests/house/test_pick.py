"""The way of a pick is recorded from the real window."""

from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from tests.house.pick import from_pick_to_queue


@pytest.mark.long
def test_the_way_goes_from_the_form_through_the_file_to_the_painted_queue(
    qapp: QApplication, written_practice: Path, tmp_path: Path
) -> None:
    before = written_practice.read_bytes()
    passage = from_pick_to_queue(qapp, written_practice, tmp_path)
    assert {"window", "wording", "season", "records", "science", "texts.py", "days.py"} == {
        file.split("/")[0] for file in passage.files
    }
    passed = {function for _file, function in passage.functions}
    # Its two ends: what Enter calls, and the queue's own paint event.
    assert "PickForm.keyPressEvent" in passed
    assert "QueuePicture.paintEvent" in passed
    assert not any(file.startswith(("exchange/", "cli/", "planning/")) for file in passage.files)
    assert "self._book" in {name.name for name in passage.names}
    assert written_practice.read_bytes() == before
