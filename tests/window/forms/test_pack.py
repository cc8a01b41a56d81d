"""Squeeze and pack: the list in order, the counts by keyboard, one action."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.market import MarketDay
from ripenroom.season import actions
from ripenroom.season.actions.packing import Squeezed, TooSoft
from ripenroom.season.day_sheet import DayTaskKind
from ripenroom.season.packing import PackLine
from ripenroom.season.plans.plan import LikelyFruit
from ripenroom.window.forms.pack import PackDialog
from ripenroom.window.forms.pack_batch import PackRow
from ripenroom.window.market_days.page import MarketDaysPage
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.today.page import TodayPage
from ripenroom.wording.alike import codes_words
from ripenroom.wording.packing import leave_words, line_words
from tests.worked_out import plan_of


def next_day(session: Session) -> MarketDay:
    days = session.season.book.market_days.values()
    ahead = (day for day in days if day.starts_at > session.season.now())
    return min(ahead, key=lambda day: day.starts_at)


@pytest.fixture
def form(qtbot: QtBot, session: Session) -> PackDialog:
    dialog = PackDialog(session, next_day(session).id)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    return dialog


def pawpaws(form: PackDialog) -> list[PackRow]:
    return [row for row in form.rows if row.batch.crop == "pawpaw"]


def texts(form: PackDialog) -> str:
    return "\n".join(label.text() for label in form.findChildren(PlainLabel))


def tab() -> None:
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClick(focus, Qt.Key.Key_Tab)


def test_it_says_what_to_take_what_next_what_to_leave_and_how_many(form: PackDialog) -> None:
    [crop] = [crop for crop in form.packing.crops if crop.crop == "pawpaw"]
    said = texts(form)
    assert (
        f"Pawpaw: pack up to {crop.bring} that are good to sell. {crop.wanted} are wanted" in said
    )
    assert "Good to sell: ready now or within 3 days, as these buyers keep it" in said
    assert "Nothing is planned for it. Open in this order:" in said
    assert "Leave at home: " in said
    rows = pawpaws(form)
    assert [row.line for row in rows] == [*crop.take, *crop.open_next]
    first = rows[0]
    what, where = first.code.text().split("\n")
    assert what.startswith(f"1. {first.line.fruit} pawpaw")
    assert where.startswith(f"{first.batch.code}, ")
    ready = first.line.ready
    assert first.ready.text() == f"{ready.mid:.0f} ({ready.low:.0f}–{ready.high:.0f})"
    assert f"0 packed, {crop.bring} to go. Next: open {first.batch.code}." in said


def test_lines_of_one_batch_say_what_sets_them_apart(session: Session) -> None:
    book = session.season.book
    batch, here = next(iter(book.batches.values())), next(iter(book.places.values()))
    code = batch.code
    line = PackLine(batch.id, here.id, 1, 15, LikelyFruit(1.0, 2.0, 3.0), next_day(session).id)
    alone = line_words(line, 1, False, session)
    kept = line_words(line, 2, True, session)
    moved = line_words(replace(line, moved_to_id=here.id), 3, True, session)
    assert alone.endswith(f"\n{code}, {here.name}")
    assert f"\n{code}, {here.name}, otherwise for {next_day(session).name}, " in kept
    assert moved.endswith(f"\n{code}, {here.name}, once moved to {here.name}")
    second = replace(line, later_day_id=None, second_grade_at=session.season.now())
    assert line_words(second, 3, True, session).endswith(", otherwise to second grade Thu 1 Oct")
    assert line_words(replace(line, planned=True), 3, True, session).endswith(", as planned")
    later = replace(line, later_day_id=None, kept=True)
    assert line_words(later, 3, True, session).endswith(", otherwise kept for later")
    assert len({text.partition(" ")[2] for text in (alone, kept, moved)}) == 3


def test_what_stays_at_home_is_told_by_what_the_plan_does_with_it(session: Session) -> None:
    """Crates for second grade are for no market day, and those that are kept are worth opening
    for none."""
    book, day = session.season.book, next_day(session)
    batch, here = next(iter(book.batches.values())), next(iter(book.places.values()))
    nothing = PackLine(batch.id, here.id, 1, 15, LikelyFruit(1.0, 2.0, 3.0))
    lines = [
        nothing,
        replace(nothing, kept=True),
        replace(nothing, second_grade_at=session.season.now()),
        replace(nothing, later_day_id=day.id),
    ]
    said = leave_words(lines, session)
    parts = ("For " + day.name, "To second grade Thu 1 Oct: ", "Kept for later: ", "Not worth")
    assert [said.find(part) for part in parts] == sorted(said.find(part) for part in parts)
    assert all(part in said for part in parts), said


def test_nothing_is_said_of_a_price_that_nobody_typed(form: PackDialog) -> None:
    """How much a surplus fetches is typed nowhere."""
    assert "price" not in texts(form)


def test_once_enough_is_packed_the_form_says_only_that(qtbot: QtBot, session: Session) -> None:
    season, day = session.season, next_day(session)
    [crop] = [c for c in season.ask.packing_list(day.id, None).crops if c.crop == "pawpaw"]
    some = [Squeezed(line.batch_id, line.fruit, 0, 0) for line in (*crop.open_next, *crop.leave)]
    season.do(actions.packing.pack_squeezed, day.id, some[:4], season.now())
    [crop] = [c for c in season.ask.packing_list(day.id, None).crops if c.crop == "pawpaw"]
    assert crop.enough
    dialog = PackDialog(session, day.id)
    qtbot.addWidget(dialog)
    dialog.show()
    assert pawpaws(dialog) == []
    about = [text for text in texts(dialog).splitlines() if text]
    assert f"Pawpaw: {crop.packed} packed, {crop.wanted} wanted: that is enough." in about
    others = [c for c in dialog.packing.crops if c.crop != "pawpaw"]
    assert texts(dialog).count("Squeeze these") == len([c for c in others if c.take])


def test_with_some_packed_the_rest_is_opened_next(qtbot: QtBot, session: Session) -> None:
    season, day = session.season, next_day(session)
    [crop] = [c for c in season.ask.packing_list(day.id, None).crops if c.crop == "pawpaw"]
    season.do(
        actions.packing.pack_squeezed,
        day.id,
        [Squeezed(crop.open_next[0].batch_id, 3, 2, 0)],
        season.now(),
    )
    dialog = PackDialog(session, day.id)
    qtbot.addWidget(dialog)
    dialog.show()
    assert "3 packed" in texts(dialog)
    assert "Open next, in this order:" in texts(dialog)


def test_what_is_planned_comes_first(qtbot: QtBot, session: Session) -> None:
    day = next_day(session)
    plan = plan_of(session.season)
    session.plans.plan = plan
    dialog = PackDialog(session, day.id)
    qtbot.addWidget(dialog)
    dialog.show()
    [crop] = [crop for crop in dialog.packing.crops if crop.crop == "pawpaw"]
    mine = {line.batch_id for line in plan.lines if line.market_day_id == day.id}
    assert crop.take
    assert {line.batch_id for line in crop.take} <= mine
    assert pawpaws(dialog)[0].line == crop.take[0]
    assert "If too few are good to sell, open next, in this order:" in texts(dialog)
    fruit, ready = sum(line.fruit for line in crop.take), crop.ready
    assert (
        f"Squeeze these {fruit} first. About {ready.mid:.0f} of them "
        f"({ready.low:.0f} to {ready.high:.0f}) will be good to sell."
    ) in texts(dialog)


def test_it_is_filled_in_by_keyboard_along_the_lines(form: PackDialog, session: Session) -> None:
    first, second, *_ = pawpaws(form)
    first.taken.setFocus()
    for number in ("4", "3", "1", "2"):
        focus = QApplication.focusWidget()
        assert focus is not None
        QTest.keyClicks(focus, number)
        tab()
    assert second.firm.hasFocus()
    [crop] = [crop for crop in form.packing.crops if crop.crop == "pawpaw"]
    assert f"6 packed, {crop.bring - 6} to go." in texts(form)
    QTest.keyClick(second.firm, Qt.Key.Key_Return)
    assert not form.isVisible()
    book = session.season.book
    counts = {
        book.batches[check.batch_id].code: check.feel_counts
        for check in book.checks.values()
        if check.picks_over
    }
    assert counts == {first.batch.code: (3, 0, 4, 0, 1), second.batch.code: (0, 0, 2, 0, 0)}
    assert session.season.undo_label == f"packing of 6 fruit for {next_day(session).name}"
    packed = [pin for pin in book.pins.values() if pin.packed_at is not None]
    assert len(packed) == 2
    session.season.undo()
    assert not any(check.picks_over for check in session.season.book.checks.values())


def test_key_a_takes_the_rest_of_the_crates(form: PackDialog) -> None:
    first = pawpaws(form)[0]
    first.firm.setText("4")
    QTest.keyClick(first.taken, Qt.Key.Key_A)
    assert first.taken.text() == str(first.line.fruit - 4)


def test_enough_is_said_and_so_is_what_is_short(form: PackDialog) -> None:
    for row in pawpaws(form):
        row.taken.setText("100")
    assert "that is enough. Leave the rest as it is." in texts(form)
    for row in pawpaws(form):
        row.taken.setText("0")
        row.firm.setText("3")
    assert "short: no other batch is worth opening." in texts(form)


def test_a_refusal_is_shown_at_its_number_and_nothing_typed_is_lost(
    form: PackDialog, session: Session
) -> None:
    before = session.season.book
    first = pawpaws(form)[0]
    first.firm.setText("900")
    form.action_button.click()
    assert form.isVisible()
    assert first.note.isVisible()
    assert "cannot have been squeezed" in first.note._label.text()
    assert first.firm.text() == "900"
    first.firm.setText("x")
    form.action_button.click()
    assert form.isVisible()
    assert session.season.book is before
    form.reject()
    assert form.isVisible()
    form.reject()
    assert not form.isVisible()


def test_nothing_counted_is_refused_below(form: PackDialog, session: Session) -> None:
    form.action_button.click()
    assert form.isVisible()
    assert not any(check.picks_over for check in session.season.book.checks.values())


def test_soft_fruit_may_stay(form: PackDialog, session: Session) -> None:
    first = pawpaws(form)[0]
    first.soft.setText("3")
    form.too_soft.choose(TooSoft.STAYS.value)
    form.action_button.click()
    [check] = [check for check in session.season.book.checks.values() if check.picks_over]
    assert check.feel_counts == (0, 0, 0, 3, 0)


def test_every_number_has_a_name(form: PackDialog) -> None:
    names = [line.accessibleName() for row in form.rows for line in row.lines]
    assert all(names)
    assert len(set(names)) == len(names)


def test_the_page_opens_it_by_button_and_by_key(qtbot: QtBot, session: Session) -> None:
    page = MarketDaysPage(session)
    qtbot.addWidget(page)
    page.refresh()
    page.show()
    past = next(d for d in session.season.book.market_days.values() if d.settled_at)
    page.show_record(past.id)
    assert not page.pack_button.isEnabled()
    page.show_record(next_day(session).id)
    assert page.pack_button.isEnabled()
    QTest.keyClick(page.view, Qt.Key.Key_K)
    [opened] = page.findChildren(PackDialog)
    assert opened.windowTitle().startswith(f"Pack for {next_day(session).name}")
    opened.close()


def test_the_line_of_today_opens_it(qtbot: QtBot, session: Session) -> None:
    day = next_day(session)
    session.season.read_as_on(day.starts_at.replace(hour=6))
    page = TodayPage(session)
    qtbot.addWidget(page)
    page.refresh()
    page.show()
    opened: list[str] = []

    def close() -> None:
        for dialog in page.findChildren(PackDialog):
            opened.append(dialog.packing.market_day_id)
            dialog.close()

    QTimer.singleShot(0, page, close)
    page.sheet.followed.emit(f"{DayTaskKind.PACK}:{day.id}")
    assert opened == [day.id]


def test_of_very_many_that_stay_at_home_the_first_few_are_named(session: Session) -> None:
    codes = [f"P-{number}" for number in range(2_000)]
    said = codes_words([*codes, *codes], session.words)
    assert said.startswith("P-0, P-1, ")
    assert said.endswith("P-19 and 1980 others")
    assert codes_words(["P-2", "P-1", "P-2"], session.words) == "P-2, P-1"


def test_a_batch_that_the_list_leaves_at_home_may_be_opened_all_the_same(
    form: PackDialog, session: Session
) -> None:
    [crop] = [crop for crop in form.packing.crops if crop.crop == "pawpaw"]
    batch = session.season.book.batches[crop.leave[-1].batch_id]
    left = [text for text in texts(form).splitlines() if "Leave at home" in text]
    assert any(batch.code in text for text in left)
    before = len(pawpaws(form))
    assert form.batch.choose(batch.id)
    QTest.keyClick(form.more, Qt.Key.Key_Space)
    row = pawpaws(form)[-1]
    assert (len(pawpaws(form)), row.batch.id) == (before + 1, batch.id)
    assert row.line.fruit == sum(ln.fruit for ln in crop.leave if ln.batch_id == batch.id)
    assert row.taken.hasFocus()
    assert all(batch.code not in t for t in texts(form).splitlines() if "Leave at home" in t)
    assert not form.batch.choose(batch.id)
    QTest.keyClicks(row.taken, "2")
    form.action_button.click()
    assert not form.isVisible()
    book = session.season.book
    packed = [book.batches[pin.batch_id] for pin in book.pins.values() if pin.packed_at is not None]
    assert [one.split_from or one.id for one in packed] == [batch.id]


def test_a_line_with_nothing_typed_is_nothing_to_lose(form: PackDialog) -> None:
    form.more.click()
    form.reject()
    assert not form.isVisible()


def test_without_a_plan_it_says_that_others_may_need_the_crates(
    qtbot: QtBot, form: PackDialog, session: Session
) -> None:
    said = "There is no plan yet: some of these crates may be needed for another market day."
    assert said in texts(form)
    session.plans.plan = plan_of(session.season)
    other = PackDialog(session, next_day(session).id)
    qtbot.addWidget(other)
    assert said not in texts(other)
