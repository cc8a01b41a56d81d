"""The checks in the panel of a batch, and what its chart shows of them."""

from dataclasses import replace
from datetime import timedelta

import pyqtgraph as pg
import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.units import NEWTONS_PER
from ripenroom.window.batch.chart import found_of
from ripenroom.window.batch.panel import BatchDialog
from ripenroom.window.session import Session


@pytest.fixture
def batch_id(session: Session) -> str:
    [found] = [b.id for b in session.season.book.batches.values() if b.code == "P-0927-1"]
    for check_id in list(session.season.book.checks):
        session.season.do(actions.checks.delete, check_id)
    return found


def squeeze(season: Season, batch_id: str, days_ago: float, **found: object) -> str:
    at = season.now() - timedelta(days=days_ago)
    insist = frozenset({"surprise"})
    entry = CheckEntry(batch_id=batch_id, at=at, answered=insist, **found)  # type: ignore[arg-type]
    return season.do(actions.checks.add, entry).id


@pytest.fixture
def dialog(qtbot: QtBot, session: Session, batch_id: str) -> BatchDialog:
    squeeze(session.season, batch_id, 2.0, feel_counts=(0, 5, 4, 0, 0))
    squeeze(session.season, batch_id, 0.2, feel_counts=(0, 0, 1, 7, 0))
    session.season.learn()
    made = BatchDialog(session, batch_id)
    qtbot.addWidget(made)
    made.show()
    return made


def test_each_check_says_what_was_found_and_what_it_changes(
    qtbot: QtBot, dialog: BatchDialog
) -> None:
    texts = [label.text() for label in dialog.checks.findChildren(QLabel)]
    assert "5 slight give, 4 gives" in texts
    assert "1 gives, 7 soft" in texts
    pulls = dialog.checks.pulls.values()
    qtbot.waitUntil(
        lambda: all(p.text() and "worked out" not in p.text() for p in pulls), timeout=10_000
    )
    second = list(dialog.checks.pulls.values())[1].text()
    assert "without it: " in second
    assert second.endswith("days later")  # softer than expected: it made the batch earlier


def test_the_chart_is_read_in_the_unit_of_the_season(
    qtbot: QtBot, session: Session, batch_id: str
) -> None:
    def chart() -> tuple[str, float]:
        made = BatchDialog(session, batch_id)
        qtbot.addWidget(made)
        [plot] = [p for p in made.findChildren(pg.PlotWidget) if "Firmness" in p.accessibleName()]
        return plot.getAxis("left").labelText, plot.viewRange()[1][1]

    label, top_n = chart()
    assert label == "firmness, N"
    season = session.season
    season.do(actions.season.save, replace(season.book.season, units="us"))
    label, top_lbf = chart()
    assert label == "firmness, lbf"
    assert top_n / top_lbf == pytest.approx(NEWTONS_PER["lbf"])


def test_a_check_is_left_out_and_counted_again(
    qtbot: QtBot, dialog: BatchDialog, session: Session
) -> None:
    check_id = list(dialog.checks.counted)[1]
    dialog.checks.counted[check_id].click()
    assert not session.season.book.checks[check_id].counted
    session.season.learn()
    told = dialog.checks.pulls
    qtbot.waitUntil(lambda: "with it: opens" in told[check_id].text(), timeout=10_000)
    assert told[check_id].text().startswith("left out; ")
    dialog.checks.counted[check_id].click()
    assert session.season.book.checks[check_id].counted


def test_what_a_check_changed_before_the_last_change_is_not_shown(
    qtbot: QtBot, dialog: BatchDialog, session: Session
) -> None:
    first, second = list(dialog.checks.pulls)
    before = dialog.checks.pulls
    qtbot.waitUntil(lambda: "without it: " in before[first].text(), timeout=10_000)
    dialog.checks.counted[second].click()
    told = dialog.checks.pulls
    assert told[first].text() == "what it changes is being worked out…"
    assert told[second].text() == "left out; what it changes is being worked out…"
    qtbot.waitUntil(lambda: "with it: " in told[second].text(), timeout=10_000)
    assert "being worked out" not in told[first].text()


def test_while_checks_are_learned_from_no_older_figure_stands_there(
    qtbot: QtBot, dialog: BatchDialog, session: Session
) -> None:
    told = dialog.checks.pulls
    qtbot.waitUntil(lambda: all("worked out" not in p.text() for p in told.values()))
    session.learning.begin()
    assert {pull.text() for pull in told.values()} == {"what it changes is being worked out…"}
    qtbot.waitUntil(lambda: not session.learning.working, timeout=20_000)
    qtbot.waitUntil(lambda: all("worked out" not in p.text() for p in told.values()))


def test_a_check_is_deleted_and_comes_back(dialog: BatchDialog, session: Session) -> None:
    dialog.checks.delete_buttons[0].click()
    assert len(dialog.checks.counted) == 1
    session.season.undo()
    assert len(dialog.checks.counted) == 2


def test_it_says_what_was_learned_against_the_book(dialog: BatchDialog, session: Session) -> None:
    said = dialog.learned.text()
    assert said.startswith("Late pawpaws: softens ")
    assert "as fast as usual" in said
    assert "from 2 checks" in said
    assert "without checks" in said
    assert "Dotted: as usual for the crop." in dialog.chart.key.text()
    for check_id in list(dialog.checks.counted):
        session.season.do(actions.checks.delete, check_id)
    session.season.learn()
    assert dialog.learned.text() == ""
    assert dialog.chart.key.text() == "Bars: how many fruit of each feel."
    assert dialog.checks.isHidden()


def test_marks_are_what_was_found(session: Session, batch_id: str) -> None:
    season = session.season
    squeeze(season, batch_id, 1.0, readings=(2.0, 3.0), reading_unit="kgf", probe_mm=8.0)
    ignored = squeeze(season, batch_id, 0.5, feel_counts=(0, 0, 0, 9, 0))
    season.do(actions.checks.count_in, ignored, False)
    batch = season.book.batches[batch_id]
    crop = season.crops[batch.crop]
    marks = found_of(season.book, batch, crop)
    bars = [m for m in marks if m.share is not None]
    rings = [m for m in marks if m.share is None]
    # The pick alone was felt, all with slight give; the check that does not count is left out.
    assert [(m.share, m.high_n, m.low_n) for m in bars] == [
        (1.0, crop.feel.slight_give_n.value, crop.feel.gives_n.value)
    ]
    assert [m.low_n for m in rings] == pytest.approx([19.6133, 29.41995])
    assert bars[0].at_h < rings[0].at_h


def test_a_read_only_season_shows_checks_and_why_they_stay(
    qtbot: QtBot, session: Session, batch_id: str
) -> None:
    squeeze(session.season, batch_id, 1.0, feel_counts=(0, 5, 4, 0, 0))
    other = Session(Season.open(session.season.path, read_only=True), session.settings)
    dialog = BatchDialog(other, batch_id)
    qtbot.addWidget(dialog)
    [counted] = dialog.checks.counted.values()
    assert not counted.isEnabled()
    assert counted.toolTip() == other.season.read_only_because
    assert not any(button.isEnabled() for button in dialog.checks.delete_buttons)
    other.close()
