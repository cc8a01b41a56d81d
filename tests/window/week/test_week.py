"""A market week from first start, by keys alone and by mouse alone, and what each step takes.

The table stands in DEVELOPERS.md, "A week in keys and clicks"; a step that takes more or less than
it says there fails, as does one that can no longer be done.
"""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, time, timedelta
from itertools import product
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QDialog, QFileDialog
from pytestqt.qtbot import QtBot

from ripenroom.records.season import SeasonDetails
from ripenroom.season.season import Season
from ripenroom.season.state import Changed
from ripenroom.window.copies.damaged_dialog import DamagedDialog
from ripenroom.window.forms import new_season
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.forms.new_season import NewSeasonDialog
from ripenroom.window.forms.pack import PackDialog
from ripenroom.window.forms.place import PlaceDialog
from ripenroom.window.forms.settle_market import SettleDialog
from ripenroom.window.import_table.dialog import TableInDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.market_days.page import MarketDaysPage
from ripenroom.window.paper.output import PaperDialog
from ripenroom.window.picks.batch_table import Column
from ripenroom.window.picks.page import PicksPage
from ripenroom.window.places.page import PlacesPage
from ripenroom.window.session import Session
from ripenroom.window.today.page import TodayPage
from tests.draws import first_every_day
from tests.window.week.hands import Hand, Keyboard, Mouse, settle

DEVELOPERS = Path(__file__).parents[3] / "DEVELOPERS.md"


class Week:
    """The farm, its clock, and where files are asked for."""

    def __init__(self, window: MainWindow, folder: Path, patch: pytest.MonkeyPatch) -> None:
        self.window, self.folder = window, folder
        today = datetime.now(UTC)
        monday = (today + timedelta(days=7 - today.weekday())).date()
        self.now = datetime.combine(monday, time(8), UTC)
        self.file = folder / "farm.ripenroom"
        self.hand: Hand

        def begin(path: Path, details: SeasonDetails) -> Season:
            return Season.create(path, details, lambda: self.now)

        def asked(*_asked: object) -> tuple[str, str]:
            # The name is there already, or is clicked on: once more in either hand.
            if isinstance(self.hand, Mouse):
                self.hand.tally.clicks += 1
            else:
                self.hand.tally.keys += 1
            return str(self.file), ""

        patch.setattr(new_season, "begin_season", begin)
        patch.setattr(QFileDialog, "getSaveFileName", asked)
        patch.setattr(QFileDialog, "getOpenFileName", asked)

    @property
    def session(self) -> Session:
        """The open season."""
        assert self.window.session is not None
        return self.window.session

    def until(self, days: int, hour: int = 8) -> None:
        """Let the clock go on to another day of the week, Monday being none."""
        monday = self.now.date() - timedelta(days=self.now.weekday())
        self.now = datetime.combine(monday + timedelta(days=days), time(hour), UTC)
        self.session.changed.emit(Changed(clock=True))
        self.plan()

    def plan(self) -> None:
        """Wait until the plan that is being made is there, and what to check for it."""
        plans = self.session.plans
        plans.begin()
        self.hand.qtbot.waitUntil(
            lambda: plans.plan is not None and not (plans.working or plans.advising),
            timeout=60_000,
        )
        settle()


@pytest.fixture
def american() -> Iterator[None]:
    before = QLocale()
    QLocale.setDefault(QLocale("en_US"))
    yield
    QLocale.setDefault(before)


@pytest.fixture
def week(
    american: None, empty_window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Week:
    return Week(empty_window, tmp_path, monkeypatch)


def written_down(by: str) -> dict[str, str]:
    """What each step takes as DEVELOPERS.md says it, by the name of the step."""
    text = DEVELOPERS.read_text(encoding="utf-8")
    section = text.partition("\n## A week in keys and clicks\n")[2].partition("\n## ")[0]
    lines = [line.strip("| ").split(" | ") for line in section.splitlines() if line[:1] == "|"]
    column = lines[0].index({"keys": "Keyboard", "mouse": "Mouse"}[by])
    return {line[0]: line[column] for line in lines[2:]}


HANDS: dict[str, Callable[[QtBot, MainWindow], Hand]] = {"keys": Keyboard, "mouse": Mouse}


USUAL = 100, (1024, 700)
SIZES = ((1024, 700), (1366, 850), (1920, 1200))
OTHERS = [
    (percent, size, by)
    for percent, size, by in product((150, 100), SIZES, ("mouse", "keys"))
    if (percent, size) != USUAL
]


@pytest.mark.parametrize("by", first_every_day(list(HANDS)))
def test_a_week(qtbot: QtBot, week: Week, by: str) -> None:
    hand = live_through(qtbot, week, by)
    counted = {name: tally.shown for name, tally in hand.steps.items()}
    assert counted == written_down(by)
    assert not any(tally.unfolded for tally in hand.steps.values())


@pytest.mark.long
@pytest.mark.parametrize("case", first_every_day(OTHERS), ids=str)
def test_a_week_in_larger_letters_and_windows(
    qtbot: QtBot, week: Week, case: tuple[int, tuple[int, int], str]
) -> None:
    """No step takes more than in the usual window; to unfold the pages, where they are folded,
    comes to that."""
    percent, size, by = case
    week.window.appearance.set_text_percent(percent)
    week.window.resize(*size)
    settle()
    hand = live_through(qtbot, week, by)
    usual = written_down(by)
    assert list(hand.steps) == list(usual)
    more = {
        n: (t.shown, usual[n]) for n, t in hand.steps.items() if taken(t.shown) > taken(usual[n])
    }
    assert more == {}
    folded = percent == 150 and size == SIZES[0] and by == "mouse"
    assert any(tally.unfolded for tally in hand.steps.values()) is folded


def taken(shown: str) -> tuple[int, int]:
    """Keys and clicks, and letters, as :attr:`Tally.shown` has them."""
    done, _, letters = shown.partition(" + ")
    return int(done), int(letters or 0)


def live_through(qtbot: QtBot, week: Week, by: str) -> Hand:
    """All of the week, by one hand."""
    window = week.window
    hand = week.hand = HANDS[by](qtbot, window)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    settle()
    with hand.step("Start a season"):
        start_season(hand, week)
    with hand.step("First pick, by feel"):
        first_pick(hand, week)
    with hand.step("A pick weighed in pounds"):
        weighed_pick(hand, week)
    with hand.step("Another place"):
        another_place(hand, week)
    for wanted in ("by weight", "by box", "by fruit"):
        with hand.step(f"Market day, sold {wanted}"):
            market_day(hand, week, wanted)
    for day in (1, 2, 3):
        week.until(day, 18)
        with hand.step("A pick in the week"):
            later_pick(hand, week, "0 12 6 0")
    with hand.step("A check of 6 fruit"):
        check(hand, week)
    with hand.step("A thermostat turned"):
        thermostat(hand, week)
    week.plan()
    with hand.step("A move ticked on Today"):
        tick(hand, week)
    week.until(4, 19)
    with hand.step("Packed for Saturday"):
        pack(hand, week)
    week.until(5, 14)
    with hand.step("Sales of Saturday"):
        sales(hand, week)
    with hand.step("A table imported"):
        table(hand, week)
    with hand.step("The last two steps undone"):
        undo(hand, week)
    with hand.step("An empty file opened"):
        empty_file(hand, week)
    with hand.step("Today as PDF"):
        print_today(hand, week)
    return hand


def entry(week: Week, text: str) -> QAction:
    """The menu entry that begins with a text."""
    for action in week.window.menuBar().findChildren(QAction):
        if action.text().replace("&", "").startswith(text):
            return action
    raise AssertionError(text)


def picks_page(week: Week) -> PicksPage:
    assert week.window.desk is not None
    page = week.window.desk.page("picks")
    assert isinstance(page, PicksPage)
    return page


def start_season(hand: Hand, week: Week) -> None:
    def fill_in(dialog: QDialog) -> None:
        assert isinstance(dialog, NewSeasonDialog)
        assert dialog.details.units.value() == "us"
        assert dialog.details.currency.text() == "USD"
        hand.type(dialog.grows.search, "paw")
        hand.key(Qt.Key.Key_Return)
        hand.type(dialog.details.name, "Hill farm")
        hand.enter(dialog.begin_button)

    hand.dialog(lambda: hand.push(week.window.welcome.buttons[0]), fill_in)
    season = week.session.season.book.season
    assert season.units == "us"
    assert season.currency == "USD"
    assert len(week.session.season.book.places) == 2


def first_pick(hand: Hand, week: Week) -> None:
    hand.page("picks")
    page = picks_page(week)
    hand.type(page.form.fields.feel.line, "0 9 0 0")
    hand.enter(page.form.add_button)
    (batch,) = week.session.season.book.batches.values()
    assert (batch.crop, batch.count) == ("pawpaw", 9)


def weighed_pick(hand: Hand, week: Week) -> None:
    page = picks_page(week)
    hand.type(page.form.fields.feel.line, "0 20 0 0")
    hand.type(page.form.fields.weight, "14")
    assert "20 felt of about 42" in page.form.sentence.text()
    hand.enter(page.form.add_button)
    assert len(week.session.season.book.batches) == 2
    table, column = page.list.table, Column.LEFT
    said = {table.model().index(row, column).data() for row in range(table.model().rowCount())}
    assert said == {"9", "42"}


def another_place(hand: Hand, week: Week) -> None:
    hand.page("places")
    assert week.window.desk is not None
    page = week.window.desk.page("places")
    assert isinstance(page, PlacesPage)

    def fill_in(dialog: QDialog) -> None:
        assert isinstance(dialog, PlaceDialog)
        hand.type(dialog.name, "Cellar")
        hand.enter(dialog.action_button)

    hand.dialog(lambda: hand.push(page.add_button), fill_in)
    assert len(week.session.season.book.places) == 3


def market_day(hand: Hand, week: Week, wanted: str) -> None:
    hand.page("market_days")
    assert week.window.desk is not None
    page = week.window.desk.page("market_days")
    assert isinstance(page, MarketDaysPage)
    name, day, amount, price = {
        "by weight": ("Green market", "sat", "10 lb", "4.50"),
        "by box": ("Shop", "sun", "2 boxes", "30"),
        "by fruit": ("Stand", "fri", "12", "2"),
    }[wanted]

    def fill_in(dialog: QDialog) -> None:
        assert isinstance(dialog, MarketDayDialog)
        (row,) = dialog.rows
        hand.type(dialog.name, name)
        hand.type(dialog.on.line, day)
        hand.type(row.sold.amount, amount)
        if wanted == "by box":
            hand.type(row.sold.per_box, "15")
        hand.type(row.price, price)
        hand.enter(dialog.action_button)

    hand.dialog(lambda: hand.push(page.add_button), fill_in)
    days = {d.name: d.starts_at.weekday() for d in week.session.season.book.market_days.values()}
    assert days[name] == {"sat": 5, "sun": 6, "fri": 4}[day]
    settle()


def later_pick(hand: Hand, week: Week, felt: str) -> None:
    before = len(week.session.season.book.batches)
    hand.page("picks")
    page = picks_page(week)
    hand.type(page.form.fields.feel.line, felt)
    hand.enter(page.form.add_button)
    assert len(week.session.season.book.batches) > before


def check(hand: Hand, week: Week) -> None:
    page = picks_page(week)

    def fill_in(dialog: QDialog) -> None:
        assert isinstance(dialog, CheckDialog)
        for feel in (1, 1, 2, 1, 2, 1):
            if isinstance(hand, Keyboard):
                hand.write(str(feel + 1))
            else:
                hand.push(dialog.counting.hand.taps[feel])
        hand.enter(dialog.action_button)

    if isinstance(hand, Keyboard):
        hand.key(Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
        hand.key(Qt.Key.Key_Down)
    hand.line(page.list.table, 1)
    button = page.list._tasks[0].button
    hand.dialog(lambda: hand.act(button, Qt.Key.Key_C), fill_in)
    assert len(week.session.season.book.checks) == 1


def thermostat(hand: Hand, week: Week) -> None:
    hand.page("places")
    assert week.window.desk is not None
    page = week.window.desk.page("places")
    assert isinstance(page, PlacesPage)
    line = next(line for line in page.lines.values() if "Cold" in line.control.box.accessibleName())
    before = len(week.session.season.book.set_points)
    if isinstance(hand, Mouse):
        hand.drag(line.control.slider, 41)
    else:
        hand.type(line.control.box, "41")
        hand.key(Qt.Key.Key_Return)
    assert len(week.session.season.book.set_points) == before + 1


def tick(hand: Hand, week: Week) -> None:
    hand.page("today")
    assert week.window.desk is not None
    page = week.window.desk.page("today")
    assert isinstance(page, TodayPage)
    moves = len(week.session.season.book.moves)
    open_rows = (row for row in page.sheet.rows if row.box.isEnabled())
    row = next(row for row in open_rows if row.box.accessibleName().startswith("To "))
    if isinstance(hand, Mouse):
        hand.click(row.box)
    else:
        hand.reach(row.box)
        hand.key(Qt.Key.Key_Space)
    assert len(week.session.season.book.moves) == moves + 1


def market_page(hand: Hand, week: Week, name: str) -> MarketDaysPage:
    hand.page("market_days")
    assert week.window.desk is not None
    page = week.window.desk.page("market_days")
    assert isinstance(page, MarketDaysPage)
    hand.line(page.view, next(n for n, line in enumerate(page.model.rows) if line.day.name == name))
    return page


def pack(hand: Hand, week: Week) -> None:
    page = market_page(hand, week, "Green market")

    def fill_in(dialog: QDialog) -> None:
        assert isinstance(dialog, PackDialog)
        assert dialog.rows
        hand.type(dialog.rows[0].taken, "6")
        hand.enter(dialog.action_button)

    hand.dialog(lambda: hand.act(page.pack_button, Qt.Key.Key_K), fill_in)


def sales(hand: Hand, week: Week) -> None:
    page = market_page(hand, week, "Green market")

    def fill_in(dialog: QDialog) -> None:
        assert isinstance(dialog, SettleDialog)
        hand.push(dialog.all_sold)
        hand.enter(dialog.action_button)

    hand.dialog(lambda: hand.act(page.settle_button, Qt.Key.Key_A), fill_in)
    settled = [d for d in week.session.season.book.market_days.values() if d.settled_at]
    assert [day.name for day in settled] == ["Green market"]


def table(hand: Hand, week: Week) -> None:
    week.file = week.folder / "picks.csv"
    day = f"{week.now - timedelta(days=1):%m/%d/%Y}"
    week.file.write_text(
        f"Fruit,Feel,Picked,Where\nPawpaw,0 5 5 0,{day},Cold room\nPawpaw,0 8 0 0,{day},Counter\n"
    )
    before = len(week.session.season.book.batches)

    def fill_in(dialog: QDialog) -> None:
        assert isinstance(dialog, TableInDialog)
        hand.enter(dialog.take_button)

    hand.dialog(lambda: hand.menu(entry(week, "Import a table")), fill_in)
    assert len(week.session.season.book.batches) >= before + 2


def undo(hand: Hand, week: Week) -> None:
    assert week.window.desk is not None
    for _ in range(2):
        if isinstance(hand, Mouse):
            hand.click(week.window.desk.undo_button)
        else:
            hand.menu(week.window.menus.undo)
    settled = [d for d in week.session.season.book.market_days.values() if d.settled_at]
    assert not settled


def empty_file(hand: Hand, week: Week) -> None:
    week.file = week.folder / "empty.ripenroom"
    week.file.write_bytes(b"")

    def look(dialog: QDialog) -> None:
        assert isinstance(dialog, DamagedDialog)
        if isinstance(hand, Mouse):
            hand.push(dialog.close_button)
        else:
            hand.key(Qt.Key.Key_Escape)

    hand.dialog(lambda: hand.menu(entry(week, "Open…")), look)
    assert "empty.ripenroom" not in week.window.voice.text  # it is said, and covers no page
    assert week.session.season.book.season.name == "Hill farm"


def print_today(hand: Hand, week: Week) -> None:
    week.file = week.folder / "today.pdf"
    hand.page("today")
    assert week.window.desk is not None
    page = week.window.desk.page("today")
    assert isinstance(page, TodayPage)

    def save(dialog: QDialog) -> None:
        assert isinstance(dialog, PaperDialog)
        hand.push(dialog.pdf_button)

    def opens() -> None:
        if isinstance(hand, Mouse):
            hand.click(page.print_button)
        else:
            hand.key(Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)

    hand.dialog(opens, save)
    assert week.file.read_bytes().startswith(b"%PDF")
