"""The page as the grower uses it, over the practice season."""

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.book import new_id
from ripenroom.records.season import SeasonDetails
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.forms.check import CheckDialog
from ripenroom.window.forms.expected_pick import ExpectedPickDialog
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.queue.decide import DecideDialog
from ripenroom.window.queue.page import QueuePage
from ripenroom.window.session import Session
from tests.window.gated import pick
from tests.window.planned import planned


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> QueuePage:
    made = QueuePage(session)
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    made.canvas.setFocus()
    return made


def test_the_selected_line_stands_in_words_beneath(page: QueuePage) -> None:
    # The first of the lines never gets ready, so no share of it is said.
    for _ in range(2):
        QTest.keyClick(page.canvas, Qt.Key.Key_Down)
    batch_id = page.canvas.selected_batch()
    assert batch_id is not None
    code = page.session.season.book.batches[batch_id].code
    assert code in page.said.text().splitlines()[0]
    assert "%" in page.said.text()


def test_with_room_for_it_the_key_is_there_in_large_letters_too(page: QueuePage) -> None:
    font = page.font()
    font.setPointSizeF(font.pointSizeF() * 1.5)
    page.setFont(font)
    for width, height, shown in ((1100, 690, True), (1000, 540, False), (1100, 690, True)):
        page.resize(width, height)
        QApplication.processEvents()
        assert page.legend.first.isVisible() is shown
    page.resize(1000, 540)
    page.legend.all.click()
    QApplication.processEvents()
    for row in (page.legend.first, page.legend.rest):
        assert row.isVisible()
        assert row.mapTo(page, row.rect().bottomLeft()).y() <= page.height()


def test_enter_asks_the_window_for_the_batch(qtbot: QtBot, page: QueuePage) -> None:
    with qtbot.waitSignal(page.openBatch) as asked:
        QTest.keyClick(page.canvas, Qt.Key.Key_Return)
    assert asked.args == [page.canvas.selected_batch()]


def test_filtering_by_crop_leaves_that_crop(page: QueuePage) -> None:
    page.controls.crop.setCurrentIndex(1)
    scene = page.canvas.scene
    assert scene is not None
    crops = {scene.facts.crops[line] for line in scene.order}
    assert crops == {page.controls.crop.currentText()}


def test_a_batch_that_the_filter_hides_is_brought_back(page: QueuePage) -> None:
    page.controls.crop.setCurrentIndex(1)
    scene = page.canvas.scene
    assert scene is not None
    hidden = next(
        batch_id
        for n, batch_id in enumerate(scene.facts.batch_ids)
        if scene.facts.crops[n] != page.controls.crop.currentText()
    )
    page.show_record(hidden)
    assert page.canvas.selected_batch() == hidden
    assert page.canvas.selected_row() is not None


def test_a_tried_set_point_is_shown_over_what_was_and_then_gone(page: QueuePage) -> None:
    session = page.session
    before = page.canvas.grab().toImage()
    scene = page.canvas.scene
    assert scene is not None
    busiest = max(
        session.season.book.places,
        key=lambda place_id: scene.facts.place_ids.count(place_id),
    )
    session.preview_set_point(busiest, session.season.set_point_c(busiest) + 3.0)
    tried = page.canvas.scene
    assert tried is not None
    assert tried.ghost is scene.projection
    assert tried.order.tolist() == scene.order.tolist()
    assert page.canvas.grab().toImage() != before
    session.end_preview()
    assert page.canvas.scene is scene
    assert page.canvas.grab().toImage() == before


def test_a_move_redraws_the_line_and_can_be_undone(page: QueuePage) -> None:
    season = page.session.season
    batch_id = next(
        one for one in season.book.batches if season.moves_of(one)[-1].at <= season.now()
    )
    here = season.place_of(batch_id)
    other = next(p for p in season.book.places.values() if here is None or p.id != here.id)
    season.do(actions.moves.move, [batch_id], other.id, season.now())
    scene = page.canvas.scene
    assert scene is not None
    assert scene.facts.places[scene.projection.line_of[batch_id]] == other.name
    season.undo()
    scene = page.canvas.scene
    assert scene is not None
    assert here is not None
    assert scene.facts.places[scene.projection.line_of[batch_id]] == here.name


def test_a_market_day_asked_for_on_a_day_opens_its_form(page: QueuePage) -> None:
    page.canvas.dayAsked.emit(date(2026, 10, 7))
    form = page.findChild(MarketDayDialog)
    assert form is not None
    assert form.isVisible()
    assert form.on.day() == date(2026, 10, 7)
    form.name.setText("Harbour stall")
    form.action_button.click()
    assert page.canvas.scene is not None
    assert "Harbour stall" in {band.name for band in page.canvas.scene.bands}


def test_a_band_opens_its_form(page: QueuePage) -> None:
    assert page.canvas.scene is not None
    band = page.canvas.scene.bands[0]
    page.canvas.bandOpened.emit(band.market_day_id)
    form = page.findChild(MarketDayDialog)
    assert form is not None
    assert form.name.text() == band.name


def test_the_menu_offers_what_can_be_done(page: QueuePage) -> None:
    QTest.keyClick(page.canvas, Qt.Key.Key_Right)
    page.canvas.menuAsked.emit(
        page.canvas.selected_batch(), page.canvas.marked_day, page.mapToGlobal(page.rect().center())
    )
    menu = page.findChild(QMenu)
    assert menu is not None
    assert menu.isVisible()
    menu.close()


def test_an_empty_season_says_what_to_do_next(
    qtbot: QtBot, tmp_path: Path, settings: QSettings
) -> None:
    season = SeasonDetails(
        id=new_id(),
        name="New farm",
        zone="Europe/Berlin",
        first_day=date(2026, 8, 1),
        units="metric",
        currency="EUR",
    )
    session = Session(Season.create(tmp_path / "new.ripenroom", season), settings)
    page = QueuePage(session)
    qtbot.addWidget(page)
    page.show()
    assert page.nothing.isVisible()
    assert page.nothing.pick.isVisible()
    assert not page.nothing.unfilter.isVisible()
    with qtbot.waitSignal(page.goTo) as gone:
        QTest.keyClick(page.nothing.pick, Qt.Key.Key_Space)
    assert gone.args is not None
    assert gone.args[0] == "picks"
    session.close()


def test_a_filter_that_lets_nothing_through_offers_everything(page: QueuePage) -> None:
    controls = page.controls
    for crop in range(1, controls.crop.count()):
        for place in range(1, controls.place.count()):
            controls.crop.setCurrentIndex(crop)
            controls.place.setCurrentIndex(place)
            if page.nothing.isVisible():
                page.nothing.unfilter.click()
                assert not page.nothing.isVisible()
                return
    pytest.fail("the practice season has a batch of every crop in every place")


def test_a_read_only_season_is_shown_but_not_changed(
    qtbot: QtBot, season_path: Path, settings: QSettings
) -> None:
    shown = Session(Season.open(season_path, read_only=True), settings)
    page = QueuePage(shown)
    qtbot.addWidget(page)
    page.show()
    page.add_market_day(date(2026, 10, 7))
    assert page.findChild(MarketDayDialog) is None
    assert page.canvas.scene is not None
    assert len(page.canvas.scene.order) > 0
    shown.close()


def test_fruit_that_waits_for_its_cold_says_so(page: QueuePage) -> None:
    session = page.session
    gated = {key for key, crop in session.season.crops.items() if crop.gate is not None}
    of_them = [batch.id for batch in session.season.book.batches.values() if batch.crop in gated]
    session.season.do(actions.batches.delete, of_them)
    assert not page.legend._gate.isVisibleTo(page.legend.rest)
    in_cold, in_warmth = (pick(session, "anjou", warm=warm) for warm in (False, True))
    assert page.legend._gate.isVisibleTo(page.legend.rest)
    page.show_record(in_cold)
    assert "needs its cold until" in page.said.text()
    page.show_record(in_warmth)
    assert "needs cold first: move it to a cold room, or give it ethylene" in page.said.text()


def test_at_least_eight_batches_are_seen_in_a_small_window(page: QueuePage) -> None:
    # What a window of 1024 by 700 leaves the page beside its pages, title and banner.
    page.resize(867, 574)
    rows, sizes = page.canvas.layout_now().lines.height(), page.canvas.sizes
    assert rows >= 8 * sizes.line_px
    controls = page.controls
    assert controls.moves.y() < controls.sort.height()  # all of them in one row


@pytest.mark.usefixtures("some_batches")
def test_moves_of_all_batches_are_drawn_when_asked_and_that_is_remembered(
    qtbot: QtBot, page: QueuePage
) -> None:
    planned(qtbot, page.session)
    selected, other = (page.canvas.scene.line_at(n) for n in (0, 4))  # type: ignore[union-attr]
    assert page.canvas.in_detail(selected)
    assert not page.canvas.in_detail(other)
    before = page.canvas.grab().toImage()
    QTest.keyClick(page.controls.moves, Qt.Key.Key_Space)
    assert page.canvas.in_detail(other)
    assert page.canvas.grab().toImage() != before
    again = QueuePage(page.session)
    qtbot.addWidget(again)
    assert again.canvas.all_moves
    page.session.plans.close()


def test_the_plan_comes_onto_the_page_and_how_it_stands_is_said(
    qtbot: QtBot, page: QueuePage
) -> None:
    session, before = page.session, page.canvas.grab().toImage()
    assert not page.plan_state.isVisible()
    stood = page.canvas.geometry()
    session.plans.again()
    QApplication.processEvents()
    assert page.canvas.geometry() == stood
    assert page.plan_state.isVisible()
    assert page.plan_state.text() == "Planning…"
    planned(qtbot, session)
    assert not page.plan_state.isVisible()
    scene = page.canvas.scene
    assert scene is not None
    assert scene.planned is not None
    assert page.canvas.grab().toImage() != before
    assert any(label.isVisible() for label in page.legend.children() if isinstance(label, QWidget))
    session.plans.close()


def test_until_one_is_selected_by_hand_the_top_line_is(qtbot: QtBot, page: QueuePage) -> None:
    assert page.canvas.selected_row() == 0
    page.controls.sort.setCurrentIndex(2)
    assert page.canvas.selected_row() == 0
    QTest.keyClick(page.canvas, Qt.Key.Key_Down)
    chosen = page.canvas.selected_batch()
    page.controls.sort.setCurrentIndex(0)
    assert page.canvas.selected_batch() == chosen


def test_an_expected_pick_opens_its_form(qtbot: QtBot, page: QueuePage) -> None:
    scene = page.canvas.scene
    assert scene is not None
    assert scene.expected
    QTest.keyClick(page.canvas, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    assert page.canvas.selected_pick() == scene.expected[-1].pick_id
    QTest.keyClick(page.canvas, Qt.Key.Key_Return)
    form = page.findChild(ExpectedPickDialog)
    assert form is not None
    assert form.isVisible()


def test_d_decides_for_the_selected_batch(qtbot: QtBot, page: QueuePage) -> None:
    planned(qtbot, page.session)
    QTest.keyClick(page.canvas, Qt.Key.Key_D)
    form = page.findChild(DecideDialog)
    assert form is not None
    assert page.canvas.selected_batch() == form.pin().batch_id
    page.session.plans.close()


def test_of_a_batch_with_nothing_left_nothing_is_decided(qtbot: QtBot, page: QueuePage) -> None:
    season = page.session.season
    batch_id = page.canvas.selected_batch()
    assert batch_id is not None
    left = round(float(season.projection().left[season.projection().line_of[batch_id]]))
    season.do(actions.batches.take_out, batch_id, left, "sold", season.now())
    with qtbot.waitSignal(page.session.refused) as refused:
        page.decide(batch_id)
    assert refused.args is not None
    assert "no fruit left" in refused.args[0].text
    assert page.findChild(DecideDialog) is None


def test_c_asks_what_the_selected_batch_feels_like(qtbot: QtBot, page: QueuePage) -> None:
    batch_id = page.canvas.selected_batch()
    QTest.keyClick(page.canvas, Qt.Key.Key_C)
    (dialog,) = page.findChildren(CheckDialog)
    assert page.session.season.book.batches[batch_id or ""].code in dialog.windowTitle()
    dialog.reject()


@pytest.mark.parametrize("key", [Qt.Key.Key_C, Qt.Key.Key_D])
def test_fruit_that_still_hangs_is_neither_checked_nor_decided_on(
    qtbot: QtBot, page: QueuePage, key: Qt.Key
) -> None:
    QTest.keyClick(page.canvas, Qt.Key.Key_End, Qt.KeyboardModifier.ControlModifier)
    assert page.canvas.selected_pick() is not None
    with qtbot.waitSignal(page.session.said) as said:
        QTest.keyClick(page.canvas, key)
    assert said.args == ["This fruit is not picked yet. Enter edits the expected pick."]
