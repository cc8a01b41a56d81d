"""The tab of published statements over a real season."""

import math
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.season import actions
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.published.claims import Claim
from ripenroom.window.crops.published.table import Column
from ripenroom.window.crops.published.view import PublishedView
from ripenroom.window.crops.view import CropView
from ripenroom.window.palette import LIGHT
from ripenroom.window.session import Session


@pytest.fixture
def view(qtbot: QtBot, session: Session) -> PublishedView:
    made = PublishedView(session)
    qtbot.addWidget(made)
    made.resize(900, 600)
    made.show()
    return made


def show(qtbot: QtBot, view: PublishedView, key: str, units: Units) -> None:
    view.show_crop(key, units)
    qtbot.waitUntil(lambda: bool(view.groups), timeout=20_000)


def claims_of(view: PublishedView) -> list[Claim]:
    return [claim for _, claim in view.model.rows if claim is not None]


def test_it_is_worked_out_beside_the_window_and_counted(
    qtbot: QtBot, view: PublishedView, units: Units
) -> None:
    view.show_crop("pawpaw", units)
    assert "Working out" in view.count.text()
    assert not view.table.isVisible()
    show(qtbot, view, "pawpaw", units)
    statements = shipped_statements("pawpaw")
    sources = {one.source for one in statements}
    met = [claim for claim in claims_of(view) if not claim.missed]
    many = f"{len(statements)} statements from {len(sources)} sources"
    left_out = shipped_profiles()["pawpaw"].left_out
    assert left_out is not None
    assert view.count.text() == (
        f"{many}; {len(met)} agree with the range shown. With each source left out in turn, "
        f"{left_out.in_range} of {left_out.statements} would agree."
    )
    assert len(claims_of(view)) == len(statements)
    assert view.table.isVisible()


def test_only_the_crop_that_was_chosen_last_is_shown(
    qtbot: QtBot, view: PublishedView, units: Units
) -> None:
    for key in ("pear", "tomato", "quince"):
        view.show_crop(key, units)
    qtbot.waitUntil(lambda: bool(view.groups), timeout=20_000)
    assert len(claims_of(view)) == len(shipped_statements("quince"))
    quince = shipped_profiles()["quince"].sources.values()
    assert any(source.citation in view.told.label.text() for source in quince)


def test_what_was_worked_out_is_kept_by_the_text_of_the_crop(
    qtbot: QtBot,
    view: PublishedView,
    units: Units,
    session: Session,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    show(qtbot, view, "quince", units)
    show(qtbot, view, "kiwiberry", units)
    monkeypatch.setattr(
        "ripenroom.window.crops.published.view.said", lambda *_: pytest.fail("worked out again")
    )
    view.show_crop("quince", units)
    assert len(claims_of(view)) == len(shipped_statements("quince"))


def test_a_seasons_own_figures_are_held_against_the_same_statements(
    qtbot: QtBot, view: PublishedView, units: Units, session: Session
) -> None:
    show(qtbot, view, "pawpaw", units)
    before = claims_of(view)
    document = CropDocument(session.season.crop_text("pawpaw"))
    slow = {**document.table(("rate", "speed")), "value": 0.1, "low": 0.09, "high": 0.11}
    document.put(("rate", "speed"), slow)
    session.season.do(actions.crops.save, document.text)
    view.show_crop("pawpaw", units)
    qtbot.waitUntil(lambda: bool(view.groups), timeout=20_000)
    after = claims_of(view)
    assert [claim.published for claim in after] == [claim.published for claim in before]
    assert sum(claim.missed for claim in after) > sum(claim.missed for claim in before)


def test_nothing_is_published_about_a_crop_of_ones_own(
    view: PublishedView, units: Units, session: Session
) -> None:
    document = CropDocument(session.season.crop_text("pawpaw"))
    for key, value in (("key", "medlar"), ("name", "Medlar"), ("letter", "Z")):
        document.put((key,), value)
    session.season.do(actions.crops.save, document.text)
    view.show_crop("medlar", units)
    assert "The program has no published statements about this crop" in view.count.text()
    assert not view.table.isVisible()
    assert not view.only_missed.isVisible()


def test_only_what_is_missed(qtbot: QtBot, view: PublishedView, units: Units) -> None:
    show(qtbot, view, "pawpaw", units)
    missed = [claim for claim in claims_of(view) if claim.missed]
    said = view.count.text()
    view.only_missed.click()
    assert claims_of(view) == missed
    assert 0 < len(missed) < len(shipped_statements("pawpaw"))
    assert view.count.text() == said
    view.only_missed.click()
    assert len(claims_of(view)) == len(shipped_statements("pawpaw"))


def test_arrows_walk_the_statements_and_all_of_one_is_told(
    qtbot: QtBot, view: PublishedView, units: Units
) -> None:
    show(qtbot, view, "pawpaw", units)
    view.table.setFocus()
    seen = []
    for _ in claims_of(view):
        claim = view.claim()
        assert claim is not None, "the keyboard stands on a heading"
        assert view.told.label.text() == claim.told
        seen.append(claim)
        QTest.keyClick(view.table, Qt.Key.Key_Down)
    assert seen == claims_of(view)
    citation = shipped_profiles()["pawpaw"].sources[shipped_statements("pawpaw")[0].source].citation
    assert any(citation in claim.told for claim in seen)


def test_a_row_is_heard_in_whole_sentences(qtbot: QtBot, view: PublishedView, units: Units) -> None:
    show(qtbot, view, "pawpaw", units)
    index = view.table.currentIndex()
    claim = view.claim()
    assert claim is not None
    for column in (Column.CASE, Column.PICTURE):
        beside = index.siblingAtColumn(column)
        assert beside.data(Qt.ItemDataRole.AccessibleTextRole) == claim.told
        assert beside.data(Qt.ItemDataRole.ToolTipRole) == claim.told
    interface = QAccessible.queryAccessibleInterface(view.table)
    assert interface is not None
    heard = {interface.child(n).text(QAccessible.Text.Name) for n in range(interface.childCount())}
    assert claim.told in heard


def test_numbers_are_in_the_units_of_the_season(
    qtbot: QtBot, view: PublishedView, session: Session
) -> None:
    season = session.season
    show(qtbot, view, "peach", Units(session.words, "N"))
    newtons = {group.title: group for group in view.groups}["Figure: Ready below, N"]
    season.do(actions.season.save, replace(season.book.season, units="us"))
    view.show_crop("peach", Units(session.words, "lbf"))
    pounds = {group.title: group for group in view.groups}["Figure: Ready below, lbf"]
    # 1 lbf is 4.4482 N: NIST SP 811, appendix B.8.
    first, same = newtons.claims[0], pounds.claims[0]
    assert same.said[1] == pytest.approx(first.said[1] / 4.4482, rel=1e-3)
    assert " lbf" in same.published
    assert any("°F" in claim.case for group in view.groups for claim in group.claims)


def test_misses_have_a_sign_of_their_own(qtbot: QtBot, view: PublishedView, units: Units) -> None:
    show(qtbot, view, "pawpaw", units)
    for missed in (False, True):
        row = next(
            n for n, (_, claim) in enumerate(view.model.rows)
            if claim is not None and claim.missed is missed and math.isfinite(claim.said[1])
        )  # fmt: skip
        index = view.model.index(row, Column.PICTURE)
        view.table.scrollTo(index)
        QApplication.processEvents()
        cell = view.table.visualRect(index)
        picture = view.table.viewport().grab(cell).toImage()
        inks = {
            QColor(picture.pixel(QPoint(x, y))).name()
            for x in range(picture.width() - view.fontMetrics().height(), picture.width())
            for y in range(picture.height() - 2)
        }
        assert (LIGHT.warning.name() in inks) is missed


@pytest.mark.parametrize("size", [(380, 300), (900, 600), (1500, 1000)])
def test_columns_fill_the_width_and_numbers_come_where_there_is_room(
    qtbot: QtBot, view: PublishedView, units: Units, size: tuple[int, int]
) -> None:
    view.resize(*size)
    show(qtbot, view, "tomato", units)
    QApplication.processEvents()
    assert not view.table.horizontalScrollBar().isVisible()
    assert view.table.isColumnHidden(Column.NUMBERS) == (size[0] < 500)
    high = view.fontMetrics().lineSpacing()
    for row, (_, claim) in enumerate(view.model.rows):
        if claim is not None:
            assert view.table.rowHeight(row) >= 2 * high


def test_what_cannot_be_worked_out_says_so_and_is_not_tried_again(
    qtbot: QtBot, view: PublishedView, units: Units, monkeypatch: pytest.MonkeyPatch
) -> None:
    tries = []

    def fails(*_: object) -> None:
        tries.append(1)
        raise ValueError("made to fail")

    monkeypatch.setattr("ripenroom.window.crops.published.view.said", fails)
    with qtbot.captureExceptions() as raised:
        view.show_crop("quince", units)
        qtbot.waitUntil(lambda: "could not be worked out" in view.count.text())
        view.show_crop("quince", units)
    assert len(tries) == 1
    assert len(raised) == 1


def test_the_page_works_it_out_only_when_the_tab_is_looked_at(
    qtbot: QtBot, session: Session
) -> None:
    page = CropView(session)
    qtbot.addWidget(page)
    page.resize(700, 600)
    page.show()
    page.show_crop("quince")
    assert page.published.count.text() == ""
    page.tabs.setCurrentWidget(page.published)
    qtbot.waitUntil(lambda: bool(page.published.groups), timeout=20_000)
    page.show_crop("kiwiberry")
    shown = len(shipped_statements("kiwiberry"))
    qtbot.waitUntil(lambda: len(claims_of(page.published)) == shown, timeout=20_000)
