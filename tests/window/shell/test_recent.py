"""Season files opened lately."""

from pathlib import Path

from PySide6.QtCore import QSettings

from ripenroom.window.shell.navigation import Recent


def test_the_latest_is_first_and_each_is_there_once(settings: QSettings, tmp_path: Path) -> None:
    paths = [tmp_path / f"{name}.ripenroom" for name in "abc"]
    recent = Recent(settings)
    for path in paths:
        path.touch()
        recent.remember(path)
    recent.remember(paths[0])
    settings.sync()
    again = Recent(QSettings(settings.fileName(), QSettings.Format.IniFormat))
    assert again.paths() == [path.resolve() for path in (paths[0], paths[2], paths[1])]


def test_one_path_and_no_path_come_back(settings: QSettings, tmp_path: Path) -> None:
    recent = Recent(settings)
    assert recent.paths() == []
    path = tmp_path / "one, with a comma.ripenroom"
    path.touch()
    recent.remember(path)
    settings.sync()
    again = Recent(QSettings(settings.fileName(), QSettings.Format.IniFormat))
    assert again.paths() == [path.resolve()]


def test_files_that_are_gone_are_left_out(settings: QSettings, tmp_path: Path) -> None:
    recent = Recent(settings)
    path = tmp_path / "gone.ripenroom"
    path.touch()
    recent.remember(path)
    path.unlink()
    assert recent.paths() == []
