"""The panel of one batch."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QSettings, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QLabel, QPushButton, QScrollArea
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.projection import EndCause, no_date
from ripenroom.season.season import Season
from ripenroom.window.batch.panel import BatchDialog
from ripenroom.window.session import Session
from ripenroom.window.theme import Look, dress
from ripenroom.wording.batch_facts import expected, written_down
from ripenroom.wording.batch_states_and_ends import end_cause_name, no_date_words
from tests.window.conftest import UNKNOWN_CROP, UNPLACED


@pytest.fixture
def moved_batch(session: Session) -> str:
    return next(key for key in session.season.book.batches if len(session.season.moves_of(key)) > 1)


@pytest.fixture
def dialog(qtbot: QtBot, session: Session, moved_batch: str) -> BatchDialog:
    made = BatchDialog(session, moved_batch)
    qtbot.addWidget(made)
    made.show()
    return made


def test_every_batch_has_its_facts(session: Session) -> None:
    projection = session.projection()
    for batch_id in session.season.book.batches:
        facts = dict(expected(session, batch_id))
        line = projection.line_of[batch_id]
        why = no_date(projection, line)
        closes = bool(np.isfinite(projection.closes_h.mid[line]))
        if closes:
            assert end_cause_name(EndCause(int(projection.end_cause[line]))) in facts["Closes"]
        elif why is not None:
            gate = session.season.crops[session.season.book.batches[batch_id].crop].gate
            assert facts["Opens"] == facts["Closes"] == no_date_words(why, gate)
        if closes and why is not None:
            assert facts["Opens"].startswith("not in this place")
        assert all(text for _, text in written_down(session, batch_id))


def test_a_move_is_deleted_and_comes_back(
    qtbot: QtBot, dialog: BatchDialog, session: Session, moved_batch: str
) -> None:
    moves = session.season.moves_of(moved_batch)
    assert len(dialog.moves.delete_buttons) == len(moves) - 1
    dialog.moves.delete_buttons[-1].click()
    assert session.season.moves_of(moved_batch) == moves[:-1]
    session.season.undo()
    assert session.season.moves_of(moved_batch) == moves
    assert len(dialog.moves.delete_buttons) == len(moves) - 1


def test_it_closes_when_its_batch_is_gone(
    dialog: BatchDialog, session: Session, moved_batch: str
) -> None:
    session.season.do(actions.batches.delete, [moved_batch])
    assert not dialog.isVisible()


def test_what_is_written_is_shown_as_text(
    qtbot: QtBot, dialog: BatchDialog, session: Session, moved_batch: str
) -> None:
    note = "<b>not bold</b> & 'quoted'"
    batch = session.season.book.batches[moved_batch]
    session.season.do(actions.batches.change, replace(batch, note=note))
    qtbot.waitUntil(lambda: any(label.text() == note for label in dialog.findChildren(QLabel)))


@pytest.mark.usefixtures("with_unforeseen")
@pytest.mark.parametrize(
    ("batch_id", "why"),
    [(UNKNOWN_CROP, "no crop “moonfruit”"), (UNPLACED, "Move it to where it waits")],
)
def test_where_nothing_can_be_worked_out_it_says_why(
    qtbot: QtBot, session: Session, batch_id: str, why: str
) -> None:
    dialog = BatchDialog(session, batch_id)
    qtbot.addWidget(dialog)
    dialog.show()
    assert not dialog.chart.isVisible()
    assert any(why in label.text() for label in dialog.findChildren(QLabel))


@pytest.mark.usefixtures("with_unforeseen")
def test_a_chart_appears_with_the_first_place(qtbot: QtBot, session: Session) -> None:
    dialog = BatchDialog(session, UNPLACED)
    qtbot.addWidget(dialog)
    dialog.show()
    season = session.season
    place_id = next(iter(season.book.places))
    season.do(actions.moves.move, [UNPLACED], place_id, season.now())
    assert dialog.chart.isVisible()


def test_days_below_the_chart_are_read_whole(qtbot: QtBot, session: Session) -> None:
    dialog = BatchDialog(session, next(iter(session.season.book.batches)))
    qtbot.addWidget(dialog)
    dialog.show()
    chart = dialog.chart
    assert chart is not None
    for plot in (chart._firmness, chart._shares):
        assert plot.getAxis("bottom").height() >= chart.fontMetrics().height()


def test_charts_are_not_imported_before_a_batch_is_opened() -> None:
    script = (
        "import sys, ripenroom.window.app, ripenroom.window.shell.page_stack;"
        "print([m for m in ('pyqtgraph', 'pandas', 'scipy.optimize') if m in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    assert ran.stdout.strip() == "[]"


def test_large_letters_do_not_push_the_words_out_of_the_panel(
    qtbot: QtBot, session: Session, moved_batch: str, qapp: QApplication
) -> None:
    usual = qapp.font()
    large = qapp.font()
    large.setPointSizeF(large.pointSizeF() * 1.3)
    qapp.setFont(large)
    try:
        made = BatchDialog(session, moved_batch)
        qtbot.addWidget(made)
        made.resize(1000, 640)
        made.show()
        [scroll] = [area for area in made.findChildren(QScrollArea) if area.widget() is not None]
        qtbot.waitUntil(lambda: scroll.horizontalScrollBar().maximum() == 0)
    finally:
        qapp.setFont(usual)


@pytest.mark.parametrize(
    ("says", "title"), [("Labels…", "Crate labels"), ("Print card…", "Card of batch")]
)
def test_its_paper_is_a_button_away_also_where_nothing_can_be_changed(
    qtbot: QtBot, season_path: Path, settings: QSettings, says: str, title: str
) -> None:
    shown = Session(Season.open(season_path, read_only=True), settings)
    dialog = BatchDialog(shown, next(iter(shown.season.book.batches)))
    qtbot.addWidget(dialog)
    dialog.show()
    seen: list[str] = []

    def look() -> None:
        asked = QApplication.activeModalWidget()
        assert isinstance(asked, QDialog)
        seen.append(asked.windowTitle())
        asked.reject()

    QTimer.singleShot(0, look)
    [button] = [b for b in dialog.findChildren(QPushButton) if b.text().replace("&", "") == says]
    button.click()
    assert len(seen) == 1
    assert seen[0].startswith(title)
    shown.close()


def test_in_a_narrow_window_facts_stand_beneath_their_names(
    qtbot: QtBot, qapp: QApplication, session: Session
) -> None:
    dress(qapp, Look.LIGHT, 150)
    batch_id = session.projection().batch_ids[0]
    dialog = BatchDialog(session, batch_id)
    qtbot.addWidget(dialog)
    dialog.resize(1400, 640)
    dialog.show()

    def beneath() -> bool:
        labels = {label.text(): label for label in dialog.findChildren(QLabel)}
        name, fact = labels["Picked"], labels[dict(written_down(session, batch_id))["Picked"]]
        return fact.mapTo(dialog, QPoint()).y() > name.mapTo(dialog, QPoint()).y() + 4

    QApplication.processEvents()
    assert not beneath()
    dialog.resize(780, 560)
    QApplication.processEvents()
    assert beneath()
