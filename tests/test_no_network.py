"""The program says that it contacts no network, so it must not."""

import shutil
import subprocess
import sys
from pathlib import Path

_WATCHED = """
import os, sys
os.environ["QT_QPA_PLATFORM"] = "offscreen"
asked = []
def watch(event, arguments):
    if event.startswith("socket.") and event != "socket.gethostname":
        asked.append((event, arguments))
    if event == "import" and arguments[0] == "PySide6.QtNetwork":
        asked.append((event, arguments[0]))
sys.addaudithook(watch)
from pathlib import Path
from ripenroom.cli import main
season = Path(sys.argv[1])
assert main(["windows", str(season)]) == 0
for name in ("out.xlsx", "out.json", "out.ics"):
    assert main(["export", str(season), str(season.with_name(name))]) == 0
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.menus import Appearance
from ripenroom.window.shell.page_stack import PAGES
application = QApplication([])
settings = QSettings(str(season.with_suffix(".ini")), QSettings.Format.IniFormat)
window = MainWindow(settings, Appearance(application, settings))
window.show()
assert window.open_path(season)
for page in PAGES:
    window.desk.go_to(page)
    application.processEvents()
window.close()
assert not asked, asked
print("quiet")
"""


def test_neither_command_nor_window_touches_the_network(
    written_practice: Path, tmp_path: Path
) -> None:
    season = shutil.copyfile(written_practice, tmp_path / "farm.ripenroom")
    done = subprocess.run(
        [sys.executable, "-c", _WATCHED, str(season)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.endswith("quiet\n")
