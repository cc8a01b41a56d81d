"""Pictures of every page, to be looked at after a change: ``python -m tests.screenshots FOLDER``.

Draws the practice season (or ``--season FILE``, which is not changed) without a screen, in light
and dark and in three sizes, and writes a page of all pictures. ``--readme`` takes the two small
pictures of README.md instead, which lie in ``resources/pictures/``.
"""

import argparse
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QPoint, QRect, QSettings, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from ripenroom.paths import resource
from ripenroom.season.practice import write_demo
from ripenroom.window.batch.panel import BatchDialog
from ripenroom.window.crops.figure_dialog import FigureDialog
from ripenroom.window.crops.page import CropsPage
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.picks.page import PicksPage
from ripenroom.window.places.page import PlacesPage
from ripenroom.window.plan.page import PlanPage
from ripenroom.window.queue.decide import DecideDialog
from ripenroom.window.queue.page import QueuePage
from ripenroom.window.review.page import ReviewPage
from ripenroom.window.shell.menus import Appearance
from ripenroom.window.shell.page_stack import PAGES
from ripenroom.window.theme import Look
from ripenroom.window.today.page import TodayPage
from tests.gallery import Picture
from tests.gallery import write as write_gallery
from tests.pictured_dialogs import copies, dialogs, undone

SIZES = ((1024, 700), (1366, 850), (1920, 1200))
SMALLEST = (800, 600)
LOOKS = (Look.LIGHT, Look.DARK)
SHOWN_FIRST = ("queue", "today")
"""The pages that README.md shows."""
_PLAN_WITHIN_S = 60.0
_PATIENCE_S = 20.0
"""How long what is worked out beside the window may take."""


class Camera:
    """Takes pictures of one window in its present look and size."""

    def __init__(self, folder: Path, window: MainWindow) -> None:
        self._folder = folder
        self._window = window
        self.taken: list[Picture] = []

    def take(self, what: QWidget, name: str) -> None:
        """Grab ``what`` once everything that is due has been drawn."""
        for _ in range(5):
            QApplication.processEvents()
        look, (width, height) = self._window.appearance.look, self._window.size().toTuple()
        path = self._folder / f"{name}-{look.value.replace(' ', '-')}-{width}x{height}.png"
        if not what.grab().save(str(path)):
            raise OSError(f"{path} could not be written")
        self.taken.append(Picture(name, look, (width, height), path))

    def take_small(self, name: str) -> None:
        """One page as README.md shows it: two thirds as wide, without what differs each time."""
        desk = self._window.desk
        assert desk is not None
        desk.go_to(name)
        for _ in range(5):
            QApplication.processEvents()
        # Not what lies below the page: it says where the season is kept.
        foot = desk.mapTo(self._window, desk.rect().bottomRight())
        whole = self._window.grab(QRect(QPoint(0, 0), foot)).toImage()
        small = whole.scaledToWidth(
            whole.width() * 2 // 3, Qt.TransformationMode.SmoothTransformation
        ).convertToFormat(QImage.Format.Format_RGB888)
        path = self._folder / f"{name}.png"
        if not small.save(str(path), quality=0):
            raise OSError(f"{path} could not be written")

    def take_all(self) -> None:
        """Every page with its tabs, a refused pick, a tried set point, and the larger dialogs."""
        desk = self._window.desk
        assert desk is not None
        for name in PAGES:
            desk.go_to(name)
            self.take(self._window, name)
        self._ticked()
        self._plan_tabs()
        self._refused_pick()
        self._tried_set_point()
        self._tried_pull()
        self._curves()
        self._review()
        self._dialog(self._check_dialog, "check")
        self._dialog(self._figure_dialog, "figure")
        self._dialog(self._batch_dialog, "batch")
        self._dialog(self._decide_dialog, "decide")
        self._dialog(lambda: NewSeasonDialog(self._window), "new-season")
        self._dialog(self._settle_dialog, "after-market")
        self._dialog(self._expected_dialog, "expected-picks")
        self._other_dialogs()

    def _other_dialogs(self) -> None:
        session, window = self._window.session, self._window
        assert session is not None
        with tempfile.TemporaryDirectory() as scratch, undone(session):
            folder = Path(scratch)
            for name, make in dialogs(session, folder, self.wait_for, window):
                self._dialog(make, name)
            for name, make in copies(session, folder, window):
                self._dialog(make, name)

    def _ticked(self) -> None:
        """The day sheet with its first line done, and on the day before a market."""
        desk, session = self._window.desk, self._window.session
        assert desk is not None
        assert session is not None
        desk.go_to("today")
        page = desk.page("today")
        assert isinstance(page, TodayPage)
        page.sheet.rows[0].box.click()
        self.wait_for(lambda: not session.plans.working)
        self.take(self._window, "today-ticked")
        session.season.undo()
        now = session.season.now()
        session.season.read_as_on(now + timedelta(days=1))
        session.plans.again()
        self.wait_for(lambda: not session.plans.working)
        self.take(self._window, "today-before-market")
        session.season.read_as_on(now)
        session.plans.again()
        self.wait_for(lambda: not session.plans.working)

    def _plan_tabs(self) -> None:
        desk = self._window.desk
        assert desk is not None
        desk.go_to("plan")
        page = desk.page("plan")
        assert isinstance(page, PlanPage)
        advice = page.advice

        def advised() -> bool:
            return not (advice.set_points.working or advice.helps.working)

        for tab, name in ((page.lines, "plan-crates"), (advice, "plan-advice")):
            page.tabs.setCurrentWidget(tab)
            self.wait_for(advised)
            self.take(self._window, name)
        page.tabs.setCurrentWidget(page.overview)

    def wait_for(self, done: Callable[[], bool]) -> None:
        """Let the window go on until something is done."""
        end = time.monotonic() + _PLAN_WITHIN_S
        while not done():
            if time.monotonic() > end:
                raise TimeoutError("what is worked out beside the window took too long")
            QApplication.processEvents()
            time.sleep(0.01)

    def _refused_pick(self) -> None:
        desk = self._window.desk
        assert desk is not None
        desk.go_to("picks")
        page = desk.page("picks")
        assert isinstance(page, PicksPage)
        fields = page.form.fields
        pawpaw = next(i for i in range(fields.crop.count()) if fields.crop.itemText(i) == "Pawpaw")
        fields.crop.setCurrentIndex(pawpaw)
        fields.readings.line.setText("12 11.5 13")
        fields.readings.unit_choice.choose("kgf")
        fields.count.setText("40")
        page.form.add()
        self.take(self._window, "picks-refused")
        fields.clear_what_differs()
        page.form.board.clear()

    def _tried_set_point(self) -> None:
        desk = self._window.desk
        assert desk is not None
        desk.go_to("places")
        page = desk.page("places")
        assert isinstance(page, PlacesPage)
        control = next(iter(page.lines.values())).control
        control.slider.setValue(control.slider.value() + 10)
        self.take(self._window, "places-tried")
        control.drop()

    def wait_for_plan(self) -> None:
        """Let the plan of the season be made, so that pages show it."""
        session = self._window.session
        assert session is not None
        session.plans.begin()
        self.wait_for(lambda: session.plans.plan is not None and not session.plans.working)

    def _queue(self) -> QueuePage:
        desk = self._window.desk
        assert desk is not None
        desk.go_to("queue")
        page = desk.page("queue")
        assert isinstance(page, QueuePage)
        return page

    def _tried_pull(self) -> None:
        page = self._queue()
        scene = page.canvas.scene
        assert scene is not None
        for line in scene.order.tolist():
            pulls = [way for way in scene.ways_of(line) if way.line.steps and not way.written]
            if pulls:
                page.canvas.choose(line, pulls[0])
                break
        page.canvas.hand.shift_pull(1)
        self.take(self._window, "queue-tried")
        page.canvas.hand.abandon()

    def _decide_dialog(self) -> QWidget:
        page = self._queue()
        batch_id = page.canvas.selected_batch()
        assert batch_id is not None
        return DecideDialog(page.session, batch_id, page.canvas.chosen_way(), self._window)

    def _crops(self) -> CropsPage:
        desk = self._window.desk
        assert desk is not None
        desk.go_to("crops", "pawpaw")
        page = desk.page("crops")
        assert isinstance(page, CropsPage)
        return page

    def _curves(self) -> None:
        view = self._crops().view
        view.tabs.setCurrentWidget(view.published)
        self.wait_for(lambda: bool(view.published.groups))
        self.take(self._window, "crops-published")
        for tab, name in ((view.curves, "crops-curves"), (view.background, "crops-sources")):
            view.tabs.setCurrentWidget(tab)
            self.take(self._window, name)
        view.tabs.setCurrentWidget(view.figures)

    def _review(self) -> None:
        desk, session = self._window.desk, self._window.session
        assert desk is not None
        assert session is not None
        session.season.learn()
        desk.go_to("review")
        page = desk.page("review")
        assert isinstance(page, ReviewPage)
        page.tabs.setCurrentWidget(page.forecasts)
        until = time.monotonic() + _PATIENCE_S
        while page.forecasts.calibration is None and time.monotonic() < until:
            QApplication.processEvents()
        for tab, name in ((page.forecasts, "review-forecasts"), (page.balance, "review-balance")):
            page.tabs.setCurrentWidget(tab)
            self.take(self._window, name)
        page.tabs.setCurrentWidget(page.learned)

    def _check_dialog(self) -> QWidget:
        session = self._window.session
        assert session is not None
        dialog = CheckDialog(session, session.season.worth_checking()[0], None, self._window)
        for feel in (1, 1, 2):
            dialog.counting.hand.taps[feel].click()
        return dialog

    def _figure_dialog(self) -> QWidget:
        view = self._crops().view
        view.figures.select(("firmness", "ready"))
        line = view.figures.current()
        assert line is not None
        return FigureDialog(view.session, "pawpaw", line, view.units, self._window)

    def _batch_dialog(self) -> QWidget:
        session = self._window.session
        assert session is not None
        projection = session.projection()
        left = [i for i, n in zip(projection.batch_ids, projection.left, strict=True) if n > 0]
        return BatchDialog(session, left[len(left) // 2], self._window)

    def _settle_dialog(self) -> QWidget:
        session = self._window.session
        assert session is not None
        days = session.season.book.market_days.values()
        last = max((day for day in days if day.settled_at), key=lambda day: day.starts_at)
        return SettleDialog(session, last.id, self._window)

    def _expected_dialog(self) -> QWidget:
        session = self._window.session
        assert session is not None
        return ExpectedPicksDialog(session, self._window)

    def _dialog(self, make: Callable[[], QWidget], name: str) -> None:
        dialog = make()
        size = self._window.size()
        dialog.resize(dialog.size().boundedTo(size))
        dialog.show()
        self.take(dialog, name)
        dialog.close()
        dialog.deleteLater()


def main(arguments: list[str]) -> int:
    """Take the pictures; returns the exit code."""
    parser = argparse.ArgumentParser(description="Take pictures of every page.")
    parser.add_argument("folder", type=Path, nargs="?")
    parser.add_argument("--readme", action="store_true", help="the pictures of README.md alone")
    parser.add_argument("--season", type=Path, help="a season file instead of the practice season")
    parser.add_argument("--text", type=int, default=100, help="text size in per cent")
    chosen = parser.parse_args(arguments)
    if (chosen.folder is None) is not chosen.readme:
        parser.error("give a folder, or --readme")
    folder: Path = chosen.folder or resource("pictures")
    folder.mkdir(parents=True, exist_ok=True)
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "season.ripenroom"
        if chosen.season is None:
            write_demo(path)
        else:
            shutil.copyfile(chosen.season, path)
        settings = QSettings(str(Path(scratch) / "settings.ini"), QSettings.Format.IniFormat)
        settings.setValue("text_percent", chosen.text)
        window = MainWindow(settings, Appearance(app, settings))
        camera = Camera(folder, window)
        window.resize(*SIZES[0])
        window.show()
        if not chosen.readme:
            camera.take(window, "welcome")
        if not window.open_path(path):
            print(window.voice.text, file=sys.stderr)
            return 3
        camera.wait_for_plan()
        if chosen.readme:
            window.appearance.set_look(Look.LIGHT)
            for name in SHOWN_FIRST:
                camera.take_small(name)
            window.close()
            return 0
        for look in LOOKS:
            window.appearance.set_look(look)
            for size in SIZES if look is Look.DARK else (SMALLEST, *SIZES):
                window.resize(*size)
                camera.take_all()
        window.appearance.set_look(Look.HIGH_CONTRAST)
        window.resize(*SIZES[1])
        camera.take_all()
        window.close()
    print(
        f"{len(camera.taken)} pictures; look through them in {write_gallery(folder, camera.taken)}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
