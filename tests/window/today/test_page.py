"""The page "Today" by keyboard and mouse."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QSettings, Qt, QTimer, QUrl
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QCheckBox
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.notices import NoticeKind
from ripenroom.season.season import Season
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.theme import Look, dress
from ripenroom.window.today.page import TodayPage
from ripenroom.wording.market_days import market_lines, want_words
from ripenroom.wording.names import fruit_name
from tests.draws import first_every_day
from tests.window.planned import SLOW_MS, at_rest, planned

pytestmark = pytest.mark.usefixtures("some_batches")


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> TodayPage:
    return shown(qtbot, session)


def shown(qtbot: QtBot, session: Session) -> TodayPage:
    made = TodayPage(session)
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


@pytest.fixture
def sheet_page(qtbot: QtBot, page: TodayPage) -> TodayPage:
    """The page with the plan's day sheet; nothing makes its lines again by itself."""
    planned(qtbot, page.session)
    at_rest(qtbot, page.session)
    assert page.sheet.rows
    return page


def first_move(page: TodayPage) -> int:
    """The row of the first move; what is sold as second grade leaves before it."""
    said = [row.box.accessibleName() for row in page.sheet.rows]
    moves = (n for n, text in enumerate(said) if text.startswith("To "))
    return next(n for n in moves if not said[n].startswith("To second grade"))


def all_text(page: TodayPage) -> str:
    texts = (page.tasks_text, page.outlook_text)
    return "\n".join(text.document().toPlainText() for text in texts)


def test_tab_and_enter_follow_the_first_sentence(qtbot: QtBot, page: TodayPage) -> None:
    page.tasks_text.setFocus()
    with qtbot.waitSignal(page.openBatch) as opened:
        QTest.keyClick(page.tasks_text, Qt.Key.Key_Tab)
        QTest.keyClick(page.tasks_text, Qt.Key.Key_Return)
    assert opened.args is not None
    assert opened.args[0] in page.session.season.book.batches


@pytest.mark.parametrize(
    ("link", "expected"),
    [
        ("market:m1", ["market_days", "m1"]),
        ("market:", ["market_days", None]),
        ("place:p1", ["places", "p1"]),
        ("picks:", ["picks", None]),
        ("queue:", ["queue", None]),
    ],
)
def test_links_lead_to_their_page(
    qtbot: QtBot, page: TodayPage, link: str, expected: list[str | None]
) -> None:
    with qtbot.waitSignal(page.goTo) as gone:
        page.tasks_text.anchorClicked.emit(QUrl(link))
    assert gone.args == expected


def test_the_button_leads_to_the_pick_form(qtbot: QtBot, page: TodayPage) -> None:
    with qtbot.waitSignal(page.goTo) as gone:
        QTest.keyClick(page.pick_button, Qt.Key.Key_Space)
    assert gone.args == ["picks", None]


def test_a_change_is_on_the_page_at_once_and_reading_goes_on(qtbot: QtBot, page: TodayPage) -> None:
    page.resize(700, 400)
    QApplication.processEvents()
    bar = page.scroller.verticalScrollBar()
    bar.setValue(60)
    season = page.session.season
    place = next(iter(season.book.places.values()))

    season.do(actions.places.save, replace(place, name="Walk-in cooler"))
    QApplication.processEvents()
    assert "Walk-in cooler" in all_text(page)
    assert bar.value() == 60


def test_narrow_pages_have_one_column_and_nothing_is_cut(page: TodayPage) -> None:
    def side_by_side() -> bool:
        QApplication.processEvents()
        return page.outlook_text.x() > page.tasks_text.x() + page.tasks_text.width() // 2

    page.resize(1300, 700)
    assert side_by_side()
    page.resize(640, 700)
    assert not side_by_side()
    for text in (page.tasks_text, page.outlook_text):
        assert text.document().size().width() <= text.viewport().width() + 1
        assert text.height() >= text.document().size().height()


@pytest.mark.long
def test_headings_of_one_rank_have_one_size(qapp: QApplication, sheet_page: TodayPage) -> None:
    dress(qapp, Look.LIGHT)
    QApplication.processEvents()
    labels = sheet_page.sheet.findChildren(PlainLabel, "daySection")
    sizes = [label.font().pointSizeF() for label in labels if label.isVisible()]
    for text in (sheet_page.tasks_text, sheet_page.outlook_text):
        block = text.document().begin()
        while block.isValid():
            if block.blockFormat().headingLevel() == 2:
                sizes += [part.format.font().pointSizeF() for part in block.textFormats()]
            block = block.next()
    assert len(sizes) > 4
    assert max(sizes) - min(sizes) < 0.2
    assert min(sizes) > sheet_page.tasks_text.document().defaultFont().pointSizeF()


def test_the_sheet_comes_with_the_plan(qtbot: QtBot, page: TodayPage) -> None:
    assert page.sheet.nothing.text() == "What to do is shown here once there is a plan."
    planned(qtbot, page.session)
    assert page.sheet.rows
    assert not page.sheet.nothing.isVisible()


def hold(box: QCheckBox, by: str) -> None:
    if by == "key":
        box.setFocus()
        QTest.keyPress(box, Qt.Key.Key_Space)
    else:
        QTest.mousePress(box, Qt.MouseButton.LeftButton, pos=box.rect().center())


def let_go(box: QCheckBox, by: str) -> None:
    if by == "key":
        QTest.keyRelease(box, Qt.Key.Key_Space)
    else:
        QTest.mouseRelease(box, Qt.MouseButton.LeftButton, pos=box.rect().center())


@pytest.mark.parametrize("by", first_every_day(["key", "mouse"]))
def test_a_plan_that_comes_while_a_box_is_held_takes_nothing_away(
    qtbot: QtBot, sheet_page: TodayPage, by: str
) -> None:
    page, season = sheet_page, sheet_page.session.season
    rows, at = list(page.sheet.rows), first_move(page)
    box, moves = rows[at].box, len(season.book.moves)
    hold(box, by)
    assert box.isDown()
    # A place that is called otherwise is on every line: new ones are due.
    old = next(place for place in season.book.places.values() if place.name == "Kitchen counter")
    season.do(actions.places.save, replace(old, name="Walk-in cooler"))
    planned(qtbot, page.session)
    assert page.sheet.rows == rows
    let_go(box, by)
    assert len(season.book.moves) > moves
    assert any("Walk-in cooler" in row.box.accessibleName() for row in page.sheet.rows)
    (done,) = [row for row in page.sheet.rows if row.box.isChecked()]
    if by == "key":
        assert QApplication.focusWidget() is done.box


def test_a_box_that_is_let_go_of_elsewhere_shows_what_was_put_off(
    qtbot: QtBot, sheet_page: TodayPage
) -> None:
    page, season = sheet_page, sheet_page.session.season
    box, moves = page.sheet.rows[first_move(page)].box, len(season.book.moves)
    hold(box, "mouse")
    old = next(place for place in season.book.places.values() if place.name == "Kitchen counter")
    season.do(actions.places.save, replace(old, name="Walk-in cooler"))
    assert "Walk-in cooler" not in all_text(page)
    QTest.mouseMove(box, box.rect().bottomRight() + QPoint(80, 80))
    QTest.mouseRelease(box, Qt.MouseButton.LeftButton, pos=box.rect().bottomRight() * 4)
    qtbot.waitUntil(lambda: "Walk-in cooler" in all_text(page))
    assert len(season.book.moves) == moves


@pytest.mark.parametrize("on", ["box", "text"])
def test_the_keyboard_stays_on_its_line_when_one_before_it_goes(
    sheet_page: TodayPage, on: str
) -> None:
    page, season = sheet_page, sheet_page.session.season
    first = page.sheet.rows[first_move(page)].box.accessibleName()
    (gone_batch,) = [
        batch for batch in season.book.batches.values() if f"of {batch.code} " in first
    ]
    names = [row.box.accessibleName() for row in page.sheet.rows]
    at = max(n for n, name in enumerate(names) if gone_batch.code not in name)
    said = names[at]
    getattr(page.sheet.rows[at], on).setFocus(Qt.FocusReason.TabFocusReason)
    lines = len(page.sheet.rows)
    season.do(actions.batches.delete, [gone_batch.id])
    gone = lines - len(page.sheet.rows)  # its move, and what was to be squeezed of it
    focus = QApplication.focusWidget()
    (row,) = [row for row in page.sheet.rows if getattr(row, on) is focus]
    assert row.box.accessibleName() == said
    assert gone > 0
    assert page.sheet.rows.index(row) == at - gone


def test_a_link_that_is_held_is_followed_though_a_change_comes(
    qtbot: QtBot, sheet_page: TodayPage
) -> None:
    page, season = sheet_page, sheet_page.session.season
    text = page.sheet.rows[first_move(page)].text
    spot = QPoint(20, text.contentsMargins().top() + 8)
    old = next(place for place in season.book.places.values() if place.name == "Kitchen counter")
    with qtbot.waitSignal(page.openBatch):
        QTest.mousePress(text, Qt.MouseButton.LeftButton, pos=spot)
        season.do(actions.places.save, replace(old, name="Walk-in cooler"))
        QTest.mouseRelease(text, Qt.MouseButton.LeftButton, pos=spot)
    qtbot.waitUntil(lambda: "Walk-in cooler" in all_text(page))


@pytest.mark.usefixtures("all_batches")
@pytest.mark.parametrize("key", first_every_day([Qt.Key.Key_Space, Qt.Key.Key_Return]))
def test_ticking_a_move_writes_it_and_the_line_stays_as_done(
    qtbot: QtBot, sheet_page: TodayPage, key: Qt.Key
) -> None:
    page, season = sheet_page, sheet_page.session.season
    at = first_move(page)
    box = page.sheet.rows[at].box
    said = box.accessibleName()
    moves = len(season.book.moves)
    box.setFocus()
    QTest.keyClick(box, key)
    assert season.undo_label is not None
    assert season.undo_label.startswith("move of ")
    assert len(season.book.moves) > moves
    done = [row.box.accessibleName() for row in page.sheet.rows if row.box.isChecked()]
    assert len(done) == 1
    # It begins as before it was done, and says what was.
    fruit = said.partition(": ")[2].partition(":")[0]
    assert re.fullmatch(rf"{re.escape(fruit)}: \S+ moved to .+", done[0])
    assert said not in [r.box.accessibleName() for r in page.sheet.rows if not r.box.isChecked()]
    # The line stays where it is, and keeps the keyboard.
    assert page.sheet.rows[at].box.isChecked()
    assert QApplication.focusWidget() is page.sheet.rows[at].box
    qtbot.waitUntil(lambda: not page.session.plans.working, timeout=SLOW_MS)
    assert [r.box.accessibleName() for r in page.sheet.rows if r.box.isChecked()] == done


def test_a_tick_can_be_undone_and_taken_away(qtbot: QtBot, sheet_page: TodayPage) -> None:
    page, season = sheet_page, sheet_page.session.season
    place_of = {key: season.place_of(key) for key in season.book.batches}
    at = first_move(page)
    QTest.keyClick(page.sheet.rows[at].box, Qt.Key.Key_Space)
    season.undo()
    assert not any(row.box.isChecked() for row in page.sheet.rows)
    qtbot.waitUntil(lambda: not page.session.plans.working, timeout=SLOW_MS)
    QTest.keyClick(page.sheet.rows[at].box, Qt.Key.Key_Space)
    # A plan that comes while the key is down makes the lines again, and the key is lost.
    qtbot.waitUntil(lambda: not page.session.plans.working, timeout=SLOW_MS)
    (done,) = [row for row in page.sheet.rows if row.box.isChecked()]
    QTest.keyClick(done.box, Qt.Key.Key_Space)
    assert not any(row.box.isChecked() for row in page.sheet.rows)
    now = {key: season.place_of(key) for key in place_of}
    assert now == place_of


def test_the_arrow_keys_go_along_the_sheet(sheet_page: TodayPage) -> None:
    def box(row: int) -> QCheckBox:
        return sheet_page.sheet.rows[row].box

    box(0).setFocus()
    QTest.keyClick(box(0), Qt.Key.Key_Down)
    assert QApplication.focusWidget() is box(1)
    QTest.keyClick(box(1), Qt.Key.Key_Up)
    assert QApplication.focusWidget() is box(0)
    QTest.keyClick(box(0), Qt.Key.Key_Up)
    assert QApplication.focusWidget() is box(0)


def test_a_line_leads_to_its_batch(qtbot: QtBot, sheet_page: TodayPage) -> None:
    with qtbot.waitSignal(sheet_page.openBatch) as opened:
        sheet_page.sheet.rows[0].text.linkActivated.emit("batch:b1")
    assert opened.args == ["b1"]


@pytest.fixture
def read_only(season_path: Path, settings: QSettings) -> Iterator[Session]:
    opened = Session(Season.open(season_path, read_only=True), settings)
    yield opened
    opened.close()


def test_a_read_only_season_says_why_nothing_can_be_ticked(
    qtbot: QtBot, read_only: Session
) -> None:
    page = shown(qtbot, read_only)
    planned(qtbot, read_only)
    assert page.sheet.rows
    for row in page.sheet.rows:
        assert not row.box.isEnabled()
        assert row.box.toolTip() == read_only.season.read_only_because


def test_an_empty_season_has_no_sheet(
    qtbot: QtBot, session: Session, tmp_path: Path, settings: QSettings
) -> None:
    season = replace(session.season.book.season, name="New")
    empty = Session(Season.create(tmp_path / "new.ripenroom", season), settings)
    page = shown(qtbot, empty)
    planned(qtbot, empty)
    assert not page.sheet.isVisible()
    assert not page.status.isVisible()
    assert "No fruit is waiting yet" in all_text(page)
    empty.close()


@pytest.mark.usefixtures("few_batches")
def test_without_a_market_day_ahead_the_sheet_says_so(qtbot: QtBot, page: TodayPage) -> None:
    season = page.session.season
    for day in list(season.book.market_days.values()):
        if day.starts_at > season.now():
            season.do(actions.ahead.delete_market_day, day.id)
    planned(qtbot, page.session)
    said = page.sheet.nothing.text()
    assert said.startswith("No market day lies ahead")
    assert "would spoil" not in said


def test_without_a_market_day_ahead_what_the_cold_spoils_is_still_to_be_moved(
    qtbot: QtBot, page: TodayPage
) -> None:
    """Nothing says that there is nothing to move while a batch has to leave the cold."""
    season = page.session.season
    for day in list(season.book.market_days.values()):
        if day.starts_at > season.now():
            season.do(actions.ahead.delete_market_day, day.id)
    planned(qtbot, page.session)
    (notice,) = [n for n in season.notices() if n.kind is NoticeKind.CHILLING]
    assert notice.batch_id is not None
    code = season.book.batches[notice.batch_id].code
    said = all_text(page)
    assert "nothing to move" not in said
    assert "Bring into the warm today: 26 pawpaws" in said
    assert code in said
    assert "2 crates in Cold room; it has had" in said


def test_headings_keep_their_size_when_another_look_is_put_on(
    qtbot: QtBot, qapp: QApplication, page: TodayPage
) -> None:
    shown_pt = page.date.font().pointSizeF()
    assert shown_pt > 1.1 * page.font().pointSizeF()
    dress(qapp, Look.DARK)
    QApplication.processEvents()
    assert page.date.font().pointSizeF() == shown_pt
    assert page.date.height() >= page.date.fontMetrics().height()


def test_with_a_plan_market_days_are_told_of_as_they_are_planned(
    qtbot: QtBot, sheet_page: TodayPage
) -> None:
    """Fruit that the plan keeps for a later day is not told of as too much for the next one."""
    session = sheet_page.session
    [first, *_] = market_lines(session)
    text = all_text(sheet_page)
    for want in first.wants:
        assert want_words(want, session.words) in text
        supply = want.supply
        assert supply is not None
        if supply.ready <= 1.5 * supply.wanted:
            fruit = fruit_name(session.season.crops, supply.crop)
            assert f"Too many {fruit} for {first.day.name}, " not in text


def test_lines_get_the_height_they_need_after_the_page_had_another_width(
    qtbot: QtBot, sheet_page: TodayPage
) -> None:
    page = sheet_page
    for width in (1700, 700):
        page.resize(width, 700)
        QApplication.processEvents()
    text = page.sheet.rows[0].text
    text.setText("a longer line of the day sheet " * 60)
    qtbot.waitUntil(lambda: text.height() >= text.heightForWidth(text.width()))


def test_what_is_likely_leads_to_where_it_is_changed(qtbot: QtBot, page: TodayPage) -> None:
    season = page.session.season
    for pick in list(season.book.expected_picks.values()):
        season.do(actions.ahead.delete_expected_pick, pick.id)
    page.refresh()
    # Rows tell what is likely: they are learned beside the window, with the first plan.
    assert "expected:" not in page.tasks_text.toHtml()
    planned(qtbot, page.session)
    page.refresh()
    assert "expected:" in page.tasks_text.toHtml()
    seen: list[int] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, ExpectedPicksDialog):
            seen.append(dialog.picks.list.count())
            dialog.close()

    timer = QTimer(page)
    timer.timeout.connect(look)
    timer.start(20)
    page.tasks_text.anchorClicked.emit(QUrl("expected:"))
    assert seen
    assert seen[0] > 1
